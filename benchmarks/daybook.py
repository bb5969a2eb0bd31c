"""How quick is the daybook, and does it hold 200 clients? `python -m benchmarks.daybook` tells.

On each store: durable appends one after another (milliseconds, half of them and 95 in 100 below);
five million samples taken in, a reading every 63 seconds for ten years, beside twenty thousand
entries; what a page that looks back asks for; and 200 clients who post and read at the same time,
each through its own connection, a server in a process of its own. Where others work on the machine
too, the times mean less; the counts do not. `--quick` takes a fiftieth of the samples.
"""

from __future__ import annotations

import asyncio
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from array import array
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from math import pi, sin
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
from tests.conftest import server as postgresql

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store.sensors import EPOCH, MS, Sensor
from pointage.daybook.store.store import Store, open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import next_saturday, take_in

QUICK = "--quick" in sys.argv
APPENDS = 1000
SAMPLES = 100_000 if QUICK else 5_000_000
YEARS = timedelta(days=3652)
ENTRIES = 1_000 if QUICK else 20_000
CLIENTS = 200
ROUNDS = 5
PATIENCE_S = 120
ORIGIN = "http://127.0.0.1"

SERVE = """
import sys
from datetime import UTC, datetime
import uvicorn
from pointage.daybook.store.store import open_store
from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

store = open_store(sys.argv[1])
desk = StoredDesk(store, store.kitchens()[0].id, datetime.now(UTC))
config = uvicorn.Config(
    create_app(desk), port=int(sys.argv[2]), log_level="warning", lifespan="off", backlog=512
)
uvicorn.Server(config).run()
"""


def spread(seconds: list[float]) -> dict[str, float]:
    cuts = statistics.quantiles(seconds, n=20)
    found = {"p50_ms": cuts[9], "p95_ms": cuts[18], "worst_ms": max(seconds)}
    return {name: round(value * 1000, 2) for name, value in found.items()}


def timed(work: Callable[[], Any], times: int = 1) -> list[float]:
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return found


def note(kitchen: str, happened: datetime) -> Entry:
    body = {"rise": 1.6, "temperature_c": 24.0, "culture": "Gannet"}
    return Entry(str(uuid4()), kitchen, EntryKind.MEASURED, happened, happened, "Orla", body)


def appends(store: Store, kitchen: str) -> dict[str, float]:
    entries = iter([note(kitchen, datetime.now(UTC)) for _ in range(APPENDS + 20)])
    timed(lambda: store.append(next(entries)), 20)
    return spread(timed(lambda: store.append(next(entries)), APPENDS))


def history(store: Store, desk: StoredDesk, kitchen: str, sensor: Sensor) -> dict[str, Any]:
    """Ten years taken in, then looked at as a page does: all of it, a month, a day, the log."""
    end = datetime.now(UTC)
    start = end - YEARS
    first, step = (start - EPOCH) // MS, YEARS // MS // SAMPLES
    at_ms = array("q", range(first, first + step * SAMPLES, step)[:SAMPLES])
    year = 365.25 * 86_400_000
    values = array("d", (17 + 3 * sin(2 * pi * at / year) for at in at_ms))
    (taken_in,) = timed(lambda: store.append_series(sensor, at_ms, values))
    happened = [start + i * (YEARS / ENTRIES) for i in range(ENTRIES)]
    (entered,) = timed(lambda: [store.append(note(kitchen, each)) for each in happened])
    month, day = timedelta(days=30), timedelta(days=1)
    sensors, records = desk.sensors, desk.records
    asked = {
        "ten_years": lambda: sensors.samples(sensor.name, start, end, 1200),
        "a_month": lambda: sensors.samples(sensor.name, end - month, end, 1200),
        "a_day": lambda: sensors.samples(sensor.name, end - day, end, 1200),
        "log_of_a_month": lambda: records.lines(since=end - month),
    }
    found: dict[str, Any] = {name: spread(timed(work, 20)) for name, work in asked.items()}
    whole = [sum(each) for each in zip(*(timed(w, 20) for w in asked.values()), strict=True)]
    return {
        "samples": store.sample_count(sensor),
        "samples_per_second_in": round(SAMPLES / taken_in),
        "entries_per_second_in": round(ENTRIES / entered),
        "page": spread(whole),
        "whole_log": spread(timed(records.lines, 5)),
        **found,
    }


