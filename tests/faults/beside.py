"""What is kept beside the store, under faults: who has joined, and the key of the calendar.

A round: one form, one fault. What was acknowledged is in effect on both servers of the folder; what
was not leaves things as they were, or its answer was lost, and sending it again acknowledges it. A
spoiled file lets nobody in and opens nothing.
"""

from __future__ import annotations

import asyncio
import os
import re
import signal
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from random import Random
from uuid import uuid4

import httpx
from tests.faults.injector import full_disk
from tests.timetable.hall import NOW
from tests.whole.hall import Hall

from pointage.desk.sheets import feed
from pointage.web.app import create_app
from pointage.web.door import devices
from pointage.web.door.gate import COOKIE
from pointage.web.door.outside import Outside

HERE, THERE = "http://127.0.0.1:8317", "https://kitchen.example:8317"
NAMES = ("kitchen.example",)
LONGEST_S = 0.03
"""About twice what such a form takes."""


class Door:
    """One kitchen as its machine and others reach it, by two servers on one folder."""

    def __init__(self, url: str, folder: Path) -> None:
        self.halls = (Hall(url, NOW), Hall(url, NOW))
        self.now = NOW
        self.folder = folder
        self.spare = 0
        """A device may stand there twice: its key died with the server that was killed."""
        self.outsides: list[Outside] = []
        for hall in self.halls:
            outside = Outside.of(folder / "door", 8317, NAMES, NAMES, lambda: self.now)
            hall.app = create_app(
                hall.desk, lambda: NOW, allowed_hosts=("127.0.0.1", *NAMES), outside=outside,
                feed_keys=feed.FeedKeys(folder),
            )  # fmt: skip
            hall._client._transport = httpx.ASGITransport(app=hall.app)
            self.outsides.append(outside)

    def close(self) -> None:
        for hall in self.halls:
            hall.close()

    def here(self, path: str, server: int = 0, **fields: str) -> httpx.Response:
        return self._ask("POST", HERE + path, server, fields)

    def there(self, path: str, token: str = "", server: int = 0, **fields: str) -> httpx.Response:
        method = "POST" if fields else "GET"
        return self._ask(method, THERE + path, server, fields, token)

    def _ask(
        self, method: str, at: str, server: int, fields: dict[str, str], token: str = ""
    ) -> httpx.Response:
        hall = self.halls[server]
        hall._client.cookies.clear()
        headers = {"origin": HERE if at.startswith(HERE) else THERE}
        if token:
            headers["cookie"] = f"{COOKIE}={token}"
        return hall._ask(method, at, headers=headers, data=fields or None)

    def comes_in(self, token: str) -> set[bool]:
        """Whether the device of a cookie may come in, of each server."""
        return {self.there("/alive", token, server=n).status_code < 400 for n in (0, 1)}

    def opens(self, key: str) -> set[bool]:
        """Whether a key opens the calendar, of each server."""
        return {self.there(f"/calendar/{key}.ics", server=n).status_code == 200 for n in (0, 1)}

    def joined(self) -> str:
        key = self.outsides[0].devices.open_door()
        return self.there("/join", key=key, name="Phone", once=str(uuid4())).cookies[COOKIE]

    def device(self, token: str) -> str:
        found = self.outsides[0].devices.known(token)
        assert found is not None
        return found.id

    def feed_key(self) -> str:
        return feed.FeedKeys(self.folder).key(self.halls[0].kitchen)


@dataclass(frozen=True)
class Asked:
    """A form that is sent, and what holds once it is acknowledged. holds: of its answer.
    undone: that all is as it was. file: where it is kept."""

    send: Callable[[], httpx.Response]
    holds: Callable[[httpx.Response], bool]
    undone: Callable[[], bool]
    file: str = ""


def joins(door: Door) -> Asked:
    """/join. An answer that was lost may be had again; one device is let in."""
    known = len(door.outsides[0].devices.listed())
    key, once = door.outsides[0].devices.open_door(), str(uuid4())
    return Asked(
        lambda: door.there("/join", key=key, name="Phone", once=once),
        lambda answer: (
            door.comes_in(answer.cookies[COOKIE]) == {True}
            and 1 <= len(door.outsides[1].devices.listed()) - known <= 1 + door.spare
        ),
        lambda: len(door.outsides[1].devices.listed()) == known,
        devices.FILE,
    )


def shuts_out(door: Door) -> Asked:
    """/devices/shut-out."""
    token, stays = door.joined(), door.joined()
    device = door.device(token)
    return Asked(
        lambda: door.here("/devices/shut-out", device=device),
        lambda _: door.comes_in(token) == {False} and door.comes_in(stays) == {True},
        lambda: door.comes_in(token) == {True},
        devices.FILE,
    )


