"""What is offered when things have moved: nothing moves until it is taken, and it can be undone."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from tests.desk.solvers import PlannerPassing
from tests.web.stored_desk import NOW, hall

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import ReadingKind
from pointage.desk.answers import Bake, NotThere, Report
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.moves.causes import MoveCauseKind, causes
from pointage.desk.moves.desk import UNDO_FOR, Moves
from pointage.desk.moves.move import LetGo, MoveKind, NearestStep
from pointage.desk.moves.offer import CLEARLY
from pointage.desk.moves.step import AnotherTime, InTheWay, held_step
from pointage.desk.moves.under_way import under_way
from pointage.desk.now.bakes.bake import step_of, steps_left
from pointage.desk.now.bakes.watch import histories
from pointage.desk.sheets.calendar import kitchen_calendar
from pointage.errors import InputError
from pointage.timetable.pin import Pin
from pointage.timetable.plan import StepKind
from pointage.web.screens.moves.view import moves_note
from pointage.web.words.clock import Clock

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
READY = NOW + 40 * HOUR


class Kitchen:
    """Skerry Hall with a loaf planned, and a clock that is set."""

    def __init__(self, folder: Path) -> None:
        self.now = NOW
        jobs = Jobs(beside=False, planner=PlannerPassing())
        self.desk: StoredDesk = hall(folder, jobs=jobs)
        self.desk._clock = self.desk.records._clock = lambda: self.now
        self.key = str(uuid4())
        self.desk.wish(self.key, "harbour-loaf", 4, READY, NOW)

    @property
    def bake(self) -> Bake:
        return next(each for each in self.desk.bakes() if each.key == self.key)

    def done(self, step: str, late: timedelta = timedelta()) -> str:
        entry, at = str(uuid4()), step_of(self.bake, step).end + late
        self.now = max(self.now, at)
        self.desk.mark_done(Report(entry, self.key, step, at))
        return entry

    def as_far_as_the_mix(self) -> None:
        for step in self.bake.plan.steps:
            if step.hands and step.key != "mix" and step.start < step_of(self.bake, "mix").start:
                self.done(step.key)

    def look(self) -> Moves:
        return self.desk.moves.look(self.now)

    def hours(self) -> list[tuple[str, datetime]]:
        return [(step.key, step.start) for step in self.bake.plan.steps if step.hands]


@pytest.fixture
def kitchen(tmp_path: Path) -> Kitchen:
    return Kitchen(tmp_path)


def test_while_all_is_done_as_planned_nothing_is_offered(kitchen: Kitchen) -> None:
    assert kitchen.look().causes == ()
    for step in kitchen.bake.plan.steps:
        if step.hands:
            kitchen.done(step.key, 9 * MINUTE)
            assert kitchen.look().causes == ()


def test_a_late_step_is_offered_taken_and_undone(kitchen: Kitchen) -> None:
    kitchen.as_far_as_the_mix()
    before, start = kitchen.hours(), step_of(kitchen.bake, "mix").start
    kitchen.now = step_of(kitchen.bake, "mix").end + 30 * MINUTE
    found = kitchen.look()
    assert [each.kind for each in found.causes] == [MoveCauseKind.OVERDUE]
    assert kitchen.hours() == before, "nothing moves until it is taken"
    assert found.offer is not None
    least = found.offer.least
    assert least is not None
    sequence = kitchen_calendar(kitchen.desk.present(), kitchen.now)
    entry = str(uuid4())
    for _ in range(2):  # sent twice, taken once
        kitchen.desk.moves.take(entry, least.token, kitchen.now)
    moved = dict(kitchen.hours())
    assert moved["mix"] >= kitchen.now > start
    assert moved["feed-1"] == dict(before)["feed-1"], "what was done stays"
    assert kitchen.bake.step_news("feed-1").done is not None
    assert kitchen.look().causes == ()
    after = kitchen_calendar(kitchen.desk.present(), kitchen.now)
    assert after != sequence
    assert f"{moved['mix']:%Y%m%dT%H%M%S}" in after
    taken = kitchen.desk.moves.taken(kitchen.now)
    assert taken is not None
    undo = str(uuid4())
    for _ in range(2):
        kitchen.desk.moves.undo(undo, taken.offer, kitchen.now)
    assert kitchen.hours() == before
    assert kitchen.desk.moves.taken(kitchen.now) is None
    numbers = [
        max(int(line[9:]) for line in text.splitlines() if line.startswith("SEQUENCE:"))
        for text in (sequence, after, kitchen_calendar(kitchen.desk.present(), kitchen.now))
    ]
    assert numbers == sorted(numbers), "a calendar hears of what was undone, too"
    assert len(set(numbers)) == 3


def test_what_was_taken_can_be_undone_for_two_hours(kitchen: Kitchen) -> None:
    ready = READY + 2 * HOUR
    found = kitchen.desk.moves.what_if(kitchen.key, ready, kitchen.now)
    assert found.offer is not None
    assert found.offer.least is not None
    entry = str(uuid4())
    wanted = AnotherTime(kitchen.key, ready)
    kitchen.desk.moves.take(entry, found.offer.least.token, kitchen.now, wanted)
    assert kitchen.bake.plan.ready == ready
    kitchen.now += UNDO_FOR + MINUTE
    assert kitchen.desk.moves.taken(kitchen.now) is None
    with pytest.raises(NotThere):
        kitchen.desk.moves.undo(str(uuid4()), entry, kitchen.now)


def test_a_step_is_moved_and_moved_back(kitchen: Kitchen) -> None:
    before, mix = kitchen.hours(), step_of(kitchen.bake, "mix")
    wanted = AnotherTime(kitchen.key, mix.start + 30 * MINUTE, "mix")
    offer = kitchen.desk.moves.what_if(wanted.bake, wanted.at, kitchen.now, wanted.step).offer
    assert offer is not None
    assert offer.step == NearestStep(wanted.at, None)
    assert offer.least is not None
    assert not offer.others
    assert kitchen.hours() == before, "nothing moves until it is taken"
    entry = str(uuid4())
    kitchen.desk.moves.take(entry, offer.least.token, kitchen.now, wanted)
    assert step_of(kitchen.bake, "mix").start == wanted.at
    assert kitchen.look().causes == ()
    assert held_step(kitchen.bake) == step_of(kitchen.bake, "mix")
    kitchen.desk.moves.undo(str(uuid4()), entry, kitchen.now)
    assert kitchen.hours() == before
    assert held_step(kitchen.bake) is None


def holding_the_mix(kitchen: Kitchen) -> datetime:
    """The mix is put half an hour later, by hand."""
    at = step_of(kitchen.bake, "mix").start + 30 * MINUTE
    offer = kitchen.desk.moves.what_if(kitchen.key, at, kitchen.now, "mix").offer
    assert offer is not None
    assert offer.least is not None
    wanted = AnotherTime(kitchen.key, at, "mix")
    kitchen.desk.moves.take(str(uuid4()), offer.least.token, kitchen.now, wanted)
    return at


def test_a_step_that_was_moved_stays_where_it_is_until_it_is_done(kitchen: Kitchen) -> None:
    at = holding_the_mix(kitchen)
    later = kitchen.bake.plan.ready + HOUR
    offer = kitchen.desk.moves.what_if(kitchen.key, later, kitchen.now).offer
    assert offer is not None
    assert offer.least is not None
    moved = offer.least.bakes[0]
    assert moved.thread.mix == at, "and the rest makes up for it"
    assert moved.held == Pin(StepKind.MIX, at)
    assert moved.let_go is None
    kitchen.as_far_as_the_mix()
    assert held_step(kitchen.bake) is not None
    kitchen.done("mix")
    assert held_step(kitchen.bake) is None


def test_what_can_no_longer_be_held_is_let_go_with_its_reason(kitchen: Kitchen) -> None:
    at = holding_the_mix(kitchen)
    far = kitchen.bake.plan.ready + 30 * HOUR
    offer = kitchen.desk.moves.what_if(kitchen.key, far, kitchen.now).offer
    assert offer is not None
    assert offer.least is not None
    moved = offer.least.bakes[0]
    assert moved.thread.mix != at
    assert moved.held is None
    assert moved.let_go == LetGo(step_of(kitchen.bake, "mix"), InTheWay.BREAD)
    clock = Clock(kitchen.desk.kitchen().zone, kitchen.now)
    note = moves_note(Moves(offer.causes, offer), offer.bakes, clock)
    assert "; mix the dough no longer held at Fri 17:30, for what goes into it" in note.line
    for edge, words in ((-20, "a little young"), (20, "a little old")):
        odd = replace(offer.least, bakes=(replace(moved, edge=edge * MINUTE),))
        note = moves_note(Moves(offer.causes, replace(offer, least=odd)), offer.bakes, clock)
        assert f"; the levain is {words} when it is used" in note.line


def test_a_step_is_let_go_once_and_that_can_be_undone(kitchen: Kitchen) -> None:
    holding_the_mix(kitchen)
    kitchen.now += MINUTE
    before, entry = kitchen.hours(), str(uuid4())
    for _ in range(2):
        kitchen.desk.moves.let_go(entry, kitchen.key, kitchen.now)
    assert held_step(kitchen.bake) is None
    assert kitchen.hours() == before
    taken = kitchen.desk.moves.taken(kitchen.now)
    assert taken is not None
    assert taken.let_go
    body, later = {"bake": kitchen.key, "offer": str(uuid4()), "plan": "torn"}, kitchen.now + MINUTE
    torn = Entry(
        str(uuid4()), kitchen.desk.moves._in.id, EntryKind.REPLANNED, later, later, "baker", body
    )
    kitchen.desk.moves._in.store.append(torn)
    assert kitchen.desk.moves.taken(later) == taken, "what is set aside changed nothing"
    with pytest.raises(NotThere):
        kitchen.desk.moves.let_go(str(uuid4()), kitchen.key, kitchen.now)
    kitchen.now += MINUTE
    kitchen.desk.moves.undo(str(uuid4()), taken.offer, kitchen.now)
    assert held_step(kitchen.bake) is not None


@pytest.mark.long
def test_a_step_that_cannot_be_then_says_why_and_what_is_nearest(kitchen: Kitchen) -> None:
    mix = step_of(kitchen.bake, "mix")
    night = mix.start.replace(hour=2, minute=0) + 24 * HOUR
    offer = kitchen.desk.moves.what_if(kitchen.key, night, kitchen.now, "mix").offer
    assert offer is not None
    assert offer.step is not None
    assert offer.step.why is InTheWay.ASLEEP
    late = kitchen.desk.moves.what_if(kitchen.key, mix.start + HOUR, kitchen.now, "mix").offer
    assert late is not None
    assert late.step == NearestStep(mix.start + 30 * MINUTE, InTheWay.BREAD)
    kitchen.as_far_as_the_mix()
    kitchen.done("mix")
    divide = step_of(kitchen.bake, "divide")
    offer = kitchen.desk.moves.what_if(
        kitchen.key, divide.start - 15 * MINUTE, kitchen.now, "divide"
    ).offer
    assert offer is not None
    assert offer.step == NearestStep(divide.start - 15 * MINUTE, None)
    with pytest.raises(InputError) as raised:
        kitchen.desk.moves.what_if(kitchen.key, divide.start, kitchen.now, "mix")
    assert raised.value.field == "step"


def test_an_offer_that_reality_has_overtaken_is_refused(kitchen: Kitchen) -> None:
    kitchen.as_far_as_the_mix()
    kitchen.now = step_of(kitchen.bake, "mix").end + 30 * MINUTE
    offer = kitchen.look().offer
    assert offer is not None
    assert offer.least is not None
    kitchen.done("mix", 32 * MINUTE)
    with pytest.raises(InputError) as refused:
        kitchen.desk.moves.take(str(uuid4()), offer.least.token, kitchen.now)
    assert refused.value.field == "move"


def test_where_no_waking_hour_is_left_it_offers_to_stay_up(kitchen: Kitchen) -> None:
    kitchen.as_far_as_the_mix()
    kitchen.done("mix", 90 * MINUTE)
    offer = kitchen.look().offer
    assert offer is not None
    assert offer.lost == (kitchen.key,)
    assert MoveKind.AWAKE in [each.kind for each in offer.others]


def test_a_forgotten_fold_moves_nothing(kitchen: Kitchen) -> None:
    kitchen.as_far_as_the_mix()
    kitchen.done("mix")
    kitchen.now = step_of(kitchen.bake, "fold-1").end + 15 * MINUTE
    found = kitchen.look()
    assert [each.kind for each in found.causes] == [MoveCauseKind.FOLD]
    assert found.offer is not None
    assert found.offer.moves == ()


@pytest.mark.long
def test_hours_of_sleep_changed_under_a_plan_say_so(kitchen: Kitchen) -> None:
    file = kitchen.desk.kitchen_file
    night = 'sleep = "22:30-06:00"'
    text = file.last.text
    assert night in text
    file.put_text(text.replace(night, 'sleep = "20:00-06:00"'), file.last.revision)
    found = kitchen.look()
    assert {each.kind for each in found.causes} == {MoveCauseKind.ASLEEP}
    assert found.offer is not None
    assert found.offer.least is not None or found.offer.lost


def test_a_reading_far_behind_is_a_cause_once_it_is_over_a_tenth(kitchen: Kitchen) -> None:
    kitchen.as_far_as_the_mix()
    bake = kitchen.bake
    build = next(each for each in bake.plan.steps if each.key.startswith("build"))
    assert build.standing is not None
    kitchen.now = build.end + 4 * HOUR
    said = Report(str(uuid4()), kitchen.key, build.key, kitchen.now)
    kitchen.desk.record_reading(said, ReadingKind.RISE, 1.02)
    news = kitchen.bake.step_news(build.key)
    assert news.ahead is not None
    for share, noticed in ((0.05, False), (0.2, True)):
        span = build.standing.rows[-1].at - build.standing.rows[0].at
        moved = replace(news, ahead=-share * span)
        there = replace(kitchen.bake, news={**kitchen.bake.news, build.key: moved})
        kinds = [each.kind for each in causes(there, kitchen.desk.kitchen(), kitchen.now)]
        assert (MoveCauseKind.READING in kinds) is noticed


@pytest.mark.parametrize("ready", [NOW - HOUR, NOW, NOW + HOUR])
@pytest.mark.soon(1)
def test_a_time_that_cannot_be_offers_no_plan_and_no_fault(
    kitchen: Kitchen, ready: datetime
) -> None:
    offer = kitchen.desk.moves.what_if(kitchen.key, ready, kitchen.now).offer
    assert offer is not None
    assert offer.least is None or all(each.out > kitchen.now for each in offer.least.bakes)


@pytest.mark.parametrize("late", [-9, 9])
def test_what_nobody_notices_moves_nothing(kitchen: Kitchen, late: int) -> None:
    kitchen.done("feed-1", late * MINUTE)
    assert kitchen.look().causes == ()


def test_a_levain_that_was_built_still_goes_into_the_fridge(kitchen: Kitchen) -> None:
    """As long after it was built as was planned, or the offer would have it ripen in the warm."""
    plan = kitchen.bake.plan
    assert plan.thread is not None
    *before, last = plan.thread.feeds
    build = next(step for step in plan.steps if step.kind is StepKind.BUILD)
    feeds = (*before, replace(last, chilled=last.at + 6 * HOUR))
    kitchen.done(build.key, 15 * MINUTE)
    bake = replace(kitchen.bake, plan=replace(plan, thread=replace(plan.thread, feeds=feeds)))
    done = under_way(bake, kitchen.now).thread.feeds[-1]
    assert done.at == last.at + 15 * MINUTE
    assert done.chilled == done.at + 6 * HOUR


def with_a_dead_levain(kitchen: Kitchen) -> None:
    """The levain is built, and left standing long past its window."""
    kitchen.as_far_as_the_mix()
    kitchen.now = step_of(kitchen.bake, "mix").start + 20 * HOUR


def test_where_nothing_comes_of_a_levain_another_is_offered_taken_and_undone(
    kitchen: Kitchen,
) -> None:
    with_a_dead_levain(kitchen)
    before = kitchen.bake
    offer = kitchen.look().offer
    assert offer is not None
    moves = [each for each in offer.moves if any(one.anew for one in each.bakes)]
    assert moves, "another levain"
    entry = str(uuid4())
    kitchen.desk.moves.take(entry, moves[0].token, kitchen.now)
    bake = kitchen.bake
    left = [step for step in bake.plan.steps if step.left]
    assert [step.key for step in left] == [step.key for step in before.plan.fed]
    assert all(step.standing is None for step in left)
    assert len({step.key for step in bake.plan.steps}) == len(bake.plan.steps)
    assert bake.plan.thread is not None
    assert len(bake.plan.fed) == len(bake.plan.thread.feeds)
    assert all(step.start >= kitchen.now for step in bake.plan.fed)
    assert all(bake.step_news(step.key).done is None for step in bake.plan.fed)
    assert all(bake.step_news(step.key).done is not None for step in left)
    assert kitchen.look().causes == ()
    assert under_way(bake, kitchen.now).feeds == 0
    untold = replace(bake, news={})  # were it said that they were not done after all
    assert not any(step.left for step in steps_left(untold))
    for step in bake.plan.fed:  # and it is done by keys of its own
        kitchen.done(step.key)
        assert kitchen.look().causes == ()
    assert under_way(kitchen.bake, kitchen.now).feeds == len(bake.plan.fed)
    kitchen.desk.moves.undo(str(uuid4()), entry, kitchen.now)
    assert [step.key for step in kitchen.bake.plan.fed] == [step.key for step in before.plan.fed]


@pytest.mark.long
def test_what_was_read_of_a_levain_that_was_given_up_still_teaches(kitchen: Kitchen) -> None:
    with_a_dead_levain(kitchen)
    build = kitchen.bake.plan.fed[-1]
    said = Report(str(uuid4()), kitchen.key, build.key, build.end + 4 * HOUR)
    kitchen.desk.record_reading(said, ReadingKind.RISE, 1.1)
    seen = histories(kitchen.bake)
    offer = kitchen.look().offer
    assert offer is not None
    token = next(m.token for m in offer.moves if any(one.anew for one in m.bakes))
    kitchen.desk.moves.take(str(uuid4()), token, kitchen.now)
    again = histories(kitchen.bake)
    assert [each.seen for each in again] == [each.seen for each in seen]
    assert [each.start for each in again] == [each.start for each in seen]


def test_what_keeps_less_than_going_on_is_not_what_is_offered_first(kitchen: Kitchen) -> None:
    kitchen.as_far_as_the_mix()
    kitchen.now = step_of(kitchen.bake, "mix").end + 30 * MINUTE
    offer = kitchen.look().offer
    assert offer is not None
    assert offer.going_on is not None
    if offer.least is not None:
        assert offer.least.odds is not None
        assert offer.least.odds >= offer.going_on - CLEARLY
    assert not (offer.stay and offer.least is not None)
