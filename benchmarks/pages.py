"""How quick are the pages? `python -m benchmarks.pages [--months N] [--quick]` tells, as JSON.

For each page, once what it asks for beside itself is worked out: how long the server took, how much
of that it worked and how long the client waited, one client asking and then fifty; beside them the
same of an empty page through the same guard and compression. For what is written down: the same,
beside one durable insert. Then some pages while a week of four breads is planned, and how long that
took; how often a second a page that has not changed is answered so, and
what the server holds in memory. All that for three, twelve and sixty months of daybook (or the
months given), made of the demonstration's twelve weeks told again and again; and how it grew. The
server is a process of its own on the loopback address; every loop has an end in time and in number.
Where others work on the machine too, the times mean less; the work of the server alone means what
it says.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import re
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from uuid import NAMESPACE_URL, uuid4, uuid5

from benchmarks.pages_server import EMPTY, INSERT, SINCE
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import ReadingKind
from pointage.daybook.store.store import open_store
from pointage.desk.answers import Report
from pointage.desk.opening import open_demonstration
from pointage.timetable.plan import StepKind

PAGES = {
    "bench": "/",
    "week": "/week",
    "cultures": "/cultures",
    "culture": "/cultures/Gannet",
    "formula": "/formulas/harbour-loaf",
    "daybook": "/daybook",
    "larder": "/larder",
}
BREADS = (
    ("harbour-loaf", 2, "09:00"),
    ("tinned-rye", 2, "15:00"),
    ("seeded-rolls", 3, "10:00"),
    ("sunday-spelt", 4, "11:00"),
)
"""Of the week that is planned meanwhile: the formula, in how many days, and when."""
MEANWHILE = ("bench", "larder", "formula")
MONTHS = (3, 12, 60)
WEEKS = 12
"""What the demonstration tells of: three months."""

CLIENTS = 50
SERVER = ("-m", "benchmarks.pages_server")
BEFORE_THE_MIX = timedelta(minutes=95)
RISES = ((5.0, 1.2), (3.0, 1.5), (1.2, 1.9))  # hours before the moment, and what was read
PATIENCE_S = 120.0
LONGEST_S = 20.0
"""What would take a crowd longer than this, by one client's median, is not asked of it."""

