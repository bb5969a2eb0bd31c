"""Other devices: who has joined, the open door, and what one that has not joined is shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.frame import Frame, Moment


@dataclass(frozen=True, slots=True)
class Joined:
    """A device that may come in."""

    id: str
    name: str
    joined: Moment
    seen: Moment


@dataclass(frozen=True, slots=True)
class OpenDoor:
    """What lets one device in. code: a picture of the address; key: in groups; others: addresses
    of this machine in other networks; authority, server: the certificates' fingerprints."""

    code: Markup
    address: str
    key: str
    minutes: int
    others: tuple[str, ...]
    authority: str
    server: str


@dataclass(frozen=True, slots=True)
class DevicesPage:
    """Who has joined. listening: whether another device can reach this machine at all. door: just
    opened; opened: it stands open, with a key that was shown before. spoiled: the list cannot be
    read. error: why nobody was shut out."""

    template: ClassVar[str] = "devices.html"
    frame: Frame
    listening: bool
    door: OpenDoor | None
    opened: bool
    devices: tuple[Joined, ...]
    spoiled: bool = False
    error: str = ""


@dataclass(frozen=True, slots=True)
class JoinPage:
    """What a device that has not joined is shown; the only page that it is. called: what it may be
    named; path: where it goes then."""

    template: ClassVar[str] = "join.html"
    frame: Frame
    key: str
    called: str
    path: str
    error: str
