"""The Bench as data: what comes first, what is working, what was forgotten."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

from tests.timetable.hall import planned
from tests.web import fixture_plan as fixture
from tests.web.stored_desk import friday_desk, friday_to_read, hall, in_hand

from pointage.daybook.readings import ReadingKind
from pointage.desk.answers import Bake, Report
from pointage.desk.desk import StoredDesk
from pointage.desk.now.bakes.bake import steps_left
from pointage.timetable.plan import PlannedLook, Status, StepKind
from pointage.web.frame import Frame, Moment
from pointage.web.screens.bench.action import action
from pointage.web.screens.bench.level import level_words
from pointage.web.screens.bench.page import BenchPage
from pointage.web.screens.bench.view import bench_page
from pointage.web.words.clock import Clock

KITCHEN = fixture.skerry_hall()
FRAME = Frame("Skerry Hall", "bench", "auto", Moment("12:40", "2026-12-04T12:40+00:00"), "/")


def shown(desk: StoredDesk, now: datetime) -> BenchPage:
    return bench_page(KITCHEN, desk.bakes(), Clock(KITCHEN.zone, now), FRAME)


def friday(clock: str) -> datetime:
    return fixture.at(fixture.FRIDAY, clock)


def report(step: str, at: datetime) -> Report:
    return Report(str(uuid4()), fixture.HARBOUR, step, at)


def done(desk: StoredDesk, *steps: str) -> None:
    for step in steps:
        desk.mark_done(report(step, friday("13:00")))


def test_the_next_action_is_the_first_step_for_hands_that_is_not_done() -> None:
    now = shown(friday_to_read(), friday("12:40")).now
    assert now is not None
    assert (now.title, now.due_word, now.due.text, now.away) == (
        "Mix the dough",
        "at",
        "13:00",
        "in 20\u00a0min",
    )


def test_a_step_that_has_begun_is_due_by_its_end_and_late_after_it() -> None:
    begun = shown(friday_to_read(), friday("13:10")).now
    late = shown(friday_to_read(), friday("14:05")).now
    assert begun is not None
    assert late is not None
    assert (begun.due_word, begun.due.text, begun.late) == ("by", "13:25", "")
    assert late.late == "40\u00a0min late"


def test_a_forgotten_fold_is_over_once_a_later_step_is_done(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    done(desk, "mix", "divide")
    left = [step.key for step in steps_left(desk.bakes()[0]) if step.hands]
    assert left == ["shape", "preheat", "bake"]


def test_the_ladder_shows_what_is_poured_what_is_next_and_what_the_display_must_say(
    tmp_path: Path,
) -> None:
    desk = friday_desk(tmp_path)
    desk.record_pour(report("mix", friday("13:01")), 0, Fraction(4490))
    now = shown(desk, friday("13:02")).now
    assert now is not None
    assert now.ladder is not None
    rows = [(row.name, row.state, row.display) for row in now.ladder.pours]
    assert rows == [
        ("Water", "done", "4490"),
        ("Levain, ripe", "here", "5590"),
        ("White wheat flour", "ahead", "10350"),
        ("Whole wheat flour", "ahead", "11400"),
        ("Salt", "ahead", "11520"),
    ]
    assert now.ladder.tare == "1180"
    assert now.ladder.pours[0].temperature == "34.5\u00a0°C"


def test_what_stands_is_working_only_when_the_hands_before_it_have_come(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    assert [each.title for each in shown(desk, friday("12:40")).working] == ["Levain"]
    unfed = hall(tmp_path)
    in_hand(unfed, fixture.harbour_loaf())
    assert shown(unfed, friday("12:40")).working == ()
    done(desk, "mix")
    assert [each.title for each in shown(desk, friday("13:40")).working] == ["Harbour dough"]


def test_the_ripe_window_is_said_and_then_said_to_be_over() -> None:
    before = shown(friday_to_read(), friday("12:40")).working[0]
    after = shown(friday_to_read(), friday("15:00")).working[0]
    assert (before.ripe, before.past) == ("ripe 12:17 to 14:41", "")
    assert (after.ripe, after.past) == ("", "was ripe until 14:41, 19\u00a0min ago")


def test_a_reading_stands_there_at_once_and_the_forecast_is_said_to_follow() -> None:
    desk, clock = friday_to_read(), Clock(fixture.skerry_hall().zone, friday("12:40"))
    behind = [replace(bake, under_way=True) for bake in desk.bakes()]
    pages = [
        bench_page(fixture.skerry_hall(), bakes, clock, FRAME) for bakes in (desk.bakes(), behind)
    ]
    drifts = [[each.drift for each in page.working] for page in pages]
    assert drifts[0]
    assert "the forecast is on its way" not in drifts[0]
    assert set(drifts[1]) == {"the forecast is on its way"}


def test_the_look_that_tells_most_is_ahead_and_awake() -> None:
    clock = Clock(KITCHEN.zone, friday("12:40"))
    at = {"11:00": 0.2, "13:10": 0.42, "13:40": 0.5, "23:45": 0.1}
    looks = tuple(PlannedLook(friday(each), left_h) for each, left_h in at.items())

    def looked(*looks: PlannedLook, under_way: bool = False) -> str:
        (bake,) = friday_to_read().bakes()
        steps = tuple(
            step
            if step.standing is None
            else replace(step, standing=replace(step.standing, looks=looks, half_h=1.16))
            for step in bake.plan.steps
        )
        bake = replace(bake, plan=replace(bake.plan, steps=steps), under_way=under_way)
        return bench_page(KITCHEN, [bake], clock, FRAME).working[0].look

    assert looked(*looks) == "Best time to look: 13:10. ± 70 min becomes ± 25 min."
    assert looked(looks[0], looks[-1]) == ""
    assert looked() == ""
    assert looked(*looks, under_way=True) == "", "it was worked out without what was seen last"


def test_no_green_for_low_odds() -> None:
    (bake,) = friday_to_read().bakes()
    steps = {step.kind: step for step in bake.plan.steps}
    clock = Clock(KITCHEN.zone, friday("12:40"))
    low, high = (
        action(bake, replace(steps[StepKind.MIX], ripe_odds=odds), clock) for odds in (0.03, 0.9)
    )
    assert (low.ripe, low.likely) == ("Levain ripe in time: hardly likely (6 in 100)", False)
    assert (high.ripe, high.likely) == ("Levain ripe in time: likely (88 in 100)", True)


def test_next_has_steps_and_nights_in_the_order_in_which_they_come() -> None:
    coming = shown(friday_to_read(), friday("12:40")).coming
    lines = [(line.at.text, line.title, line.quiet) for line in coming]
    assert lines[:3] == [
        ("13:25", "Bulk", False),
        ("14:00", "Fold, 1 of 3", False),
        ("14:35", "Fold, 2 of 3", False),
    ]
    assert ("22:30", "Asleep", True) in lines
    assert [(each.day, each.title) for each in coming if each.day] == [
        ("Sat 5 Dec", "Heat the oven")
    ]
    titles = [title for _, title, _ in lines]
    assert titles.index("Retard") < titles.index("Asleep") < titles.index("Heat the oven")


def test_with_nothing_left_for_hands_the_bench_says_until_when_it_cools(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    desk.mark_done(report("bake", fixture.READY))
    page = shown(desk, fixture.READY + timedelta(minutes=5))
    assert page.now is None
    assert page.idle == "Nothing to do now. Cool until 11:00."


def test_cautions_appear_once_however_many_bakes_have_them(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    in_hand(desk, fixture.harbour_loaf())
    assert len(shown(desk, friday("12:40")).cautions) == 1


def test_only_an_impossible_plan_has_conflicts_on_the_page(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    assert shown(desk, friday("12:40")).conflicts == ()
    in_hand(desk, fixture.impossible())
    assert [each.name for each in shown(desk, friday("12:40")).conflicts] == [
        "ready",
        "sleep",
    ]
    desk = friday_desk(tmp_path)
    in_hand(desk, replace(fixture.impossible(), status=Status.BEST))
    assert shown(desk, friday("12:40")).conflicts == ()


def test_the_step_done_last_can_be_taken_back_for_a_while(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    done(desk, "mix")
    last = shown(desk, friday("13:30")).last
    assert last is not None
    assert (last.step, last.at.text) == ("mix", "13:00")
    assert shown(desk, friday("16:00")).last is None


def test_a_dough_just_mixed_is_asked_for_its_temperature_until_it_is_told(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    mix = next(step for step in desk.bakes()[0].plan.steps if step.key == "mix")
    desk.mark_done(report("mix", mix.end))
    soon, later = (mix.end + timedelta(minutes=n) for n in (5, 30))

    def asks(now: datetime) -> list[str]:
        working = shown(desk, now).working
        return [each.step for each in working if any(touch.main for touch in each.touches)]

    assert asks(soon) == ["mix"]  # the dough stands under its mix here
    assert asks(later) == []
    told = report("mix", soon)
    desk.record_reading(told, ReadingKind.TEMPERATURE, 25.4)
    assert asks(soon) == []


def test_the_level_is_told_now_and_at_most_and_the_core_where_it_is_far_from_the_mean() -> None:
    build = next(step for step in friday_to_read().bakes()[0].plan.steps if step.key == "build")
    assert build.standing is not None
    clock = Clock(KITCHEN.zone, friday("07:35"))
    rows = build.standing.rows
    assert level_words(build.standing, clock) == ""
    now, most = build.standing.rise_at(clock.now), max(row.rise for row in rows)
    assert now is not None
    stood = replace(build.standing, vessel="Tub 2", full=0.4, core_lag_h=0.9)
    # It began at 23 °C an hour ago and is at 24.9 °C; 54 minutes ago it was at 23.3.
    said = level_words(stood, clock).replace("\u00a0", " ")
    assert said == f"Tub 2: {40 * now:.0f} % full, {40 * most:.0f} % at most; core near 23 °C"
    assert level_words(replace(stood, core_lag_h=0.2, full=0.0), clock) == "Tub 2"


def test_a_build_that_two_bakes_share_is_one_step_with_one_ladder() -> None:
    plan = planned("harbour-loaf")
    first, other = Bake("first", plan), Bake("other", replace(plan, formula="Town loaf"))
    build = next(step for step in plan.steps if step.kind is StepKind.BUILD)
    clock = Clock(KITCHEN.zone, plan.steps[0].start)
    page = bench_page(KITCHEN, [first, other], clock, FRAME, whole=True)
    every = [page.now, *(line.action for line in page.coming)]
    (found,) = [each for each in every if each and each.step == build.key]
    assert found.what_for == "Harbour loaf and Town loaf"
    part = f"{build.grams / 1000:.2f}".rstrip("0") if build.grams >= 1000 else f"{build.grams:.0f}"
    assert [f"{part}\u00a0" in text for text in found.amount.split(" and ")] == [True, True]
    assert found.ladder is not None
    assert float(found.ladder.pours[-1].exact_display) == (
        float(found.ladder.exact_tare) + 2 * build.grams
    )
    (alone,) = [
        each
        for each in (
            line.action
            for line in bench_page(
                KITCHEN, [other], clock, FRAME, whole=True, beside=[first]
            ).coming
        )
        if each and each.step == build.key
    ]
    assert alone.bake == "other"
    assert alone.ladder == found.ladder
