"""Where the pages are listened for, and the addresses by which this machine can be asked."""

from __future__ import annotations

import errno
import socket
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address

from pointage.errors import MISSING, InputError
from pointage.language import mark, say
from pointage.web.door.guard import MOST_PORT, host_of

LOOPBACK = "127.0.0.1"
TRIES = 20
EVERY_ADDRESS = ("0.0.0.0", "::")
ADDRESSES = mark(
    "an address that this machine has, or 0.0.0.0 for all of them (:: for IPv6 as well)"
)


def listen_on(address: str, port: int) -> socket.socket:
    """A socket that listens there, for `::` on IPv4 too.

    Raises InputError for an address that is not this machine's and for a port that is taken.
    """
    if not 0 <= port <= MOST_PORT:
        raise InputError("--port", port, say("a port from 0 to {most}", most=MOST_PORT))
    if not address.strip():  # which a socket would take for all
        raise InputError("--listen", MISSING, say(ADDRESSES))
    try:
        family, *_, where = socket.getaddrinfo(address, port, type=socket.SOCK_STREAM)[0]
        # Only of a socket that says it is TCP does asyncio let small packets go at once; else the
        # body of an answer waits some 40 ms for the browser to acknowledge its head.
        listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    except (OSError, UnicodeError):
        raise InputError("--listen", address, say(ADDRESSES)) from None
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, address != "::")
        listening.bind(where)
    except OSError as error:
        listening.close()
        if error.errno == errno.EADDRNOTAVAIL:
            raise InputError("--listen", address, say(ADDRESSES)) from None
        raise InputError("--port", port, say("a port that is free, or 0 for any")) from None
    return listening


@dataclass(frozen=True, slots=True)
class Sockets:
    """own: at the loopback address, for this machine. others: at every other address that is
    listened on, all at one port."""

    own: socket.socket
    others: tuple[socket.socket, ...]

    @property
    def port(self) -> int:
        port: int = self.own.getsockname()[1]
        return port

    @property
    def hosts(self) -> tuple[str, ...]:
        """What others reach it by, as a Host header has it."""
        return tuple(_as_host(ip_address(each.getsockname()[0])) for each in self.others)

    def listen(self) -> None:
        for each in (self.own, *self.others):
            each.listen()

    def close(self) -> None:
        for each in (self.own, *self.others):
            each.close()


def sockets_at(address: str, port: int) -> Sockets:
    """Sockets for this machine, and for others at an address of it, or at all of them.

    Raises InputError as `listen_on` does, and where no network is there for others to be in.
    """
    if address in EVERY_ADDRESS:
        found = [
            str(e) for e in likeliest_first(own_addresses()) if e.version == 4 or address == "::"
        ]
        if not found:
            raise InputError(
                "--listen", address, say("a machine that is in a network; this one is in none")
            )
        return _at_one_port(found, port)
    first = listen_on(address, port)
    bound = first.getsockname()[0]
    if ip_address(bound).is_loopback:
        return Sockets(first, ())
    first.close()
    return _at_one_port([bound], port)


def _at_one_port(addresses: Sequence[str], port: int) -> Sockets:
    """Where any port will do, the first that is free on all of them."""
    for left in reversed(range(TRIES if port == 0 else 1)):
        own, others = listen_on(LOOPBACK, port), list[socket.socket]()
        try:
            others += (listen_on(each, own.getsockname()[1]) for each in addresses)
            return Sockets(own, tuple(others))
        except InputError:
            for each in (own, *others):
                each.close()
            if not left:
                raise
    raise AssertionError("unreachable")


def likeliest_first(
    addresses: Sequence[IPv4Address | IPv6Address],
) -> list[IPv4Address | IPv6Address]:
    """The same, but first the one by which this machine reaches others: a phone is most likely in
    that network. No packet is sent to find it out."""
    usual = set[str]()
    for family, anywhere in ((socket.AF_INET, "198.51.100.1"), (socket.AF_INET6, "2001:db8::1")):
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as asked:
            asked.connect((anywhere, 9))
            usual.add(asked.getsockname()[0])
    return sorted(addresses, key=lambda each: (each.version, str(each) not in usual))


def own_addresses() -> list[IPv4Address | IPv6Address]:
    """The addresses of this machine's interfaces as the system lists them, IPv4 first."""
    import psutil

    listed = [each for every in psutil.net_if_addrs().values() for each in every]
    found = {
        ip_address(each.address.partition("%")[0])
        for each in listed
        if each.family in (socket.AF_INET, socket.AF_INET6)
    }
    others = (
        each
        for each in found
        if not each.is_loopback and not (each.version == 6 and each.is_link_local)
    )
    return sorted(others, key=lambda each: (each.version, int(each)))


def names_of(called: Sequence[str]) -> tuple[str, ...]:
    """Names by which this machine may be asked. Raises InputError for one that is none."""
    found = []
    for each in called:
        name = host_of(each)
        if name is None or name[1] is not None:
            expected = say("a name or address alone, such as kitchen.local or [2001:db8::7]")
            raise InputError("--called", repr(each), expected)
        found.append(name[0])
    return tuple(found)


def own_names() -> tuple[str, ...]:
    """What this machine is called by itself, and in its network by those that ask each other."""
    found = host_of(socket.gethostname())
    if found is None or found[1] is not None or found[0].startswith("["):
        return ()
    plain = found[0].removesuffix(".local")
    return (plain, f"{plain}.local")


def _as_host(address: IPv4Address | IPv6Address) -> str:
    return f"[{address}]" if address.version == 6 else str(address)
