"""Bakes as the daybook replays them, on both stores: whatever comes late, twice or out of order."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from uuid import uuid4

import pytest
from tests.timetable.hall import NOW, SATURDAY, planned

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.errors import EntryClashError
from pointage.daybook.readings import ReadingKind
from pointage.daybook.store.store import Store
from pointage.desk.answers import (
    Bake,
    NotThere,
    Report,
    StepNews,
    Wished,
)
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.now.bakes.at_once import read_before
from pointage.desk.now.bakes.bake import step_of
from pointage.desk.now.bakes.joint import SharedBuild, shared_builds
from pointage.desk.opening import take_in
from pointage.desk.plans import write_plan
from pointage.desk.sheets.week import tasks
from pointage.errors import InputError
from pointage.formula.ladder import ladder
from pointage.timetable.plan import Ladder, Plan, Status, StepKind

MINUTE = timedelta(minutes=1)


@dataclass
class Hall:
    """Skerry Hall in a store, with a harbour loaf planned; `now` is what its clock says."""

    store: Store
    desk: StoredDesk
    kitchen: str
    key: str
    now: datetime = NOW

    @property
    def bake(self) -> Bake:
        """As it was planned, with what was done and seen."""
        return self.desk.present().every_bake[self.key]

    def step_news(self, step: str) -> StepNews:
        return self.bake.step_news(step)

    def report(self, step: str, at: datetime = NOW, entry: str | None = None) -> Report:
        return Report(entry or str(uuid4()), self.key, step, at)

    def entries(self) -> int:
        return len(self.store.entries(self.kitchen))


def empty(store: Store) -> Hall:
    record = take_in(store, demonstration_text(), demonstration_formulas(), NOW)
    hall = Hall(store, StoredDesk(store, record.id, NOW), record.id, str(uuid4()))
    hall.desk = StoredDesk(store, record.id, NOW, clock=lambda: hall.now)
    return hall


@pytest.fixture
def hall(store: Store) -> Hall:
    """The plan is made once for all tests, and written down as a wish writes it."""
    found = empty(store)
    plan = planned("harbour-loaf", SATURDAY)
    wished = Wished(
        demonstration_formulas()["harbour-loaf"], demonstration_text(), NOW, Fraction(900)
    )
    body = write_plan(plan, wished)
    store.append(Entry(found.key, found.kitchen, EntryKind.PLAN, NOW, NOW, "baker", body))
    return found


def mix_ladder(plan: Plan) -> Ladder:
    found = next(step.ladder for step in plan.steps if step.key == "mix")
    assert found is not None
    return found


def test_a_plan_comes_back_as_it_was_made(store: Store) -> None:
    hall = empty(store)
    plan = hall.desk.wish(hall.key, "harbour-loaf", 8, SATURDAY, NOW)
    assert plan.status is Status.BEST
    assert hall.desk.bakes()[0].plan == plan
    assert hall.bake.plan == plan

    again = hall.desk.wish(hall.key, "harbour-loaf", 8, SATURDAY, NOW)  # sent twice
    assert again == plan
    assert len(hall.desk.bakes()) == 1


@pytest.mark.long
def test_a_wish_that_cannot_be_is_answered_and_not_kept(store: Store) -> None:
    hall = empty(store)
    plan = hall.desk.wish(hall.key, "harbour-loaf", 8, NOW + timedelta(hours=5), NOW)
    assert plan.status is Status.IMPOSSIBLE
    assert plan.conflicts
    assert hall.entries() == 0


def test_a_second_bake_leaves_hands_and_oven_to_the_first(hall: Hall) -> None:
    sunday = SATURDAY + timedelta(days=1, hours=2)
    second = hall.desk.wish(str(uuid4()), "seeded-rolls", 48, sunday, NOW)
    assert second.status is Status.BEST
    first, last = hall.desk.bakes()
    assert (first.plan.formula, last.plan.formula) == ("Harbour loaf", "Seeded rolls")
    for mine in (step for step in second.steps if step.hands):
        for theirs in (step for step in first.plan.steps if step.hands):
            assert mine.end <= theirs.start or mine.start >= theirs.end


def test_done_taken_back_and_done_again(hall: Hall) -> None:
    hall.desk.mark_done(hall.report("mix", NOW + 1 * MINUTE))
    assert hall.step_news("mix").done == NOW + 1 * MINUTE
    hall.desk.take_back(hall.report("mix", NOW + 2 * MINUTE))
    assert hall.step_news("mix").done is None
    hall.desk.mark_done(hall.report("mix", NOW + 3 * MINUTE))
    assert hall.step_news("mix").done == NOW + 3 * MINUTE


def test_what_is_told_late_is_replayed_when_it_happened(hall: Hall) -> None:
    for minutes, rise in ((30, 1.4), (10, 1.1), (20, 1.2)):
        told = hall.report("bulk", NOW + minutes * MINUTE)
        hall.desk.record_reading(told, ReadingKind.RISE, rise)
    assert [each.value for each in hall.step_news("bulk").readings] == [1.1, 1.2, 1.4]


def test_a_taking_back_takes_back_the_done_it_names_and_no_later_one(hall: Hall) -> None:
    first, second = (hall.report("mix", NOW + minutes * MINUTE) for minutes in (1, 3))
    hall.desk.mark_done(first)
    hall.desk.mark_done(second)
    # Written when only the first was known.
    late = replace(hall.report("mix", NOW + 2 * MINUTE), done=first.entry)
    hall.desk.take_back(late)
    news = hall.step_news("mix")
    assert (news.done, news.done_by) == (second.happened, second.entry)
    hall.desk.take_back(replace(hall.report("mix", NOW), done=second.entry))
    assert hall.step_news("mix").done is None
    with pytest.raises(NotThere):
        hall.desk.take_back(replace(hall.report("mix", NOW), done=hall.key))


@pytest.mark.parametrize("behind", [MINUTE, 60 * MINUTE])
def test_done_and_taken_back_by_a_clock_that_is_behind(hall: Hall, behind: timedelta) -> None:
    done = hall.report("mix", NOW)
    hall.desk.mark_done(done)
    hall.now = NOW - behind
    back = hall.report("mix", hall.now)
    for _ in range(2):  # the answer was lost once
        hall.desk.take_back(back)
        assert hall.step_news("mix").done is None
    again = hall.report("mix", hall.now - MINUTE)
    hall.desk.mark_done(again)
    assert hall.step_news("mix").done == again.happened
    hall.desk.mark_done(done)  # sent again: it is there, and taken back
    assert hall.step_news("mix").done == again.happened


def test_a_taking_back_of_an_old_release_goes_by_its_time(hall: Hall) -> None:
    hall.desk.mark_done(hall.report("mix", NOW + 3 * MINUTE))
    for minutes, done in ((2, NOW + 3 * MINUTE), (4, None)):
        at = NOW + minutes * MINUTE
        body = {"bake": hall.key, "step": "mix"}
        old = Entry(str(uuid4()), hall.kitchen, EntryKind.WITHDRAWN, at, at, "baker", body)
        hall.store.append(old)
        assert hall.step_news("mix").done == done


def test_what_was_recorded_is_there_though_its_bake_is_given_up(hall: Hall) -> None:
    told = hall.report("bulk", NOW)
    hall.desk.record_reading(told, ReadingKind.RISE, 1.4)
    hall.desk.give_up(str(uuid4()), hall.key, NOW)
    there = hall.entries()
    later = replace(told, happened=NOW - 2 * MINUTE)  # its clock was put right meanwhile
    hall.desk.record_reading(later, ReadingKind.RISE, 1.4)
    assert hall.entries() == there


def test_news_from_a_clock_that_is_behind_is_kept(hall: Hall) -> None:
    hall.desk.mark_done(hall.report("feed-1", NOW - 5 * MINUTE))  # before the plan was made
    assert hall.step_news("feed-1").done == NOW - 5 * MINUTE


def test_telling_twice_is_telling_once(hall: Hall) -> None:
    done, seen, poured = (hall.report(step) for step in ("mix", "bulk", "mix"))
    for _ in range(2):
        hall.desk.mark_done(done)
        hall.desk.record_reading(seen, ReadingKind.RISE, 1.3)
        hall.desk.record_pour(poured, 0, Fraction(3740))
        hall.now += MINUTE  # it arrives later the second time
    assert hall.entries() == 4
    assert len(hall.step_news("bulk").readings) == 1
    assert hall.step_news("mix").poured == (3740,)


def test_an_over_pour_raises_the_pours_to_come_in_proportion(hall: Hall) -> None:
    planned_ladder = mix_ladder(hall.bake.plan)
    water, levain, *rest = planned_ladder.pours
    over = water.display_g + 0.1 * water.grams
    hall.desk.record_pour(hall.report("mix"), 0, Fraction(round(over)))  # a tenth too much
    news = hall.step_news("mix")
    assert news.ladder is not None
    assert news.ladder.pours[0].display_g == round(over)
    for before, after in zip([levain, *rest], news.ladder.pours[1:], strict=True):
        assert after.grams == pytest.approx(1.1 * before.grams, abs=1.5)  # steps of 1 g
    assert "+10.0 %" in news.remark

    right = news.ladder.pours[1].display_g
    hall.desk.record_pour(hall.report("mix", NOW + MINUTE), 1, Fraction(right))
    assert hall.step_news("mix").poured == (round(over), right)
    assert hall.step_news("mix").ladder == news.ladder


def test_an_over_pour_can_keep_the_total(hall: Hall) -> None:
    planned = mix_ladder(hall.bake.plan)
    over = planned.pours[0].display_g + 50
    hall.desk.record_pour(hall.report("mix"), 0, Fraction(over), "total")
    news = hall.step_news("mix")
    assert news.ladder is not None
    assert news.ladder.pours[-1].display_g == planned.pours[-1].display_g
    assert "weighs what was planned" in news.remark
    # The next pour, as aimed for, says nothing of it and leaves the choice as it was.
    right = news.ladder.pours[1].display_g
    hall.desk.record_pour(hall.report("mix", NOW + MINUTE), 1, Fraction(right))
    assert hall.step_news("mix").keep == "total"
    assert hall.step_news("mix").ladder == news.ladder
    with pytest.raises(InputError, match=r"display: .* at most, so that the batch weighs what was"):
        hall.desk.record_pour(
            hall.report("mix"), 0, Fraction(planned.pours[-1].display_g + 1), "total"
        )


def test_pours_told_out_of_order_make_the_same_ladder(hall: Hall) -> None:
    displays = [each.display_g + 40 for each in mix_ladder(hall.bake.plan).pours[:2]]
    second = hall.report("mix", NOW + MINUTE)
    hall.desk.record_pour(second, 1, Fraction(displays[1]))
    hall.desk.record_pour(hall.report("mix", NOW), 0, Fraction(displays[0]))
    assert hall.step_news("mix").poured == tuple(displays)
    hall.desk.record_pour(
        second, 1, Fraction(displays[1])
    )  # and once more, the first being known by now
    assert hall.step_news("mix").poured == tuple(displays)


def test_a_display_below_the_one_before_is_refused_and_not_kept(hall: Hall) -> None:
    hall.desk.record_pour(hall.report("mix"), 0, Fraction(3740))
    with pytest.raises(InputError) as refused:
        hall.desk.record_pour(hall.report("mix"), 1, Fraction(3000))
    assert refused.value.field == "display"
    assert hall.entries() == 2


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (ReadingKind.RISE, 0.1),
        (ReadingKind.RISE, None),
        (ReadingKind.TEMPERATURE, 300.0),
        (ReadingKind.PH, float("nan")),
        (ReadingKind.PH, 14.5),
    ],
)
def test_a_reading_that_cannot_be_is_refused(
    hall: Hall, kind: ReadingKind, value: float | None
) -> None:
    with pytest.raises(InputError) as refused:
        hall.desk.record_reading(hall.report("bulk"), kind, value)
    assert refused.value.field == "value"
    assert hall.entries() == 1


def test_news_of_what_is_not_there(hall: Hall) -> None:
    with pytest.raises(NotThere, match="step 'knead'"):
        hall.desk.mark_done(hall.report("knead"))
    with pytest.raises(NotThere, match="bake "):
        hall.desk.mark_done(Report(str(uuid4()), str(uuid4()), "mix", NOW))
    with pytest.raises(NotThere, match="pour '99'"):
        hall.desk.record_pour(hall.report("mix"), 99, Fraction(3740))
    with pytest.raises(NotThere, match="ladder 'bake-1'"):
        hall.desk.record_pour(hall.report("bake-1"), 0, Fraction(3740))
    with pytest.raises(NotThere, match="formula 'brioche'"):
        hall.desk.wish(str(uuid4()), "brioche", 8, SATURDAY, NOW)


def test_a_bake_given_up_is_gone_and_giving_it_up_twice_is_harmless(hall: Hall) -> None:
    entry = str(uuid4())
    hall.desk.give_up(entry, hall.key, NOW)
    hall.desk.give_up(entry, hall.key, NOW)
    assert hall.desk.bakes() == []
    with pytest.raises(NotThere):
        hall.desk.give_up(str(uuid4()), hall.key, NOW)
    with pytest.raises(NotThere):
        hall.desk.mark_done(hall.report("mix"))


def test_a_bake_that_is_over_leaves_the_bench_but_late_news_of_it_is_kept(hall: Hall) -> None:
    cooled = max(step.end for step in hall.bake.plan.steps)
    hall.now = cooled + timedelta(hours=11)
    assert len(hall.desk.bakes()) == 1
    hall.now = cooled + timedelta(hours=13)
    assert hall.desk.bakes() == []
    hall.desk.mark_done(hall.report("bake-1", cooled))
    assert hall.entries() == 2


def beside(hall: Hall, share: float) -> str:
    """A second bake that builds its levain with the first; its key."""
    plan = hall.bake.plan
    steps = tuple(
        replace(
            step,
            grams=share * step.grams,
            ladder=ladder(
                step.ladder.vessel,
                step.ladder.tare_g,
                step.ladder.step_g,
                [replace(pour, grams=round(share * pour.grams)) for pour in step.ladder.pours],
            ),
        )
        if step.kind is StepKind.BUILD and step.ladder
        else step
        for step in plan.steps
    )
    wished = hall.bake.wished
    assert wished is not None
    body = write_plan(replace(plan, formula="Town loaf", steps=steps), wished)
    entry = Entry(str(uuid4()), hall.kitchen, EntryKind.PLAN, NOW, NOW, "baker", body)
    hall.store.append(entry)
    return entry.id


def test_what_two_bakes_have_in_common_is_recorded_once_for_both(hall: Hall) -> None:
    other = beside(hall, 0.5)
    key = next(step.key for step in hall.bake.plan.steps if step.kind is StepKind.BUILD)

    def shared() -> SharedBuild:
        (found,) = shared_builds(hall.desk.present().file, hall.desk.bakes())
        return found

    both = {each.key: each for each in shared().bakes}
    assert both.keys() == {hall.key, other}
    on_paper = [each for each in tasks(hall.desk.present(), NOW) if each.key.endswith(f"#{key}")]
    assert [set(each.of.split(" and ")) for each in on_paper] == [{"Harbour loaf", "Town loaf"}]
    whole = shared().step.ladder
    assert whole is not None
    parts = [step_of(bake, key).ladder for bake in both.values()]
    for n, pour in enumerate(whole.pours):
        assert pour.grams == sum(part.pours[n].grams for part in parts if part)
    assert shared().step.grams == sum(step_of(each, key).grams for each in both.values())

    first = shared().bakes[0].key
    report = Report(str(uuid4()), first, key, NOW)
    hall.desk.record_pour(report, 0, Fraction(str(whole.pours[0].display_g)))
    missed = whole.pours[1].display_g + 30
    later = replace(report, entry=str(uuid4()), happened=NOW + MINUTE)
    hall.desk.record_pour(later, 1, Fraction(str(missed)))
    assert shared().first.step_news(key).poured == (whole.pours[0].display_g, missed)
    whole_batch = shared().first.step_news(key).batch
    assert whole_batch is not None
    for each in both:
        batch = hall.desk.present().every_bake[each].step_news(key).batch
        assert batch is not None
        assert batch.factor == pytest.approx(whole_batch.factor, abs=1e-3)

    done = replace(report, entry=str(uuid4()))
    for _ in range(2):  # sent twice
        hall.desk.mark_done(done)
    bakes = hall.desk.present().every_bake
    assert [bakes[each].step_news(key).done for each in both] == [NOW, NOW]
    assert not shared_builds(hall.desk.present().file, hall.desk.bakes())

    def read() -> list[list[float | None]]:
        bakes = hall.desk.present().every_bake
        return [[it.value for it in bakes[each].step_news(key).readings] for each in both]

    rise = replace(report, entry=str(uuid4()), happened=NOW + 2 * MINUTE, sure=True)
    hall.now += 3 * MINUTE
    for _ in range(2):
        hall.desk.record_reading(rise, ReadingKind.RISE, 1.3)
    assert read() == [[1.3], [1.3]]
    picture = [hall.desk.present().every_bake[each] for each in both]
    again = {it.entry for it in picture[1].step_news(key).readings}
    assert read_before(picture) == again, "what is read once is learned from once"
    last = max(hall.desk.records.lines(), key=lambda line: line.written.number).written.id
    for _ in range(2):
        hall.desk.records.take_back(str(uuid4()), last)
    assert read() == [[], []]
    records = hall.desk.records
    assert records.at_once(last) == 2
    gone = records.line(last).amendments[-1].id
    for _ in range(2):  # brought back by either, for both
        records.withdraw("7f0c2a90-0000-4000-8000-000000000001", gone)
    assert read() == [[1.3], [1.3]]
    wrong = "7f0c2a90-0000-4000-8000-000000000002"
    for _ in range(2):
        records.withdraw(wrong, rise.entry, "of another tub")
    assert read() == [[], []]
    with pytest.raises(EntryClashError):
        records.withdraw(wrong, gone)
    hall.desk.take_back(Report(str(uuid4()), other, key, NOW))
    bakes = hall.desk.present().every_bake
    assert [bakes[each].step_news(key).done for each in both] == [None, None]


def test_a_build_is_apart_again_once_a_bake_is_given_up(hall: Hall) -> None:
    other = beside(hall, 2.0)
    hall.desk.give_up(str(uuid4()), other, NOW)
    assert not shared_builds(hall.desk.present().file, hall.desk.bakes())
