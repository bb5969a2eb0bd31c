"""What was acknowledged is there: after SIGKILL, a full disk and a server that stops at once.

A process that is killed leaves what it wrote with the kernel, so these tests do not cut the power;
against that stands the full sync: see `tests.unsynced`.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from tests.conftest import PostgreSQL

from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.errors import StoreError
from pointage.daybook.store.store import Store, open_store

ROOT = Path(__file__).parents[2]
SKERRY = KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", "")
KILLS = {"sqlite": 40, "postgresql": 12}
"""`python -m tests.daybook.writers` goes on for as many as it is asked for."""

PROCESSES = 2
"""Of four writing threads each; to start one more takes a second of the processor."""


def note(text: str = "", author: str = "Orla", happened: datetime | None = None) -> Entry:
    now = happened or datetime.now(UTC)
    return Entry(str(uuid4()), "k1", EntryKind.NOTE, now, now, author, {"text": text})


@pytest.mark.soon(1)
def test_writers_killed_many_times_lose_nothing_they_acknowledged(url: str) -> None:
    kills = KILLS[url.partition(":")[0]]
    done = subprocess.run(
        [sys.executable, "-m", "tests.daybook.writers", str(kills), url],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["missing"] == []
    assert told["acknowledged"] > kills  # each round waits for the first
    assert told["integrity"] == "ok"
    assert told["roll_ups_agree"] is True


def fill(store: Store) -> tuple[list[str], StoreError]:
    """Write until it is refused: what was acknowledged, and the refusal."""
    acknowledged: list[str] = []
    for _ in range(10_000):
        entry = note("x" * 20_000)
        try:
            store.append(entry)
        except StoreError as error:
            return acknowledged, error
        acknowledged.append(entry.id)
    pytest.fail("the disk never filled")


def there(store: Store) -> set[str]:
    return {entry.id for entry in store.entries("k1")}


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real disk of 2 MB, where this machine lets us mount one."""
    mount = shutil.which("mount")
    if os.geteuid() != 0 or mount is None:
        pytest.skip("a small disk can be mounted by root only; the limit on files is tried instead")
    folder = tmp_path / "disk"
    folder.mkdir()
    done = subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=2m", "tmpfs", folder], capture_output=True, check=False
    )
    if done.returncode:
        pytest.skip("this machine lets nobody mount a disk; the limit on files is tried instead")
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)


def test_a_full_disk_is_told_and_what_was_acknowledged_is_there(small_disk: Path) -> None:
    url = f"sqlite:///{small_disk}/daybook.sqlite3"
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(500_000))
    store = open_store(url)
    store.put_kitchen(SKERRY)
    acknowledged, error = fill(store)
    assert "full" in str(error)
    assert len(acknowledged) > 5
    assert there(store) == set(acknowledged)  # it can still be read, and holds nothing else

    with open_store(url) as again:  # while the disk is full
        assert there(again) == set(acknowledged)

    ballast.unlink()
    entry = note("there is room again")
    assert store.append(entry)
    assert there(store) == {*acknowledged, entry.id}
    store.close()


FILLS = """
import json, resource, sys
from tests.daybook.test_never_lose import SKERRY, fill, note, open_store, there

store = open_store(sys.argv[1])
store.put_kitchen(SKERRY)
resource.setrlimit(resource.RLIMIT_FSIZE, (1_000_000, resource.RLIM_INFINITY))
acknowledged, error = fill(store)
same = there(store) == set(acknowledged)
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
entry = note()
store.append(entry)
print(json.dumps([[*acknowledged, entry.id], same, str(error)]))
"""


@pytest.mark.long
def test_a_file_that_may_not_grow_is_told_and_what_was_acknowledged_is_there(
    tmp_path: Path,
) -> None:
    url = f"sqlite:///{tmp_path}/daybook.sqlite3"
    done = subprocess.run(
        [sys.executable, "-c", FILLS, url],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    acknowledged, same, error = json.loads(done.stdout)
    assert same
    assert "cannot be used" in error
    assert len(acknowledged) > 5
    with open_store(url) as store:
        assert there(store) == set(acknowledged)


@pytest.mark.postgresql
def test_a_server_that_stops_at_once_has_what_it_acknowledged(own_postgresql: PostgreSQL) -> None:
    url = own_postgresql.new_database()
    store = open_store(url)
    store.put_kitchen(SKERRY)
    acknowledged: list[str] = []
    stopped: list[StoreError] = []

    def write() -> None:
        while not stopped:
            entry = note("x" * 2000)
            try:
                store.append(entry)
            except StoreError as error:
                stopped.append(error)
            else:
                acknowledged.append(entry.id)

    writers = [threading.Thread(target=write) for _ in range(3)]
    for each in writers:
        each.start()
    while len(acknowledged) < 100:
        assert not stopped, stopped
    own_postgresql.stop()
    for each in writers:
        each.join()
    assert "\n" not in str(stopped[0])

    own_postgresql.start()
    kept = there(store)  # the same store: it finds the server again
    assert set(acknowledged) <= kept
    assert len(kept) <= len(acknowledged) + 3  # written, and not yet told
    store.append(note())
    store.close()


WRITES = """
import sys, threading
from datetime import datetime, timedelta
from pointage.daybook.errors import StaleRevisionError
from tests.daybook.test_never_lose import note, open_store

url, author, start = sys.argv[1:]
store = open_store(url)
failures = []

def put(text, last):
    while True:
        try:
            return store.put_formula("k1", "harbour-loaf", text, after=last).revision
        except StaleRevisionError as stale:
            last = stale.last

def write(thread):
    last = 0
    try:
        for number in range(10):
            happened = datetime.fromisoformat(start) + timedelta(seconds=number)
            store.append(note(str(number), f"{author}.{thread}", happened))
            last = put(f"{author}.{thread}.{number}", last)
    except BaseException as error:
        failures.append(error)

threads = [threading.Thread(target=write, args=(thread,)) for thread in range(4)]
for each in threads: each.start()
for each in threads: each.join()
if failures: raise failures[0]
"""


@pytest.mark.soon(1)
def test_many_writers_in_processes_and_threads_lose_nothing_and_keep_the_order(url: str) -> None:
    start = datetime(2026, 11, 25, 12, tzinfo=UTC)
    with open_store(url) as store:
        store.put_kitchen(SKERRY)
        writers = [
            subprocess.Popen(
                [sys.executable, "-c", WRITES, url, str(author), start.isoformat()],
                cwd=ROOT,
                stderr=subprocess.PIPE,
                text=True,
            )
            for author in range(PROCESSES)
        ]
        told = [(each.communicate(timeout=120)[1], each.returncode) for each in writers]
        assert told == [("", 0)] * PROCESSES
        entries = store.entries("k1")
        texts = store.formulas("k1")
    assert len(entries) == len({entry.id for entry in entries}) == PROCESSES * 4 * 10
    assert entries == sorted(entries, key=lambda e: (e.happened, e.arrived, e.id))
    for author in {entry.author for entry in entries}:
        mine = [entry for entry in entries if entry.author == author]
        assert [entry.body["text"] for entry in mine] == [str(number) for number in range(10)]
        assert [entry.happened for entry in mine] == [
            start + timedelta(seconds=number) for number in range(10)
        ]
    assert [each.revision for each in texts] == [PROCESSES * 4 * 10]