def opens(door: Door) -> Asked:
    """/devices/open. The key of before is void; neither is kept anywhere."""
    before = door.outsides[0].devices.open_door()

    def holds(answer: httpx.Response) -> bool:
        found = re.search(r'class="door-key">([^<]*)<', answer.text)
        assert found is not None
        now = door.now
        door.now = NOW  # a key that lapsed is another's case
        door.outsides[0].devices._tries.clear()
        old = door.there("/join", key=before, name="Old", once=str(uuid4()))
        new = door.here("/devices/open")
        door.now = now
        return old.status_code == 422 and new.status_code == 200

    return Asked(lambda: door.here("/devices/open"), holds, lambda: True)


def closes(door: Door) -> Asked:
    """/devices/close."""
    door.outsides[0].devices.open_door()
    return Asked(
        lambda: door.here("/devices/close"),
        lambda _: door.outsides[0].devices.open_until is None,
        lambda: True,
    )


def feeds(door: Door) -> Asked:
    """/sheets/calendar/open: the key of before opens nothing more."""
    assert door.here("/sheets/calendar/open").status_code < 400
    before = door.feed_key()
    return Asked(
        lambda: door.here("/sheets/calendar/open"),
        lambda _: door.opens(before) == {False} and door.opens(door.feed_key()) == {True},
        lambda: door.opens(before) == {True},
        feed.FILE,
    )


def ends(door: Door) -> Asked:
    """/sheets/calendar/close."""
    assert door.here("/sheets/calendar/open").status_code < 400
    before = door.feed_key()
    return Asked(
        lambda: door.here("/sheets/calendar/close"),
        lambda _: door.opens(before) == {False} and not door.feed_key(),
        lambda: door.opens(before) == {True},
        feed.FILE,
    )


BESIDE: dict[str, Callable[[Door], Asked]] = {
    "/join": joins,
    "/devices/open": opens,
    "/devices/close": closes,
    "/devices/shut-out": shuts_out,
    "/sheets/calendar/open": feeds,
    "/sheets/calendar/close": ends,
}
BESIDE_FAULTS = ("none", "answer lost", "full disk", "spoiled", "clock ahead", "clock behind",
                 "killed")  # fmt: skip


def beside_round(door: Door, path: str, fault: str, chance: Random) -> tuple[str, str]:
    """How it was answered, and what is wrong, or nothing."""
    for outside in door.outsides:
        outside.devices._tries.clear()
        outside.devices.shut_out_all()
    asked = BESIDE[path](door)
    with _under(door, fault):
        if fault == "killed":
            _killed(door, asked, chance.uniform(0, LONGEST_S))
            answer = None
        elif fault == "spoiled" and asked.file:
            return _spoiled(door, asked)
        else:
            answer = asked.send()
    if answer is not None and answer.status_code >= 500 and answer.status_code != 503:
        return "broke", f"answered {answer.status_code}"
    acknowledged = answer is not None and answer.status_code < 400
    if fault != "answer lost" and acknowledged:
        assert answer is not None
        return "acknowledged", "" if asked.holds(answer) else "acknowledged, and not in effect"
    if answer is not None and not acknowledged and not asked.undone():
        return "refused", "refused, and in effect"
    again = asked.send()
    if again.status_code >= 400:
        return "refused", f"sent again it was answered {again.status_code}"
    return "sent again", "" if asked.holds(again) else "sent again it is not in effect once"


@contextmanager
def _under(door: Door, fault: str) -> Iterator[None]:
    moved = {"clock ahead": timedelta(days=1), "clock behind": timedelta(days=-1)}
    door.now = NOW + moved.get(fault, timedelta(0))
    door.spare = int(fault == "killed")
    try:
        if fault == "full disk":
            with full_disk(door.halls[0]):
                yield
        else:
            yield
    finally:
        door.now = NOW


def _spoiled(door: Door, asked: Asked) -> tuple[str, str]:
    """The file is what no program wrote; then it is taken away, as its message says."""
    place = door.folder / ("door" if asked.file == devices.FILE else "") / asked.file
    kept = place.read_bytes() if place.is_file() else b""
    place.write_bytes(b'{"devices": [{"id"')
    wrong = ""
    if asked.file == devices.FILE and door.comes_in("x" * 43) != {False}:
        wrong = "a spoiled list lets somebody in"
    answer = asked.send()
    if answer.status_code >= 500 and answer.status_code != 503:
        wrong = f"answered {answer.status_code}"
    if COOKIE in answer.cookies:
        wrong = "joined to a list that cannot be read"
    place.unlink()
    if kept:
        place.write_bytes(kept)
    again = asked.send()
    if again.status_code >= 400 or not asked.holds(again):
        wrong = wrong or f"with the file back it was answered {again.status_code}"
    return "refused" if answer.status_code >= 400 else "acknowledged", wrong


def _killed(door: Door, asked: Asked, after_s: float) -> None:
    """A copy of the server is killed while it answers."""
    child = os.fork()
    if child == 0:
        # Collected, a loop would take itself out of the epoll that it shares with the parent's.
        left = [hall._loop for hall in door.halls]
        try:
            for hall in door.halls:  # no thread comes along
                hall._thread, hall._loop = ThreadPoolExecutor(1), asyncio.new_event_loop()
            asked.send()
            time.sleep(60)
            del left
        finally:
            os._exit(1)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