async def crowd(port: int, token: str, bake: str) -> dict[str, Any]:
    """Each client posts a sample and a note of the bench, and reads pages, all at the same time."""
    took: dict[str, list[float]] = {}
    answers: Counter[str] = Counter()

    async def ask(
        client: httpx.AsyncClient, name: str, method: str, path: str, **rest: Any
    ) -> None:
        start = time.perf_counter()
        try:
            answer = str((await client.request(method, path, **rest)).status_code)
        except httpx.HTTPError as error:
            answer = type(error).__name__
        took.setdefault(name, []).append(time.perf_counter() - start)
        answers[f"{name} {answer}"] += 1

    async def one(number: int) -> None:
        base = f"{ORIGIN}:{port}"
        async with httpx.AsyncClient(base_url=base, timeout=PATIENCE_S) as client:
            for turn in range(ROUNDS):
                at = datetime.now(UTC) - timedelta(days=1, seconds=number * ROUNDS + turn)
                sample = {"temperature": 18.0, "at": at.isoformat()}
                bearer = {"Authorization": f"Bearer {token}"}
                await ask(client, "sample", "POST", "/probe", json=sample, headers=bearer)
                told = {"entry": str(uuid4()), "bake": bake, "step": "mix"}
                from_us = {"Origin": base}
                verb = "done" if turn % 2 == 0 else "take-back"
                await ask(client, "tell", "POST", f"/bench/{verb}", data=told, headers=from_us)
                await ask(client, "read", "GET", ("/", "/week", "/formulas")[turn % 3])

    start = time.perf_counter()
    await asyncio.gather(*(one(number) for number in range(CLIENTS)))
    wall = time.perf_counter() - start
    return {
        "clients": CLIENTS,
        "requests": answers.total(),
        "errors": sum(count for answer, count in answers.items() if answer[-3:] >= "400"),
        "answers": dict(answers),
        "seconds": round(wall, 1),
        "requests_per_second": round(answers.total() / wall),
        **{name: spread(each) for name, each in took.items()},
    }


def served(store: Store, url: str, desk: StoredDesk, token: str, bake: str) -> dict[str, Any]:
    import socket

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    before = {entry.id for entry in store.entries(store.kitchens()[0].id)}
    process = subprocess.Popen([sys.executable, "-c", SERVE, url, str(port)], env=os.environ)
    try:
        for _ in range(200):
            try:
                if httpx.get(f"{ORIGIN}:{port}/", timeout=60).status_code == 200:
                    break
            except httpx.TransportError:
                time.sleep(0.2)
        found = asyncio.run(crowd(port, token, bake))
    finally:
        process.terminate()
        process.wait()
    kept = {entry.id for entry in store.entries(store.kitchens()[0].id)} - before
    return found | {"entries_kept": len(kept)}


def on(url: str) -> dict[str, Any]:
    now = datetime.now(UTC)
    with open_store(url) as store:
        kitchen = take_in(store, demonstration_text(), demonstration_formulas(), now).id
        desk = StoredDesk(store, kitchen, now)
        found: dict[str, Any] = {"append": appends(store, kitchen)}
        made = desk.sensors.add("Tubs", "temperature", "Hall")
        bake = str(uuid4())
        desk.wish(bake, "harbour-loaf", 8, next_saturday(desk.kitchen().zone, now), now)
        assert [each.key for each in desk.bakes()] == [bake], "the bake could not be planned"
        found["crowd"] = served(store, url, desk, made.token, bake)
        found["history"] = history(store, desk, kitchen, made.sensor)
        return found


@contextmanager
def stores() -> Iterator[dict[str, str]]:
    with tempfile.TemporaryDirectory() as folder, postgresql() as server:
        yield {
            "sqlite": f"sqlite:///{Path(folder) / 'daybook.sqlite3'}",
            "postgresql": server.new_database(),
        }


def main() -> None:
    with stores() as urls:
        found = {name: on(url) for name, url in urls.items()}
    print(json.dumps({"cores": os.cpu_count(), "load": os.getloadavg()} | found, indent=2))


if __name__ == "__main__":
    main()
