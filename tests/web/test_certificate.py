"""The certificate that other devices are answered with, judged by the TLS of the system."""

from __future__ import annotations

import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from pointage.web.door import certificate as made
from pointage.web.door.certificate import Certificate, certificate_for

NOW = datetime.now(UTC)
NAMES = ("192.168.1.20", "kitchen.example", "[fd00::7]")


def shake(found: Certificate, folder: Path, called: str) -> bytes:
    """The certificate that a device gets which trusts the authority. Raises ssl.SSLError."""
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(found.chain, found.key)
    trusting = ssl.create_default_context(cafile=str(folder / "authority.pem"))
    to, back = ssl.MemoryBIO(), ssl.MemoryBIO()
    server = serving.wrap_bio(to, back, server_side=True)
    client = trusting.wrap_bio(back, to, server_hostname=called)
    for _ in range(4):
        for each in (client, server):
            try:
                each.do_handshake()
            except ssl.SSLWantReadError:
                continue
    got = client.getpeercert(binary_form=True)
    assert got is not None
    return got


def test_a_device_that_trusts_the_authority_trusts_every_name_and_no_other(tmp_path: Path) -> None:
    found = certificate_for(tmp_path, NAMES, NOW)
    for name in ("192.168.1.20", "kitchen.example", "fd00::7"):
        assert shake(found, tmp_path, name)
    for name in ("192.168.1.21", "elsewhere.example", "localhost"):
        with pytest.raises(ssl.SSLCertVerificationError):
            shake(found, tmp_path, name)


def test_it_is_kept_until_a_name_is_missing_and_the_authority_beyond_that(tmp_path: Path) -> None:
    first = certificate_for(tmp_path, NAMES, NOW)
    assert certificate_for(tmp_path, NAMES, NOW + timedelta(days=300)) == first
    moved = certificate_for(tmp_path, ("192.168.1.99", "kitchen.example"), NOW)
    assert moved.authority_print == first.authority_print
    assert moved.server_print != first.server_print
    assert shake(moved, tmp_path, "192.168.1.99")


def test_it_is_renewed_before_it_lapses(tmp_path: Path) -> None:
    first = certificate_for(tmp_path, NAMES, NOW)
    early = NOW + made.SERVER_FOR - made.RENEWED_BEFORE
    later = certificate_for(tmp_path, NAMES, early)
    assert later.server_print != first.server_print
    assert later.authority_print == first.authority_print
    ten_years = certificate_for(tmp_path, NAMES, NOW + made.AUTHORITY_FOR)
    assert ten_years.authority_print != first.authority_print


def test_the_authority_cannot_vouch_for_what_is_not_this_machine_s(tmp_path: Path) -> None:
    """With its key in a thief's hands; that a name is constrained is RFC 5280's 4.2.1.10."""
    certificate_for(tmp_path, NAMES, NOW)
    authority = made._kept(tmp_path / "authority.pem", tmp_path / "authority.key", NOW)
    assert authority is not None
    for name in ("bank.example", "203.0.113.9"):
        names = made._general_names([name])
        assert not made._may_vouch(authority[0], names)
        forged = made._new_server(names, authority, NOW)
        made._keep(tmp_path / "f.key", tmp_path / "f.pem", forged[1], (forged[0], authority[0]))
        stolen = Certificate(tmp_path / "f.pem", tmp_path / "f.key", b"", "", "")
        with pytest.raises(ssl.SSLCertVerificationError, match="subtree"):
            shake(stolen, tmp_path, name)


@pytest.mark.parametrize("name", ["authority.pem", "authority.key", "server.pem", "server.key"])
def test_a_spoiled_file_is_made_anew(tmp_path: Path, name: str) -> None:
    certificate_for(tmp_path, NAMES, NOW)
    (tmp_path / name).write_bytes(b"-----BEGIN CERTIFICATE-----\nx\n")
    assert shake(certificate_for(tmp_path, NAMES, NOW), tmp_path, "kitchen.example")
    for each in tmp_path.iterdir():
        assert each.stat().st_mode & 0o077 == 0, each
