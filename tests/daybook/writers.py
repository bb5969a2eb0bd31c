"""Writers that are killed, in processes of their own. `python -m tests.daybook.writers ROUNDS URL`.

Each round forks writers, lets them write and acknowledge for a moment of chance, kills them with
SIGKILL, connects to the store anew and looks for what they acknowledged. It prints one JSON object.
The store is opened once and closed before each fork: each process has connections of its own, and
only what is known of SQL is shared, which would take each writer longer than it lives.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import sys
import time
from datetime import UTC, datetime, timedelta
from uuid import uuid4

from sqlalchemy import text
from tests import unsynced

from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.store.sensors import Sensor, SensorKind
from pointage.daybook.store.store import Store, open_store

WRITERS = 2
LONGEST_S = 0.03
START = datetime(2026, 1, 1, tzinfo=UTC)


def write_for_ever(store: Store, sensor: Sensor, told: int, first: int) -> None:
    """Write, then tell the pipe what is written: in that order, for ever."""
    number = 0
    while True:
        number += 1
        if number % 4 == 1:  # the first too: a slow machine gets no further
            at = START + timedelta(seconds=first + number)
            store.append_samples(sensor, [(at, 18.0), (at + timedelta(milliseconds=500), 19.0)])
            os.write(told, f"s {at.isoformat()}\n".encode())
            continue
        now = datetime.now(UTC)
        body = {"text": "x" * random.choice((20, 2000, 9000))}
        entry = Entry(str(uuid4()), "k1", EntryKind.NOTE, now, now, "Orla", body)
        store.append(entry)
        os.write(told, f"e {entry.id}\n".encode())


def main(rounds: int, url: str) -> None:
    sensor = Sensor(str(uuid4()), "k1", "Tubs", SensorKind.TEMPERATURE, "Hall")
    store = open_store(url)
    store.put_kitchen(KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", ""))
    store.put_sensor(sensor)
    store.append_samples(sensor, [(START, 18.0)])
    store.append(Entry(str(uuid4()), "k1", EntryKind.NOTE, START, START, "Orla", {"text": ""}))
    store.close()
    chance = random.Random(11)
    acknowledged: list[str] = []
    missing: list[str] = []
    for number in range(rounds):
        told = one_round(store, sensor, number * 100_000, chance)
        acknowledged += told
        missing += sorted(set(told) - what_is_there(store, sensor, len(told)))
        store.close()
    with open_store(url) as store:
        missing += sorted(set(acknowledged) - what_is_there(store, sensor, None))
        agree = _roll_ups_agree(store)
    whole = "ok"
    if url.startswith("sqlite"):
        connection = sqlite3.connect(url.removeprefix("sqlite:///"))
        whole = connection.execute("PRAGMA integrity_check").fetchone()[0]
        connection.close()
    told_of = {"acknowledged": len(acknowledged), "missing": missing, "integrity": whole}
    print(json.dumps(told_of | {"roll_ups_agree": agree}))


def one_round(store: Store, sensor: Sensor, first: int, chance: random.Random) -> list[str]:
    reads, writes = os.pipe()
    children = []
    for writer in range(WRITERS):
        child = os.fork()
        if child == 0:
            try:
                os.close(reads)
                random.seed(first + writer)
                write_for_ever(store, sensor, writes, first + writer * 50_000)
            finally:
                os._exit(1)
        children.append(child)
    os.close(writes)
    heard = os.read(reads, 4096)  # until one has written something
    time.sleep(chance.uniform(0, LONGEST_S))
    for child in children:
        os.kill(child, signal.SIGKILL)
    while more := os.read(reads, 65536):
        heard += more
    os.close(reads)
    for child in children:
        os.waitpid(child, 0)
    return heard.decode().splitlines()


def what_is_there(store: Store, sensor: Sensor, last: int | None) -> set[str]:
    """What is in the store, in the writers' words; only some of the newest entries if told."""
    since = None if last is None else datetime.now(UTC) - timedelta(seconds=30)
    found = {f"e {entry.id}" for entry in store.entries("k1", since=since)}
    rows = store.samples(sensor, START, START + timedelta(days=900), at_most=10**7).rows
    return found | {f"s {row.at.isoformat()}" for row in rows if not row.at.microsecond}


def _roll_ups_agree(store: Store) -> bool:
    with store.reading() as connection:
        sample, hours, days = (
            connection.execute(text(query)).one()
            for query in (
                "SELECT count(*), sum(value) FROM sample",
                "SELECT sum(n), sum(total) FROM rollup WHERE span_ms = 3600000",
                "SELECT sum(n), sum(total) FROM rollup WHERE span_ms = 86400000",
            )
        )
    return tuple(sample) == tuple(hours) == tuple(days)  # whole numbers add up exactly


if __name__ == "__main__":
    unsynced.begin()
    main(int(sys.argv[1]), sys.argv[2])
