"""The Week as data: threads, beads, lanes."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from tests.web import fixture_plan as fixture
from tests.web.stored_desk import friday_desk, friday_to_read, in_hand

from pointage.desk.week.oven_loads import oven_loads
from pointage.kitchen.capacity import CapacityKind
from pointage.timetable.plan import Shortage, StepKind
from pointage.web.drawing.thread import beads, stretches
from pointage.web.frame import Frame, Moment
from pointage.web.screens.week.lanes import Wanted, lay_out
from pointage.web.screens.week.view import shown_days, week_page
from pointage.web.words.clock import Clock

KITCHEN = fixture.skerry_hall()
CLOCK = Clock(KITCHEN.zone, fixture.NOW)
STEPS = fixture.harbour_loaf().steps
FRAME = Frame("Skerry Hall", "week", "auto", Moment("12:40", "2026-12-04T12:40+00:00"), "/week")

LABELS = st.lists(
    st.builds(Wanted, st.floats(0, 900), st.floats(5, 100)), min_size=1, max_size=12
).map(lambda labels: sorted(labels, key=lambda label: label.x))


@given(LABELS)
def test_labels_in_one_lane_never_overlap_nor_leave_the_drawing(labels: list[Wanted]) -> None:
    placed = lay_out(labels, right=1000, gap=8)
    ends: dict[int, float] = {}
    for label, place in zip(labels, placed, strict=True):
        assert place.x >= ends.get(place.lane, -1e9)
        assert place.x <= label.x
        assert place.x + label.width <= 1000 + 1e-9
        ends[place.lane] = place.x + label.width + 8 - 1e-9


def test_labels_with_room_stay_in_the_lane_nearest_to_their_beads() -> None:
    placed = lay_out([Wanted(0, 50), Wanted(100, 50), Wanted(120, 50)], right=1000, gap=8)
    assert [(place.x, place.lane) for place in placed] == [(0, 0), (100, 0), (120, 1)]


def test_a_thread_goes_from_culture_to_levain_to_dough_without_a_gap() -> None:
    found = stretches(STEPS)
    assert [part.state for part in found] == [
        "culture",
        "levain",
        "dough",
        "chilled",
        "baking",
        "bread",
    ]
    for before, after in pairwise(found):
        assert before.end == after.start


def test_dough_that_leaves_the_fridge_before_the_oven_is_dough_again() -> None:
    warmed = fixture.at(fixture.SATURDAY, "06:50")
    steps = [replace(step, end=warmed) if step.kind is StepKind.RETARD else step for step in STEPS]
    proof = replace(
        next(step for step in STEPS if step.key == "rest"),
        kind=StepKind.PROOF,
        start=warmed,
        end=fixture.at(fixture.SATURDAY, "07:45"),
    )
    states = [part.state for part in stretches([*steps, proof])]
    assert states[3:5] == ["chilled", "dough"]


def test_folds_share_one_label_and_keep_their_own_beads() -> None:
    found = [(bead.kind, bead.first_of) for bead in beads(STEPS)]
    assert found[2:6] == [("mix", 1), ("fold", 3), ("fold", 0), ("fold", 0)]


def test_the_oven_is_hot_from_the_lighting_to_the_last_load() -> None:
    loads = [(load.kind, load.start, load.end) for load in oven_loads(STEPS)]
    lit, loaded = (fixture.at(fixture.SATURDAY, clock) for clock in ("06:45", "07:45"))
    assert loads == [("bake", loaded, fixture.READY), ("preheat", lit, loaded)]


def test_the_week_begins_with_the_first_step_in_hand_and_lasts_seven_days() -> None:
    days = shown_days(friday_to_read().bakes(), CLOCK)
    assert (days[0].day, days[-1].day, len(days)) == (3, 9, 7)
    assert shown_days([], CLOCK)[0] == CLOCK.today


def test_every_step_is_in_the_list_of_its_day() -> None:
    page = week_page(KITCHEN, friday_to_read().bakes(), CLOCK, FRAME)
    assert [len(day.lines) for day in page.days] == [1, 10, 3, 0, 0, 0, 0]
    assert sum(line.done for day in page.days for line in day.lines) == 2
    assert page.sentence == "Harbour loaf, 12 pieces, out of the oven Sat 09:00"


def test_a_bake_that_cannot_be_says_why_beside_its_name(tmp_path: Path) -> None:
    desk = friday_desk(tmp_path)
    in_hand(desk, fixture.impossible())
    page = week_page(KITCHEN, desk.bakes(), CLOCK, FRAME)
    rye = next(bake for bake in page.bakes if bake.title.startswith("Tinned rye"))
    assert [note.name for note in rye.conflicts] == ["ready", "sleep"]
    assert "Sat 5 Dec 10:30" in rye.conflicts[0].relaxed


def test_what_a_bake_lacks_stands_beside_it() -> None:
    (bake,) = friday_to_read().bakes()
    at = bake.plan.ready
    lack = Shortage("Basket", CapacityKind.BASKET, 8.0, 6.0, "", at, at, None, 6)
    short = replace(bake, plan=replace(bake.plan, shortages=(lack,)))
    page = week_page(KITCHEN, [bake, short], CLOCK, FRAME)
    words = [note.lacks for note in page.bakes]
    assert words == [(), ("Basket: 8 are needed at once and 6 are free.",)]
