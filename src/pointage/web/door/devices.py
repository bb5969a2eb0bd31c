"""Which devices may come in besides this machine: let in by a key, known by a cookie, shut out.

Nothing kept here lets anybody in who reads it: keys and cookies are kept as their SHA-256. Both are
long and random, so that a slow hash would add nothing.
"""

from __future__ import annotations

import json
import logging
import secrets
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from hashlib import sha256
from hmac import compare_digest
from pathlib import Path
from typing import Any

from pointage.errors import InputError
from pointage.language import mark, say
from pointage.web.door.private import private_folder, write_private

log = logging.getLogger(__name__)

FILE = "devices.json"
OPEN_FOR = timedelta(minutes=10)
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # no two that are taken for each other
KEY_LETTERS = 16  # of 5 bits each
MOST_TRIES, WITHIN = 10, timedelta(minutes=1)
MOST_ADDRESSES = 1000
MOST_DEVICES = 50
LONGEST_NAME = 40
LONGEST_TOKEN = 100
SEEN_EVERY = timedelta(minutes=5)
"""How often it is kept that a device was there."""

WRONG = mark("This key does not fit. Compare it with the one on the kitchen’s screen.")
EXPIRED = mark("This key has expired. Open the door again on the kitchen’s screen.")
USED = mark("This key has been used already. Open the door again on the kitchen’s screen.")
TOO_MANY = mark("Too many keys were tried from here. Wait a minute, then try again.")
FULL = mark("{most} devices have joined already. Shut one out first, on the kitchen’s screen.")


class NotLetInError(Exception):
    """Why a device is not let in, as a sentence. later: it may try again in a while."""

    def __init__(self, sentence: str, *, later: bool = False) -> None:
        super().__init__(sentence)
        self.later = later


@dataclass(frozen=True, slots=True)
class Device:
    """One that was let in. proof: SHA-256 of its cookie. seen: when it was last there, roughly."""

    id: str
    name: str
    proof: str
    joined: datetime
    seen: datetime


@dataclass(frozen=True, slots=True)
class _Key:
    """The key of the door. once: SHA-256 of the form that it was used with; device: for whom."""

    proof: str
    until: datetime
    once: str = ""
    device: str = ""


