"""Work beside the pages: asked once, done once, stopped when told to, and never lost."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.desk.jobs import MOST_KEPT, Job, Jobs

PATIENCE_S = 20.0
PLOVER = ("beliefs", "Plover")
GANNET = ("beliefs", "Gannet")
PLAN_OF = ("plan", "a bake to be")


class Gate:
    """Work that says when it begins and goes on when it is let."""

    def __init__(self, found: object) -> None:
        self.begun, self.let, self.runs = threading.Event(), threading.Event(), 0
        self._found = found

    def __call__(self, job: Job) -> object:
        self.runs += 1
        self.begun.set()
        assert self.let.wait(PATIENCE_S)
        job.reached(0.5)
        return self._found


def never(_: Job) -> object:
    raise AssertionError("nobody wants this worked out")


def giving(found: object) -> Callable[[Job], object]:
    return lambda _: found


def test_without_a_thread_of_its_own_all_is_done_when_asked_for() -> None:
    jobs = Jobs(beside=False)
    answer = jobs.ask(PLOVER, 1, giving("known"))
    assert (answer.found, answer.fresh, answer.waits) == ("known", True, False)
    assert jobs.ask(PLOVER, 1, never).found == "known"
    assert jobs.under_way() == []


def test_the_last_answer_stands_until_the_new_one_is_there() -> None:
    jobs, gate = Jobs(), Gate("second")
    jobs.ask(PLOVER, 1, giving("first"))
    assert jobs.wait(PATIENCE_S)
    answer = jobs.ask(PLOVER, 2, gate)
    assert (answer.found, answer.fresh, answer.stamp, answer.waits) == ("first", False, 1, True)
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    answer = jobs.ask(PLOVER, 2, never)
    assert (answer.found, answer.fresh, answer.stamp, answer.waits) == ("second", True, 2, False)


def test_what_is_asked_twice_runs_once() -> None:
    jobs, gate = Jobs(), Gate("known")
    for _ in range(3):
        assert jobs.ask(PLOVER, 1, gate).waits
    assert gate.begun.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, 1, never).waits
    assert [job.subject for job in jobs.under_way()] == [PLOVER]
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    assert gate.runs == 1


def test_another_stamp_runs_once_more_after_the_one_that_is_running() -> None:
    jobs, first, second, third = Jobs(), Gate("first"), Gate("second"), Gate("third")
    jobs.ask(PLOVER, 1, first)
    assert first.begun.wait(PATIENCE_S)
    jobs.ask(PLOVER, 2, second)
    jobs.ask(PLOVER, 3, third)
    assert [job.stamp for job in jobs.under_way()] == [1, 3]
    for gate in (first, second, third):
        gate.let.set()
    assert jobs.wait(PATIENCE_S)
    assert (first.runs, second.runs, third.runs) == (1, 0, 1)
    assert jobs.ask(PLOVER, 3, never).found == "third"


def test_how_far_it_is_is_known_while_it_runs() -> None:
    jobs, gate, halfway, end = Jobs(), Gate(None), threading.Event(), threading.Event()

    def work(job: Job) -> None:
        gate(job)
        halfway.set()
        assert end.wait(PATIENCE_S)

    jobs.ask(PLOVER, 1, work)
    gate.let.set()
    assert halfway.wait(PATIENCE_S)
    assert [job.share for job in jobs.under_way()] == [0.5]
    end.set()
    assert jobs.wait(PATIENCE_S)


def test_what_somebody_waits_for_comes_before_what_is_queued_and_is_worked_out_anew() -> None:
    jobs, first, urgent = Jobs(), Gate("first"), Gate("urgent")
    jobs.ask(PLOVER, 1, first)
    jobs.ask(GANNET, 1, giving("later"))
    waiting = jobs.within(0.01, PLAN_OF, "asked", urgent)
    assert (waiting.found, waiting.waits, waiting.stamp) == (None, True, "asked")
    assert [job.subject for job in jobs.under_way()] == [PLOVER, PLAN_OF, GANNET]
    assert jobs.within(0.01, PLAN_OF, "asked", never).waits  # sent twice: it is under way
    first.let.set()
    urgent.let.set()
    assert jobs.wait(PATIENCE_S)
    known = jobs.look(PLAN_OF)
    assert known is not None
    assert (known.found, known.fresh) == ("urgent", True)
    again = jobs.within(PATIENCE_S, PLAN_OF, "asked", giving("anew"))
    assert (again.found, again.waits) == ("anew", False)


def test_what_was_stopped_while_somebody_waits_is_known_as_stopped_and_can_be_asked_again() -> None:
    jobs, gate = Jobs(), Gate("never heard")
    jobs.within(0.01, PLAN_OF, "asked", gate)
    assert gate.begun.wait(PATIENCE_S)
    jobs.cancel(PLAN_OF)
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    stopped = jobs.look(PLAN_OF)
    assert stopped is not None
    assert (stopped.found, stopped.waits, stopped.stamp) == (None, False, "asked")
    assert jobs.within(PATIENCE_S, PLAN_OF, "asked", giving("found")).found == "found"
    assert jobs.look(("plan", "another")) is None


def test_what_was_cancelled_is_not_begun_again_until_something_is_new() -> None:
    jobs, gate = Jobs(), Gate("unwanted")
    jobs.ask(PLOVER, 1, giving("first"))
    assert jobs.wait(PATIENCE_S)
    jobs.ask(PLOVER, 2, gate)
    assert gate.begun.wait(PATIENCE_S)
    jobs.cancel(PLOVER)
    assert jobs.under_way() == []
    assert jobs.stopped() == [PLOVER]
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    answer = jobs.ask(PLOVER, 2, never)
    assert (answer.found, answer.fresh, answer.waits) == ("first", False, False)
    assert jobs.ask(PLOVER, 3, giving("third")).waits
    assert jobs.stopped() == []
    assert jobs.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, 3, never).found == "third"


def test_what_waits_for_its_turn_can_be_cancelled_and_allowed_again() -> None:
    jobs, gate = Jobs(), Gate("known")
    jobs.ask(GANNET, 1, gate)
    jobs.ask(PLOVER, 1, never)
    jobs.cancel(PLOVER)
    assert [job.subject for job in jobs.under_way()] == [GANNET]
    before = jobs.changes
    jobs.allow(PLOVER)
    assert jobs.changes == before + 1
    assert jobs.ask(PLOVER, 1, giving("after all")).waits
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, 1, never).found == "after all"


def test_to_cancel_what_is_not_under_way_changes_nothing() -> None:
    jobs = Jobs()
    jobs.cancel(PLOVER)
    jobs.allow(PLOVER)
    assert (jobs.changes, jobs.stopped()) == (0, [])


def test_what_failed_is_logged_and_tried_again_only_when_something_is_new(
    caplog: pytest.LogCaptureFixture,
) -> None:
    jobs, runs = Jobs(), []

    def fails(_: Job) -> object:
        runs.append(1)
        raise ZeroDivisionError("a fault of ours")

    jobs.ask(PLOVER, 1, giving("first"))
    assert jobs.wait(PATIENCE_S)
    with caplog.at_level(logging.ERROR):
        jobs.ask(PLOVER, 2, fails)
        assert jobs.wait(PATIENCE_S)
    (record,) = caplog.records
    assert "beliefs of Plover" in record.getMessage()
    assert record.exc_info is not None
    for _ in range(3):
        answer = jobs.ask(PLOVER, 2, fails)
        assert (answer.found, answer.fresh, answer.waits) == ("first", False, False)
    assert len(runs) == 1
    jobs.ask(PLOVER, 3, giving("third"))
    assert jobs.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, 3, never).found == "third"


def test_two_who_want_it_at_once_share_one_run() -> None:
    jobs, gate, found = Jobs(), Gate("known"), []

    def want() -> None:
        found.append(jobs.at_once(PLOVER, 1, gate))

    threads = [threading.Thread(target=want) for _ in range(4)]
    for thread in threads:
        thread.start()
    assert gate.begun.wait(PATIENCE_S)
    gate.let.set()
    for thread in threads:
        thread.join(PATIENCE_S)
    assert found == ["known"] * 4
    assert gate.runs == 1


def test_what_is_wanted_at_once_waits_for_the_same_that_is_running() -> None:
    jobs, gate, found = Jobs(), Gate("known"), []
    jobs.ask(PLOVER, 1, gate)
    assert gate.begun.wait(PATIENCE_S)
    thread = threading.Thread(target=lambda: found.append(jobs.at_once(PLOVER, 1, never)))
    thread.start()
    gate.let.set()
    thread.join(PATIENCE_S)
    assert found == ["known"]


def test_what_fails_at_once_leaves_the_way_free() -> None:
    jobs = Jobs(beside=False)
    with pytest.raises(ZeroDivisionError):
        jobs.at_once(PLOVER, 1, lambda _: 1 // 0)
    assert jobs.at_once(PLOVER, 1, giving("known")) == "known"


def test_work_may_want_other_work_at_once() -> None:
    jobs = Jobs()
    jobs.ask(PLOVER, 1, lambda _: ("with", jobs.at_once(GANNET, 1, giving("known"))))
    assert jobs.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, 1, never).found == ("with", "known")


def test_what_is_no_more_is_forgotten_and_not_worked_on() -> None:
    jobs, gate = Jobs(), Gate("late")
    jobs.ask(("beliefs", "Knot"), 1, giving("known"))
    assert jobs.wait(PATIENCE_S)
    jobs.ask(PLOVER, 1, gate)
    assert gate.begun.wait(PATIENCE_S)
    jobs.ask(GANNET, 1, never)
    jobs.forget(lambda subject: False)
    assert (jobs.under_way(), jobs.stopped()) == ([], [])
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, 1, giving("again")).found is None
    assert jobs.ask(("beliefs", "Knot"), 1, giving("again")).found is None
    assert jobs.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, 1, never).found == "again"


def test_no_more_is_kept_than_fits() -> None:
    jobs = Jobs(beside=False)
    for number in range(MOST_KEPT + 10):
        jobs.ask(("watch", str(number)), 1, giving(number))
    assert jobs.ask(("watch", str(MOST_KEPT)), 1, never).found == MOST_KEPT
    assert jobs.ask(("watch", "0"), 1, giving("anew")).found == "anew"


names = st.sampled_from(["Plover", "Gannet", "Knot"])
orders = st.lists(
    st.one_of(
        st.tuples(st.just("ask"), names, st.integers(0, 3)),
        st.tuples(st.just("at once"), names, st.integers(0, 3)),
        st.tuples(st.sampled_from(["cancel", "allow"]), names, st.just(0)),
    ),
    max_size=12,
)


@settings(max_examples=some(40), deadline=None)
@given(st.lists(orders, min_size=1, max_size=4))
def test_whatever_is_asked_at_the_same_time_no_subject_is_worked_on_twice_at_once(
    several: list[list[tuple[str, str, int]]],
) -> None:
    """And in the end whoever asks anew is answered rightly."""
    jobs, lock = Jobs(), threading.Lock()
    running: set[str] = set()
    wrong: list[str] = []

    def work(name: str, stamp: int) -> Callable[[Job], tuple[str, int]]:
        def run(job: Job) -> tuple[str, int]:
            with lock:
                if name in running:
                    wrong.append(name)
                running.add(name)
            try:
                job.reached(0.5)
                return name, stamp
            finally:
                with lock:
                    running.discard(name)

        return run

    def one(wanted: list[tuple[str, str, int]]) -> None:
        for verb, name, stamp in wanted:
            subject = ("beliefs", name)
            if verb == "ask":
                answer = jobs.ask(subject, stamp, work(name, stamp))
                if answer.fresh and answer.found != (name, stamp):
                    wrong.append(f"{name} at {stamp}")
            elif verb == "at once":
                if jobs.at_once(subject, stamp, work(name, stamp)) != (name, stamp):
                    wrong.append(f"{name} at {stamp}, at once")
            elif verb == "cancel":
                jobs.cancel(subject)
            else:
                jobs.allow(subject)

    threads = [threading.Thread(target=one, args=(wanted,)) for wanted in several]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S)
    assert not any(thread.is_alive() for thread in threads)
    assert jobs.wait(PATIENCE_S)
    assert wrong == []
    jobs.ask(PLOVER, "last", work("Plover", 9))
    assert jobs.wait(PATIENCE_S)
    assert jobs.ask(PLOVER, "last", never).found == ("Plover", 9)


def test_what_somebody_waits_for_goes_before_the_rest() -> None:
    jobs, gate = Jobs(), Gate("first")
    done: list[str] = []
    jobs.ask(PLOVER, 1, gate)
    assert gate.begun.wait(PATIENCE_S)
    jobs.ask(GANNET, 1, lambda _: done.append("in the background"))
    assert jobs.awaited(0.01, PLAN_OF, 1, lambda _: done.append("wanted")).waits
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    assert done == ["wanted", "in the background"]


def test_what_is_found_so_far_can_be_looked_at() -> None:
    jobs, shown, gate = Jobs(), threading.Event(), Gate("all of it")

    def work(job: Job) -> object:
        job.so_far = "a part"
        shown.set()
        return gate(job)

    jobs.ask(PLAN_OF, 1, work)
    assert shown.wait(PATIENCE_S)
    looked = jobs.look(PLAN_OF)
    assert looked is not None
    assert (looked.waits, looked.so_far) == (True, "a part")
    gate.let.set()
    assert jobs.wait(PATIENCE_S)
    looked = jobs.look(PLAN_OF)
    assert looked is not None
    assert (looked.found, looked.so_far) == ("all of it", None)
