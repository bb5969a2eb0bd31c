"""A planner in a process of its own gives the same answers, is heard, stopped, replaced and ended.

One process, into which nothing is loaded that is not asked for, serves nearly all of it.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from time import monotonic, sleep

import psutil
import pytest
from tests.desk import solvers
from tests.timetable.hall import NOW, SATURDAY, formula, kitchen

from pointage.data.records import KitchenRecords, ask_records
from pointage.desk.jobs import Job, Jobs
from pointage.desk.planner.beside import MOST_DEATHS, PlannerBeside
from pointage.errors import InputError, InputErrors
from pointage.shown import Shown, showing
from pointage.timetable.choice.memo import Memo
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import plan

PATIENCE_S = 30.0
BEGINS = """
import sys, time
from pathlib import Path
from threading import Thread
from tests.desk import solvers
from pointage.desk.planner.beside import PlannerBeside
idle, busy = PlannerBeside(ready=False), PlannerBeside(ready=False)
idle.begin()
idle.ask(solvers.where)
busy.begin()
asked = dict(target=busy.ask, args=(solvers.until_stopped, sys.argv[1]))
Thread(**asked, kwargs={"reached": lambda share: None}).start()
while not Path(sys.argv[1]).exists():
    time.sleep(0.01)
print(idle.pid, busy.pid, flush=True)
time.sleep(60)
"""


class NotWantedError(Exception):
    """Whoever hears of it wants no more."""


@pytest.fixture(scope="module")
def planner() -> Iterator[PlannerBeside]:
    found = PlannerBeside(ready=False)
    found.begin()
    yield found
    found.end()
    assert found.pid is None


def test_a_bake_is_planned_there_as_here(planner: PlannerBeside) -> None:
    bread, hall = formula("harbour-loaf"), kitchen()
    problem = Problem(bread, hall, hall.cultures[0], NOW, SATURDAY, pieces=4, piece_g=bread.piece_g)
    heard: list[float] = []
    assert planner.ask(plan, problem, reached=heard.append) == plan(problem)
    assert heard == sorted(heard)
    assert heard[-1] > 0.5
    past = replace(problem, ready=NOW)
    with pytest.raises(InputError) as there:
        planner.ask(plan, past)
    with pytest.raises(InputError) as here:
        plan(past)
    assert str(there.value) == str(here.value)
    pid, threads = planner.ask(solvers.where)
    assert pid == planner.pid != os.getpid()
    assert threads == 1, "a week may be planned in it and a copy of it"


def test_what_is_heard_comes_while_it_works(planner: PlannerBeside) -> None:
    shares: list[float] = []
    found: list[tuple[int, ...]] = []
    pid = planner.ask(solvers.steps, 3, reached=shares.append, so_far=found.append)
    assert pid == planner.pid
    assert list(dict.fromkeys(shares)) == [0, 1 / 3, 2 / 3]
    assert found == [(), (0,), (0, 1)]


def test_it_is_asked_in_the_readers_units_with_the_kitchens_own_ingredients(
    planner: PlannerBeside,
) -> None:
    own = KitchenRecords()
    own.keep("spent-grain", {"label": "Spent grain"})
    before = KitchenRecords()
    try:
        ask_records(own)
        with showing(Shown(degrees="F")):
            known = planner.ask(solvers.around, "spent-grain")
        assert known == ("F", {"label": "Spent grain"})
    finally:
        ask_records(before)
    assert planner.ask(solvers.around, "spent-grain") == ("C", None)


def test_a_memo_stays_there(planner: PlannerBeside) -> None:
    one, other = Memo(), Memo()
    asked = [(one, "a"), (one, "b"), (other, "a"), (one, "b"), (one, "c")]
    assert [planner.ask(solvers.remembers, key, memo=memo) for memo, key in asked] == [
        0, 1, 0, 1, 2
    ]  # fmt: skip
    assert not one.has("a")


def test_errors_come_back_as_themselves(planner: PlannerBeside) -> None:
    with pytest.raises(InputErrors) as caught:
        planner.ask(solvers.faults)
    assert str(caught.value).splitlines() == [
        "Mehl: 3 cannot be used; expected less",
        "b: x cannot be used; expected y",
        "the rest: 2 more faults; expected those above mended first",
    ]
    assert caught.value.path == ("flour", 1)
    with pytest.raises(ZeroDivisionError, match="a fault of ours") as failed:
        planner.ask(solvers.fails)
    assert "solvers.py" in "".join(failed.value.__notes__)


def test_a_job_that_is_cancelled_ends_there_and_the_process_goes_on(
    planner: PlannerBeside, tmp_path: Path
) -> None:
    jobs, subject = Jobs(planner=planner), ("week", "asked for")
    pid, begun = planner.pid, tmp_path / "begun"

    def work(job: Job) -> None:
        jobs.planner.ask(solvers.until_stopped, str(begun), reached=job.reached)

    jobs.ask(subject, 1, work)
    until(begun.exists)
    until(lambda: [job.share for job in jobs.under_way()] == [0.5])
    jobs.cancel(subject)
    assert jobs.wait(PATIENCE_S)
    assert jobs.stopped() == [subject]
    assert planner.ask(solvers.where)[0] == pid


def test_one_that_does_not_stop_is_ended_and_another_begun(tmp_path: Path) -> None:
    begun = tmp_path / "begun"
    planner = PlannerBeside(ready=False, stop_within_s=0.05)
    planner.begin()
    pid = planner.pid

    def reached(share: float) -> None:
        if begun.exists():
            raise NotWantedError

    with pytest.raises(NotWantedError):
        planner.ask(solvers.deaf, str(begun), reached=reached)
    assert planner.pid not in (None, pid)
    assert planner.ask(solvers.where)[0] == planner.pid
    planner.end()


def test_what_it_dies_of_is_done_here_and_it_is_replaced() -> None:
    planner = PlannerBeside(ready=False)
    assert planner.ask(solvers.where)[0] == os.getpid(), "it has not begun"
    planner.begin()
    pids = []
    for _ in range(MOST_DEATHS):
        pids.append(planner.pid)
        assert planner.ask(solvers.dies, os.getpid()) == os.getpid()
    assert None not in pids
    assert len(set(pids)) == MOST_DEATHS
    assert planner.pid is None, "one that always dies is not begun for ever"
    assert planner.ask(solvers.where)[0] == os.getpid()


def test_what_cannot_pass_is_done_here(planner: PlannerBeside) -> None:
    pid = planner.pid
    assert planner.ask(solvers.gives_a_function)() == os.getpid()
    assert planner.ask(lambda: solvers.where()[0]) == os.getpid(), "it is no module's"
    assert planner.ask(solvers.where)[0] == pid


def test_whoever_finds_it_busy_does_not_wait(planner: PlannerBeside) -> None:
    said: list[float] = []

    def reached(share: float) -> None:
        asked = threading.Thread(target=lambda: said.append(planner.ask(solvers.where)[0]))
        asked.start()
        asked.join(PATIENCE_S)
        raise NotWantedError

    with pytest.raises(NotWantedError):
        planner.ask(solvers.steps, 1, reached=reached, so_far=lambda found: None)
    assert said == [os.getpid()]


def test_it_ends_with_who_began_it_however_that_ends(tmp_path: Path) -> None:
    begun = str(tmp_path / "begun")
    command = [sys.executable, "-c", BEGINS, begun]
    paths = os.pathsep.join(sys.path)
    with subprocess.Popen(
        command, env={**os.environ, "PYTHONPATH": paths}, stdout=subprocess.PIPE, text=True
    ) as parent:
        assert parent.stdout is not None
        pids = [int(each) for each in parent.stdout.readline().split()]
        assert len(pids) == 2
        parent.kill()
    until(lambda: not any(map(is_there, pids)))


def until(done: Callable[[], bool]) -> None:
    end = monotonic() + PATIENCE_S
    while not done():
        assert monotonic() < end
        sleep(0.01)


def is_there(pid: int) -> bool:
    try:
        return bool(psutil.Process(pid).status() != psutil.STATUS_ZOMBIE)
    except psutil.NoSuchProcess:
        return False