class Devices:
    """The devices of one data folder. Safe to use from several threads.

    Another server on the same folder may change the file: it is read again when it has changed.
    """

    def __init__(self, folder: Path, clock: Callable[[], datetime]) -> None:
        """Raises OSError where nothing can be kept in `folder`, InputError for a spoiled file."""
        self._path = private_folder(folder) / FILE
        self._clock = clock
        self._lock = threading.RLock()
        self._key: _Key | None = None
        self._tries: dict[str, list[datetime]] = {}
        self._seen: dict[str, datetime] = {}
        self._stamp: tuple[int, int, int] | None = None
        self._all: tuple[Device, ...] = ()
        self._read()

    def open_door(self) -> str:
        """A new key, the one before it void. It is nowhere kept: it is shown, or gone."""
        key = "".join(secrets.choice(ALPHABET) for _ in range(KEY_LETTERS))
        with self._lock:
            self._key = _Key(_proof(key), self._clock() + OPEN_FOR)
        return key

    def close_door(self) -> None:
        """The key is void, if there is one."""
        with self._lock:
            self._key = None

    @property
    def open_until(self) -> datetime | None:
        """Until when a key lets somebody in; None while none does."""
        with self._lock:
            key = self._key
            return key.until if key and not key.device and self._clock() < key.until else None

    def join(self, typed: str, name: str, once: str, address: str) -> str:
        """Let a device in by the key: the token for its cookie.

        once: the identifier of the form. The same form with the same key gets in again while the
        key lasts, in the place of its first try, whose answer may have been lost. address: whose
        tries are counted. Raises NotLetInError; OSError where it cannot be kept and InputError for
        a spoiled list, and then the key is not used up.
        """
        now, proof, form = self._clock(), _proof(_letters(typed)), _proof(once)
        with self._lock:
            self._count_try(address, now)
            key = self._key
            if key is None or not compare_digest(key.proof, proof):
                raise NotLetInError(say(WRONG))
            if now >= key.until:
                raise NotLetInError(say(EXPIRED))
            again = bool(key.device) and compare_digest(key.once, form)
            if key.device and not again:
                raise NotLetInError(say(USED))
            token, known = secrets.token_urlsafe(32), self._read()
            others = [each for each in known if each.id != key.device]
            if again and len(others) == len(known):  # shut out meanwhile
                raise NotLetInError(say(USED))
            if len(others) >= MOST_DEVICES:
                raise NotLetInError(say(FULL, most=MOST_DEVICES))
            device = Device(
                key.device or secrets.token_hex(8), _called(name), _proof(token), now, now
            )
            self._write((*others, device))
            self._key = replace(key, once=form, device=device.id)
            self._tries.pop(address, None)
            return token

    def known(self, token: str) -> Device | None:
        """The device whose cookie has this token, if it may come in; it was seen now."""
        if not 0 < len(token) <= LONGEST_TOKEN:
            return None
        proof, found = _proof(token), None
        with self._lock:
            for each in self._known():
                if compare_digest(each.proof, proof):
                    found = each
            if found is not None:
                self._saw(found)
        return found

    def listed(self) -> tuple[Device, ...]:
        """Who may come in, who was there last first."""
        with self._lock:
            known = [
                replace(each, seen=max(each.seen, self._seen.get(each.id, each.seen)))
                for each in self._known()
            ]
        return tuple(sorted(known, key=lambda each: each.seen, reverse=True))

    def shut_out(self, device: str) -> None:
        """From now on it must join again. Raises OSError where that cannot be kept."""
        with self._lock:
            known = self._known()
            left = tuple(each for each in known if each.id != device)
            if len(left) < len(known):
                self._write(left)

    def shut_out_all(self) -> None:
        """The same of every device; and the door is closed. Raises OSError."""
        with self._lock:
            self._key = None
            if self._known() or self.spoiled:
                self._write(())

    @property
    def spoiled(self) -> bool:
        """Whether the list cannot be read: then nobody of it comes in until it is begun again."""
        with self._lock:
            try:
                self._read()
            except InputError:
                return True
        return False

    def _known(self) -> tuple[Device, ...]:
        """Those that may come in: nobody, where the list cannot be read."""
        try:
            return self._read()
        except InputError as error:
            log.warning("%s", error)
            return ()

    def _count_try(self, address: str, now: datetime) -> None:
        """Raises NotLetInError for too many of one address. Others are not kept from trying."""
        lately = [each for each in self._tries.pop(address, ()) if now - WITHIN < each <= now]
        self._tries[address] = [*lately, now][-MOST_TRIES - 1 :]
        while len(self._tries) > MOST_ADDRESSES:
            self._tries.pop(next(iter(self._tries)))
        if len(lately) >= MOST_TRIES:
            raise NotLetInError(say(TOO_MANY), later=True)

    def _saw(self, device: Device) -> None:
        now = self._clock()
        self._seen[device.id] = now
        if now - device.seen < SEEN_EVERY:
            return
        try:
            self._write(tuple(replace(e, seen=now) if e.id == device.id else e for e in self._all))
        except OSError as error:  # a full disk keeps nobody out
            log.warning("when a device was last seen could not be kept: %s", error)

    def _read(self) -> tuple[Device, ...]:
        try:
            found = self._path.stat()
        except FileNotFoundError:
            self._stamp, self._all = None, ()
            return ()
        stamp = found.st_mtime_ns, found.st_size, found.st_ino
        if stamp != self._stamp:
            self._all = _read_all(self._path)
            self._stamp = stamp
        return self._all

    def _write(self, devices: tuple[Device, ...]) -> None:
        rows = [
            {**asdict(each), "joined": each.joined.isoformat(), "seen": each.seen.isoformat()}
            for each in devices
        ]
        write_private(self._path, json.dumps({"devices": rows}, indent=1).encode())
        self._all = devices
        found = self._path.stat()
        self._stamp = found.st_mtime_ns, found.st_size, found.st_ino


def _read_all(path: Path) -> tuple[Device, ...]:
    try:
        rows: list[dict[str, Any]] = json.loads(path.read_bytes())["devices"]
        return tuple(
            Device(
                str(row["id"]),
                str(row["name"]),
                str(row["proof"]),
                datetime.fromisoformat(row["joined"]),
                datetime.fromisoformat(row["seen"]),
            )
            for row in rows
        )
    except (ValueError, KeyError, TypeError):
        found = say("not a list of devices")
        raise InputError(
            str(path), found, say("that file, or none: then each joins again")
        ) from None


def _letters(typed: str) -> str:
    """A key as it was typed, with what is easily mistaken put right."""
    text = typed.upper().replace("O", "0").replace("I", "1").replace("L", "1")
    return "".join(each for each in text if each in ALPHABET)[: KEY_LETTERS + 1]


def _called(name: str) -> str:
    text = " ".join("".join(c for c in name if c.isprintable()).split())[:LONGEST_NAME]
    return text or say("A device")


def _proof(secret: str) -> str:
    return sha256(secret.encode()).hexdigest()
