"""The certificate that other devices are answered with, over TLS.

Two are made and kept in the data folder. The kitchen's own authority is made once, and is what a
device is asked to trust. It signs the server's certificate, which has the names and addresses of
this machine in it, and is made anew when these change and well before it lapses: a device that
trusts the authority notices nothing of that.

The authority may vouch for nothing but this machine's names and for addresses of private networks
(RFC 5280, 4.2.1.10), so that a device which trusts it does not thereby trust it for any site of the
internet, not even if its key is stolen.
"""

from __future__ import annotations

import socket
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Network, IPv6Network, ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from pointage.web.door.private import private_folder, write_private

AUTHORITY_FOR = timedelta(days=3650)
SERVER_FOR = timedelta(days=397)
"""The longest that browsers take (from memory: 398 days, and 825 of an authority of one's own)."""
RENEWED_BEFORE = timedelta(days=60)
CLOCKS_APART = timedelta(days=1)
"""So far may the clock of a device be behind."""
PRIVATE_NAMES = ("local", "lan", "home.arpa", "internal", "localhost")
# RFC 1918, 3927, 6598, 4193, 4291.
PRIVATE = (
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10"),
    *("fc00::/7", "fe80::/10"),
)

Network = IPv4Network | IPv6Network


@dataclass(frozen=True, slots=True)
class Certificate:
    """The files that a server needs, and what a person compares.

    authority: DER, as a device takes it in. authority_print, server_print: SHA-256.
    """

    chain: Path
    key: Path
    authority: bytes
    authority_print: str
    server_print: str


def certificate_for(folder: Path, hosts: Sequence[str], now: datetime) -> Certificate:
    """The certificate of this machine by its names and addresses, as Host headers have them.

    What is kept in `folder` is used while it names all of them and does not lapse soon; else it is
    made anew. Raises OSError where nothing can be kept there.
    """
    here = private_folder(folder)
    names = _general_names(hosts)
    files = [here / name for name in ("authority.pem", "authority.key", "server.pem", "server.key")]
    authority = _kept(files[0], files[1], now)
    if authority is None or not _may_vouch(authority[0], names):
        authority = _new_authority(names, now)
        _keep(files[1], files[0], authority[1], (authority[0],))
    server = _kept(files[2], files[3], now)
    if (
        server is None
        or not _is_signed(server[0], authority[0])
        or _names_in(server[0]) != {*names}
    ):
        server = _new_server(names, authority, now)
        _keep(files[3], files[2], server[1], (server[0], authority[0]))
    return Certificate(
        files[2],
        files[3],
        authority[0].public_bytes(serialization.Encoding.DER),
        _print(authority[0]),
        _print(server[0]),
    )


Pair = tuple[x509.Certificate, ec.EllipticCurvePrivateKey]


def _kept(certificate: Path, key: Path, now: datetime) -> Pair | None:
    """What is kept, if it can be used and does not lapse soon."""
    try:
        first = x509.load_pem_x509_certificates(certificate.read_bytes())[0]
        own = serialization.load_pem_private_key(key.read_bytes(), None)
    except (OSError, ValueError):
        return None
    fits = isinstance(own, ec.EllipticCurvePrivateKey) and own.public_key() == first.public_key()
    lives = first.not_valid_before_utc <= now < first.not_valid_after_utc - RENEWED_BEFORE
    return (first, own) if fits and lives and isinstance(own, ec.EllipticCurvePrivateKey) else None


def _keep(
    at_key: Path,
    at: Path,
    key: ec.EllipticCurvePrivateKey,
    chain: Sequence[x509.Certificate],
) -> None:
    pem = serialization.Encoding.PEM
    form, plain = serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    write_private(at_key, key.private_bytes(pem, form, plain))
    write_private(at, b"".join(each.public_bytes(pem) for each in chain))


def _general_names(hosts: Sequence[str]) -> list[x509.GeneralName]:
    found: dict[x509.GeneralName, None] = {}
    for host in hosts:
        try:
            found[x509.IPAddress(ip_address(host.strip("[]")))] = None
        except ValueError:
            found[x509.DNSName(host)] = None
    return list(found)


def _names_in(certificate: x509.Certificate) -> set[x509.GeneralName]:
    return {*certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value}


def _permitted(names: Sequence[x509.GeneralName]) -> list[x509.GeneralName]:
    """What the authority may vouch for: private networks and names, and what this machine has."""
    networks: list[Network] = [ip_network(each) for each in PRIVATE]
    own = [ip_network(each.value) for each in names if isinstance(each, x509.IPAddress)]
    networks += [each for each in own if not any(_within(each, net) for net in networks)]
    dns = {*PRIVATE_NAMES} | {each.value for each in names if isinstance(each, x509.DNSName)}
    return [*map(x509.IPAddress, networks), *map(x509.DNSName, sorted(dns))]


def _within(one: Network, other: Network) -> bool:
    return one.version == other.version and one.subnet_of(other)  # type: ignore[arg-type]


def _may_vouch(authority: x509.Certificate, names: Sequence[x509.GeneralName]) -> bool:
    said = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    allowed = said.permitted_subtrees or ()
    networks = [each.value for each in allowed if isinstance(each, x509.IPAddress)]
    dns = [each.value for each in allowed if isinstance(each, x509.DNSName)]
    for each in names:
        if isinstance(each, x509.IPAddress):
            if not any(_within(ip_network(each.value), net) for net in networks):  # type: ignore[arg-type]
                return False
        elif not any(each.value == name or str(each.value).endswith(f".{name}") for name in dns):
            return False
    return True


def _is_signed(certificate: x509.Certificate, authority: x509.Certificate) -> bool:
    try:
        certificate.verify_directly_issued_by(authority)
    except Exception:  # a signature of another key is told by an exception of cryptography's own
        return False
    return True


def _new_authority(names: Sequence[x509.GeneralName], now: datetime) -> Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    name = _called(f"Pointage on {socket.gethostname()[:40]}")
    usage = _usage(key_cert_sign=True, crl_sign=True)
    built = (
        _builder(name, name, key, now, AUTHORITY_FOR)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    return built.sign(key, hashes.SHA256()), key


def _new_server(names: Sequence[x509.GeneralName], authority: Pair, now: datetime) -> Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    signed_by = authority[1].public_key()
    built = (
        _builder(_called("Pointage"), authority[0].subject, key, now, SERVER_FOR)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signed_by), critical=False
        )
    )
    return built.sign(authority[1], hashes.SHA256()), key


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    now: datetime,
    lasts: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_APART)
        .not_valid_after(now - CLOCKS_APART + lasts)
    )


def _called(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _usage(**used: bool) -> x509.KeyUsage:
    every = (
        *("digital_signature", "content_commitment", "key_encipherment", "data_encipherment"),
        *("key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only"),
    )
    return x509.KeyUsage(**{name: used.get(name, False) for name in every})


def _print(certificate: x509.Certificate) -> str:
    """The fingerprint as browsers and phones show it: pairs of signs, in capitals."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()