A_TIME = re.compile(r"dur=([\d.]+)")
A_DAY = re.compile(r"\d{4}-\d\d-\d\d(T.*)?")


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is asked: at most so many, for at most so long."""

    alone: int
    alone_s: float
    crowd: int
    crowd_s: float


FULL = Effort(alone=40, alone_s=3.0, crowd=4000, crowd_s=3.0)
QUICK = Effort(alone=6, alone_s=0.5, crowd=150, crowd_s=0.5)


# The past.


@dataclass(frozen=True, slots=True)
class Past:
    """A store, the moment at which it is looked at, and a step of the bake then in hand."""

    store: Path
    moment: datetime
    bake: str
    step: str


def tell_a_past(folder: Path) -> Past:
    """Skerry Hall on a Friday before the mix, a levain standing."""
    os.environ["XDG_DATA_HOME"] = str(folder)
    clock = [SINCE]
    desk = open_demonstration(SINCE, clock=lambda: clock[0])
    bake = desk.bakes()[0]
    mix = next(step for step in bake.plan.steps if step.kind is StepKind.MIX)
    fed = [s for s in bake.plan.steps if s.kind in (StepKind.FEED, StepKind.BUILD)]
    clock[0] = moment = mix.start - BEFORE_THE_MIX
    for step in fed:
        desk.mark_done(Report(str(uuid4()), bake.key, step.key, step.end))
    for hours, rise in RISES:
        told = Report(str(uuid4()), bake.key, fed[-1].key, moment - timedelta(hours=hours))
        desk.record_reading(told, ReadingKind.RISE, rise)
    (made,) = folder.rglob("demonstration.sqlite3")
    return Past(made, moment, bake.key, fed[-1].key)


def lengthened(past: Past, months: int, store: Path) -> int:
    """A copy of the store that tells of so many months; how many entries it has."""
    with closing(sqlite3.connect(past.store)) as source, closing(sqlite3.connect(store)) as copy:
        source.backup(copy)
    with open_store(f"sqlite:///{store}") as opened:
        kitchen = opened.kitchens()[0].id
        again = recorded_again(opened.entries(kitchen), max(0, round(months / 3) - 1))
        opened.append_all(kitchen, list(again))
        return len(opened.entries(kitchen))


def recorded_again(entries: Sequence[Entry], times: int) -> Iterator[Entry]:
    """What is over and done with, told once more so many times twelve weeks earlier.

    What was bought then is used up by the end of it: nobody keeps five years of honey.
    """
    baked = {entry.body["bake"] for entry in entries if entry.kind is EntryKind.BAKED}
    over = [
        entry
        for entry in entries
        if entry.kind is not EntryKind.COUNTED
        and (entry.kind is not EntryKind.PLAN or entry.id in baked)
        and entry.body.get("bake", entry.id) in {*baked, entry.id}
    ]
    for turn in range(1, times + 1):
        earlier = timedelta(weeks=WEEKS * turn)
        ids = {entry.id: str(uuid5(NAMESPACE_URL, f"{turn} {entry.id}")) for entry in over}
        for entry in over:
            yield Entry(
                ids[entry.id],
                entry.kitchen,
                entry.kind,
                entry.happened - earlier,
                entry.arrived - earlier,
                entry.author,
                _moved(entry.body, ids, earlier),
            )
        for item in sorted({e.body["item"] for e in over if e.kind is EntryKind.BOUGHT}):
            name, end = str(uuid5(NAMESPACE_URL, f"{turn} {item}")), over[-1].happened - earlier
            body = {"item": item, "grams": 0}
            yield Entry(name, over[-1].kitchen, EntryKind.COUNTED, end, end, "baker", body)


def _moved(told: Any, ids: Mapping[str, str], earlier: timedelta) -> Any:
    """What a body says, so much earlier and of the entries of then."""
    if isinstance(told, Mapping):
        return {key: _moved(value, ids, earlier) for key, value in told.items()}
    if isinstance(told, list):
        return [_moved(value, ids, earlier) for value in told]
    if not isinstance(told, str):
        return told
    if A_DAY.fullmatch(told):
        when: date = datetime.fromisoformat(told) if "T" in told else date.fromisoformat(told)
        return (when - earlier).isoformat()
    return ids.get(told, told)


# The asking.


@dataclass
class Answers:
    """What came back: statuses, and seconds as the client waited and the server took and worked."""

    waited: list[float] = field(default_factory=list)
    served: list[float] = field(default_factory=list)
    worked: list[float] = field(default_factory=list)
    statuses: dict[int, int] = field(default_factory=dict)
    seconds: float = 0.0

    def one(self) -> dict[str, Any]:
        """Milliseconds, for one client."""
        spreads = {"server": self.served, "server_cpu": self.worked, "client": self.waited}
        return {name: spread(each) for name, each in spreads.items()} | self._failed()

    def many(self) -> dict[str, Any]:
        """A second's requests, for a crowd."""
        rate = round(len(self.waited) / self.seconds, 1)
        return {"per_second": rate, "client": spread(self.waited)} | self._failed()

    def _failed(self) -> dict[str, int]:
        return {"failed": sum(n for status, n in self.statuses.items() if status >= 400)}


def spread(seconds: Sequence[float]) -> dict[str, float]:
    """Half and 95 in 100 of them below this, in milliseconds."""
    if len(seconds) < 2:
        return {name: round(1000 * s, 2) for name in ("p50", "p95") for s in seconds}
    cuts = statistics.quantiles(seconds, n=20, method="inclusive")
    return {"p50": round(cuts[9] * 1000, 2), "p95": round(cuts[18] * 1000, 2)}


@dataclass(frozen=True, slots=True)
class Ask:
    """One request; `fields` of a form are made anew for each.

    tags: of the last answer, shared by all who ask; None to ask as if for the first time.
    """

    path: str
    tags: list[str] | None = None
    fields: Callable[[], Mapping[str, str]] | None = None


