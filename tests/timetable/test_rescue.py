"""What can still be made of a levain, a dough and pieces that went too far."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest
from tests.timetable.hall import formula
from tests.timetable.test_why import good, problem

from pointage.errors import InputError
from pointage.formula.adjust import with_levain_share
from pointage.timetable.plan import StepKind
from pointage.timetable.rescue.too_far import (
    SLOW,
    BakeSoFar,
    RescueKind,
    TooFar,
    TooFarKind,
    too_far,
    with_fewer,
)

HOUR = timedelta(hours=1)
R = RescueKind


def after(stands: StepKind, hours: float, **seen: object) -> TooFar | None:
    """So many hours after the plan would have used what stands."""
    plan = good()
    ends = {StepKind.BUILD: plan.mix, StepKind.BULK: plan.divide, StepKind.PROOF: plan.loads[0]}
    now = ends[stands] + hours * HOUR
    return too_far(BakeSoFar(problem(), plan, plan, stands, now, **seen))  # type: ignore[arg-type]


@pytest.mark.parametrize("stands", [StepKind.BUILD, StepKind.BULK, StepKind.PROOF])
def test_what_goes_by_its_plan_has_not_gone_too_far(stands: StepKind) -> None:
    assert after(stands, 0) is None


def test_a_levain_that_stood_on_is_used_now_or_fed_again() -> None:
    found = after(StepKind.BUILD, 6)
    assert found is not None
    assert found.kind is TooFarKind.LEVAIN
    assert found.past_h == pytest.approx(3.9, abs=0.3)
    assert not found.read
    now, again, *_ = found.ways
    assert (now.kind, again.kind) == (R.USE_NOW, R.FEED_AGAIN)
    # A levain past its best is full of cells: what it lacks is strength, not speed.
    assert now.hours is not None
    assert now.meant_h is not None
    assert now.hours < now.meant_h
    assert now.strength is not None
    assert now.strength < 1
    assert again.hours is not None
    assert 3 < again.hours < 12


def test_one_seen_fallen_is_past_its_best_before_the_engine_has_it_so() -> None:
    fallen = good().mix - HOUR
    assert after(StepKind.BUILD, -0.5) is None
    found = after(StepKind.BUILD, -0.5, fallen=fallen)
    assert found is not None
    assert found.read
    assert found.past_h == 0


def test_a_slow_culture_goes_into_a_smaller_dough() -> None:
    """One that makes half the gas and doubles in half as long again: more of it keeps the time."""
    plan, usual = good(), problem().likeliest
    slow = replace(
        usual, yeast_gas=0.5 * usual.yeast_gas, yeast_doubling_h=1.5 * usual.yeast_doubling_h
    )
    of_it = replace(problem(), believed=slow)
    found = too_far(BakeSoFar(of_it, plan, plan, StepKind.BUILD, plan.mix + 16 * HOUR))
    assert found is not None
    now, more, *_ = found.ways
    assert (now.kind, more.kind) == (R.USE_NOW, R.MORE_LEVAIN)
    assert now.hours is not None
    assert now.meant_h is not None
    assert more.hours is not None
    assert now.hours > SLOW * now.meant_h
    assert more.hours < now.hours
    assert more.pieces is not None
    assert 6 <= more.pieces < of_it.pieces


def test_fewer_pieces_take_the_levain_of_all_and_stay_as_wet() -> None:
    smaller = with_fewer(problem(), 6)
    assert smaller is not None
    before, after_ = problem().formula, smaller.formula
    assert after_.total == before.total
    stage = problem().levain_stage
    grams = float(before.whole(stage).mass) * problem().flour_g()
    assert float(after_.whole(smaller.levain_stage).mass) * smaller.flour_g() == pytest.approx(
        grams
    )
    assert after_.whole(smaller.levain_stage).hydration == before.whole(stage).hydration


def test_more_levain_than_the_dough_has_water_for_is_refused() -> None:
    with pytest.raises(InputError, match="levain"):
        with_levain_share(formula("harbour-loaf"), Fraction(9))


def test_a_dough_that_rose_too_far_spreads_and_goes_into_a_tin_first_when_it_is_weak() -> None:
    assert after(StepKind.BULK, 1) is None
    found, later = after(StepKind.BULK, 4), after(StepKind.BULK, 16)
    assert found is not None
    assert later is not None
    assert found.kind is TooFarKind.DOUGH
    assert found.most == 1.75
    assert [each.kind for each in found.ways] == [R.DIVIDE_NOW, R.TIN, R.FLAT, R.OLD_DOUGH]
    assert later.ways[0].kind is R.TIN
    first, weak = found.ways[0], later.ways[1]
    assert first.ph is not None
    assert first.meant_ph is not None
    assert first.ph < first.meant_ph
    assert first.strength is not None
    assert weak.strength is not None
    assert weak.strength < first.strength < 1


def test_what_was_read_counts_before_what_is_calculated() -> None:
    assert after(StepKind.BULK, 4, rise=1.5) is None
    found = after(StepKind.BULK, -1, rise=1.9)
    assert found is not None
    assert found.read
    assert found.rise == 1.9


def test_pieces_are_baked_now_or_shaped_again() -> None:
    found = after(StepKind.PROOF, 4)
    assert found is not None
    assert found.kind is TooFarKind.PIECES
    kinds = [each.kind for each in found.ways]
    assert kinds[0] is R.BAKE_NOW
    assert R.SHAPE_AGAIN in kinds
    again = found.ways[kinds.index(R.SHAPE_AGAIN)]
    assert again.hours is not None
    assert 0.5 < again.hours < 6


def test_what_no_model_says_is_marked_as_practice() -> None:
    for found in (after(StepKind.BUILD, 6), after(StepKind.BULK, 4), after(StepKind.PROOF, 4)):
        assert found is not None
        marked = {each.kind for each in found.ways if each.practice}
        assert marked <= {R.TIN, R.FLAT, R.OLD_DOUGH}
        assert R.FLAT in marked
