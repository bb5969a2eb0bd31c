"""Plans for the demonstration formulas: what they promise on ordinary days and on odd nights."""

from __future__ import annotations

import random
import re
from dataclasses import fields, replace
from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from tests.timetable.hall import (
    DUBLIN,
    NOW,
    SATURDAY,
    SLUGS,
    formula,
    kitchen,
    of_kind,
    planned,
    step,
)
from tests.timetable.promises import asks_for_one_pair_of_hands, keeps_its_promises

from pointage.desk.bakes.plan import plan_bake
from pointage.desk.wording import conflict_words
from pointage.kitchen.capacity import HANDS
from pointage.mixture.traits import Traits, draw_traits, median_traits
from pointage.timetable.calendar import sleep_spans
from pointage.timetable.occupied import Occupied
from pointage.timetable.plan import Plan, Status

SUNDAY = SATURDAY + timedelta(days=1, hours=2)


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.soon(2)
def test_a_bake_for_sunday_keeps_every_promise(slug: str) -> None:
    keeps_its_promises(planned(slug, SUNDAY), slug)


def _chosen() -> list[tuple[str, datetime]]:
    """Six wishes between a day and four from now, to five minutes, by a fixed seed."""
    dice = random.Random(20261125)
    return [
        (dice.choice(SLUGS), NOW + timedelta(minutes=5 * dice.randrange(12 * 24, 12 * 96)))
        for _ in range(6)
    ]


@pytest.mark.parametrize(("slug", "ready"), _chosen())
@pytest.mark.soon(2)
def test_any_wish_is_kept_or_the_reason_names_a_time(slug: str, ready: datetime) -> None:
    plan = planned(slug, ready)
    if plan.status is Status.BEST:
        keeps_its_promises(plan, slug)
        return
    assert plan.steps == ()
    assert any(re.search(r"\d\d:\d\d", conflict_words(each, DUBLIN)[0]) for each in plan.conflicts)


@pytest.mark.parametrize(
    "ready",
    [
        pytest.param(datetime(2026, 10, 25, 9, tzinfo=DUBLIN), id="an hour longer"),
        pytest.param(datetime(2027, 3, 28, 9, tzinfo=DUBLIN), id="an hour shorter"),
    ],
)
@pytest.mark.soon(1)
def test_a_night_in_which_the_clocks_change(ready: datetime) -> None:
    plan = planned("harbour-loaf", ready, now=ready - timedelta(days=3))
    keeps_its_promises(plan, "harbour-loaf")
    (proof,) = of_kind(plan, "proof", "retard")
    assert proof.start.astimezone(DUBLIN).utcoffset() != proof.end.astimezone(DUBLIN).utcoffset()
    assert proof.standing is not None
    rows = proof.standing.rows
    apart = {later.at - row.at for row, later in pairwise(rows)}
    assert apart == {timedelta(minutes=15)}  # of time that passes, not of the clock on the wall
    assert abs(rows[-1].at - proof.end) <= timedelta(minutes=15)


def test_where_to_look_is_said_of_levain_bulk_and_proof_for_waking_hours() -> None:
    """Of a culture that is known well: else too many loaves might be proofed before any look."""
    loaf = formula("harbour-loaf")
    assert loaf.process is not None
    in_a_day = replace(loaf, process=replace(loaf.process, retard_rise=None))
    drawn, middle = draw_traits(200, 1), median_traits()
    known = Traits(*(
        getattr(middle, each.name) ** 0.7 * getattr(drawn, each.name) ** 0.3
        for each in fields(Traits)
    ))  # fmt: skip
    ready = SATURDAY.replace(hour=19)
    plan = plan_bake(in_a_day, kitchen(), ready, NOW, believed=known)
    nights = sleep_spans(kitchen(), NOW, ready)
    for key in ("build-2", "bulk", "proof"):
        stands = step(plan, key)
        assert stands.standing is not None
        assert stands.standing.looks, key
        for look in stands.standing.looks:
            assert stands.start < look.at < ready
            assert look.left_h < stands.standing.half_h
            assert not any(down <= look.at < up for down, up in nights)


def test_twelve_loaves_take_two_loads() -> None:
    plan = planned("harbour-loaf", pieces=12)
    keeps_its_promises(plan, "harbour-loaf")
    assert [each.pieces for each in of_kind(plan, "bake")] == [8, 4]


def test_forty_loaves_have_their_culture_fed_up_to_size() -> None:
    ready = SATURDAY + timedelta(hours=3)
    plan = planned("harbour-loaf", ready, pieces=40, changes=(("loaves = 8", "loaves = 40"),))
    assert plan.status is Status.BEST
    first = of_kind(plan, "feed", "build")[0].ladder
    assert first is not None
    assert first.pours[0].grams <= 120  # what there is of Plover


def _hands(plan: Plan) -> tuple[tuple[datetime, datetime], ...]:
    return tuple((each.start, each.end) for each in plan.steps if each.hands)


def test_hands_and_oven_at_another_bake_are_left_alone() -> None:
    rolls = planned("seeded-rolls", SUNDAY)
    oven = (step(rolls, "preheat").start, of_kind(rolls, "bake")[-1].end)
    hands = (Occupied(HANDS, start, end) for start, end in _hands(rolls))
    loaf = planned("harbour-loaf", SUNDAY, occupied=(*hands, Occupied("Deck oven", *oven)))
    keeps_its_promises(loaf, "harbour-loaf")
    for start, end in _hands(loaf):
        assert not any(start < until and end > since for since, until in _hands(rolls))
    lit, out = step(loaf, "preheat").start, of_kind(loaf, "bake")[-1].end
    assert out <= oven[0] or lit >= oven[1]


@pytest.mark.long
def test_no_table_of_hours_a_warmer_cupboard_has_a_shorter_bulk() -> None:
    """Of two loaves: the dough of eight is so slow to warm that the cupboard does little to it."""
    hours = {}
    for celsius in ("23C", "29C"):
        plan = planned(
            "harbour-loaf",
            pieces=2,
            changes=(('temperature = "26C"', f'temperature = "{celsius}"'),),
        )
        keeps = step(plan, "bulk")
        hours[celsius] = (keeps.end - keeps.start) / timedelta(hours=1)
        assert keeps.standing is not None
        assert 1.4 * 0.9 < keeps.standing.rise_at_end < 1.75 * 1.1
        asks_for_one_pair_of_hands(plan)
    assert hours["29C"] < hours["23C"] - 0.5