@dataclass(frozen=True, slots=True)
class Server:
    """The server in its own process."""

    port: int
    pid: int

    def connect(self) -> http.client.HTTPConnection:
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)

    def answer(
        self, connection: http.client.HTTPConnection, ask: Ask, found: Answers
    ) -> http.client.HTTPResponse:
        headers = {"Accept-Encoding": "gzip"}
        if ask.tags:
            headers["If-None-Match"] = ask.tags[-1]
        body = None
        if ask.fields is not None:
            body = urlencode(ask.fields()).encode()
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            headers["Origin"] = f"http://127.0.0.1:{self.port}"
        start = time.perf_counter()
        connection.request("GET" if body is None else "POST", ask.path, body, headers)
        answer = connection.getresponse()
        answer.read()
        found.waited.append(time.perf_counter() - start)
        took, cpu = A_TIME.findall(answer.headers["Server-Timing"])
        found.served.append(float(took) / 1000)
        found.worked.append(float(cpu) / 1000)
        if ask.tags is not None and answer.status == 200:
            ask.tags[:] = filter(None, [answer.headers.get("ETag")])
        found.statuses[answer.status] = found.statuses.get(answer.status, 0) + 1
        return answer

    def alone(self, ask: Ask, most: int, seconds: float) -> Answers:
        """One client, one request after another on one connection."""
        found, connection = Answers(), self.connect()
        start = time.perf_counter()
        for _ in range(most):
            self.answer(connection, ask, found)
            found.seconds = time.perf_counter() - start
            if found.seconds > seconds:
                break
        connection.close()
        return found

    def crowd(self, ask: Ask, most: int, seconds: float) -> Answers:
        """Fifty clients at the same time, each on its own connection."""
        each = [Answers() for _ in range(CLIENTS)]
        ready = threading.Barrier(CLIENTS + 1)

        def one(found: Answers) -> None:
            connection = self.connect()
            connection.connect()
            ready.wait(PATIENCE_S)
            until = time.perf_counter() + seconds
            for _ in range(max(1, most // CLIENTS)):
                self.answer(connection, ask, found)
                if time.perf_counter() > until:
                    break
            connection.close()

        threads = [threading.Thread(target=one, args=(found,), daemon=True) for found in each]
        for thread in threads:
            thread.start()
        ready.wait(PATIENCE_S)
        start = time.perf_counter()
        for thread in threads:
            thread.join(2 * PATIENCE_S)
        whole = Answers(seconds=time.perf_counter() - start)
        for found in each:
            whole.waited += found.waited
            for status, number in found.statuses.items():
                whole.statuses[status] = whole.statuses.get(status, 0) + number
        return whole

    def settle(self, path: str) -> None:
        """Wait until what a page asks for beside itself is worked out."""
        connection = self.connect()
        until = time.perf_counter() + PATIENCE_S
        while time.perf_counter() < until:
            self.answer(connection, Ask(path), Answers())
            if not self.works(connection):
                break
            time.sleep(0.2)
        connection.close()

    def works(self, connection: http.client.HTTPConnection) -> bool:
        """Whether anything is worked out beside the pages."""
        connection.request("GET", "/jobs", headers={"HX-Request": "true"})
        return b"/jobs/cancel" in connection.getresponse().read()

    def memory_mb(self) -> float:
        """Resident, as the system counts it."""
        told = subprocess.run(
            ["ps", "-o", "rss=", "-p", str(self.pid)], capture_output=True, text=True, check=True
        )
        return round(int(told.stdout) / 1024, 1)


@contextmanager
def serve(store: Path, moment: datetime) -> Iterator[Server]:
    """The pages on that store, in a process that ends when its input does."""
    command = [sys.executable, *SERVER, str(store), moment.isoformat()]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            yield Server(int(process.stdout.readline()), process.pid)
        finally:
            process.stdin.close()
            try:
                process.wait(20)
            except subprocess.TimeoutExpired:
                process.kill()


# The measuring.


def views() -> dict[str, Ask]:
    """The pages, by name, and an empty one beside them."""
    return {name: Ask(path) for name, path in {"empty": EMPTY, **PAGES}.items()}


def entries(past: Past) -> dict[str, Ask]:
    """What is written down, by name, and a bare insert beside it."""
    step = {"bake": past.bake, "step": past.step}
    rise = {"kind": "rise", "value": "1.9"}
    return {
        "insert": Ask(INSERT, fields=lambda: {"entry": str(uuid4())}),
        "done": Ask("/bench/done", fields=lambda: {"entry": str(uuid4()), **step}),
        "reading": Ask("/bench/reading", fields=lambda: {"entry": str(uuid4()), **rise, **step}),
    }


def measure(past: Past, store: Path, effort: Effort) -> dict[str, Any]:
    """Everything, on one store."""
    told = entries(past)
    with serve(store, past.moment) as server:
        found: dict[str, Any] = {"memory_mb": {"before": server.memory_mb()}}
        found["views"] = {name: _view(server, ask, effort) for name, ask in views().items()}
        found["while_planning"] = _while_planning(server, past.moment)
        found["unchanged"] = _unchanged(server, PAGES["bench"], effort)
        found["entries"] = {name: _both(server, told[name], effort) for name in ("insert", "done")}
        found["bench_after_an_entry"] = _after(server, told["reading"], effort)
        found["entries"]["reading"] = _both(server, told["reading"], effort)
        found["memory_mb"]["after"] = server.memory_mb()
    return found


def _view(server: Server, ask: Ask, effort: Effort) -> dict[str, Any]:
    first = server.alone(ask, 1, effort.alone_s)
    server.settle(ask.path)
    return {"first_ms": round(first.served[0] * 1000, 1), **_both(server, ask, effort)}


def _both(server: Server, ask: Ask, effort: Effort) -> dict[str, Any]:
    """One client, then the crowd; None for a crowd that would have to wait too long."""
    alone = server.alone(ask, effort.alone, effort.alone_s)
    bearable = CLIENTS * statistics.median(alone.waited) < LONGEST_S
    crowd = server.crowd(ask, effort.crowd, effort.crowd_s).many() if bearable else None
    return {"alone": alone.one(), "crowd": crowd}


def _while_planning(server: Server, moment: datetime) -> dict[str, Any]:
    """Pages in turn, from the moment that a week is asked for until it is there."""
    found = {name: Answers() for name in MEANWHILE}
    connection, start = server.connect(), time.perf_counter()
    week = {"entry": str(uuid4())}
    for number, (formula, days, clock) in enumerate(BREADS, 1):
        day = (moment + timedelta(days=days)).date().isoformat()
        wish = {"formula": formula, "day": day, "clock": clock, "pieces": "4"}
        week |= {f"wish-{number}-{name}": said for name, said in wish.items()}
    server.answer(connection, Ask("/week/plan", fields=lambda: week), Answers())
    while server.works(connection) and time.perf_counter() - start < PATIENCE_S:
        for name, each in found.items():
            server.answer(connection, Ask(PAGES[name]), each)
    seconds = time.perf_counter() - start
    connection.close()
    views = {name: each.one() for name, each in found.items() if each.waited}
    return {"seconds": round(seconds, 2), "views": views}


def _unchanged(server: Server, path: str, effort: Effort) -> dict[str, Any] | None:
    """A page asked for with the tag of its last answer; None where it has none.

    A page lives for a minute: when that is over while we ask, some are answered in full.
    """
    ask = Ask(path, tags=[])
    server.alone(ask, 1, effort.alone_s)
    if not ask.tags:
        return None
    alone = server.alone(ask, effort.alone, effort.alone_s)
    crowd = server.crowd(ask, effort.crowd, effort.crowd_s)
    answered = crowd.statuses.get(304, 0) / sum(crowd.statuses.values())
    return {"alone": alone.one(), "crowd": crowd.many(), "answered_304": round(answered, 3)}


def _after(server: Server, told: Ask, effort: Effort) -> dict[str, Any]:
    """The Bench at once after an entry, which nothing kept can answer."""
    found, connection = Answers(), server.connect()
    start = time.perf_counter()
    for _ in range(max(2, effort.alone // 2)):
        server.answer(connection, told, Answers())
        server.answer(connection, Ask(PAGES["bench"]), found)
        if time.perf_counter() - start > 2 * effort.alone_s:
            break
    connection.close()
    return found.one()


def growth(past: Past, stores: Mapping[str, Path], effort: Effort) -> dict[str, dict[str, float]]:
    """How many times as much the server works for the median view or entry as on the first store.

    The stores take turns, ask by ask, so that what else the machine does meets them all alike.
    """
    least, *others = stores
    grown: dict[str, dict[str, float]] = {f"{each}/{least}": {} for each in others}
    if not others:
        return grown
    with ExitStack() as opened:
        servers = {
            name: opened.enter_context(serve(store, past.moment)) for name, store in stores.items()
        }
        for what, ask in {**views(), **entries(past)}.items():
            found = {name: Answers() for name in servers}
            for server in servers.values():
                server.settle(PAGES["bench"] if what in entries(past) else ask.path)
            for _ in range(2 * effort.alone):
                for name, server in servers.items():
                    connection = server.connect()
                    server.answer(connection, ask, found[name])
                    connection.close()
            work = {name: statistics.median(each.worked) for name, each in found.items()}
            for each in others:
                grown[f"{each}/{least}"][what] = round(work[each] / work[least], 2)
    return grown


def run(months: Sequence[int], effort: Effort) -> dict[str, Any]:
    """The whole answer."""
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as name:
        past = tell_a_past(Path(name))
        stores = {str(each): Path(name) / f"{each}.sqlite3" for each in months}
        told = {str(each): lengthened(past, each, stores[str(each)]) for each in months}
        for each, store in stores.items():
            found[each] = {"entries_told": told[each], **measure(past, store, effort)}
        for length in months:  # afresh: what a crowd told is no daybook
            stores[str(length)].unlink()
            lengthened(past, length, stores[str(length)])
        grown = growth(past, stores, effort)
    machine = {"cores": os.cpu_count(), "load": os.getloadavg(), "clients": CLIENTS}
    return {"machine": machine, "months": found, "growth": grown}


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--months", type=int, help="of daybook; without it three sizes")
    arguments.add_argument("--quick", action="store_true", help="three months, and few of each")
    wanted = arguments.parse_args()
    months = (3,) if wanted.quick else MONTHS
    months = months if wanted.months is None else (wanted.months,)
    print(json.dumps(run(months, QUICK if wanted.quick else FULL), indent=2))


if __name__ == "__main__":
    main()
