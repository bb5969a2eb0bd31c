"""A batch that no bowl holds is mixed in several, in equal parts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.timetable.hall import of_kind, planned

from pointage.desk.now.bakes.bake import poured_so_far, pours
from pointage.desk.plans.shapes import LadderShape
from pointage.errors import InputError
from pointage.formula.ladder import Bowl, Ladder, Pour, PourKind, in_bowls, ladder
from pointage.timetable.plan import Step, StepKind

PIECES = 12


def mix() -> Step:
    (step,) = of_kind(planned("harbour-loaf", pieces=PIECES), StepKind.MIX)
    return step


def table() -> Ladder:
    found = mix().ladder
    assert found is not None
    return found


def test_a_batch_that_fits_has_one_bowl() -> None:
    (step,) = of_kind(planned("harbour-loaf"), StepKind.MIX)
    assert step.ladder is not None
    assert step.ladder.more == ()


def test_a_larger_one_is_shared_out_among_as_few_as_hold_it() -> None:
    found = table()
    assert [each.vessel for each in found.bowls] == ["Mixing bowl", "Tub 3"]
    first, second = found.pours[: found.each], found.pours[found.each :]
    assert [each.name for each in first] == [each.name for each in second]
    assert sum(each.grams for each in found.pours) == pytest.approx(mix().grams)
    for one, other in zip(first, second, strict=True):
        assert one.grams == pytest.approx(other.grams, abs=found.step_g)
    for bowl, part in zip(found.bowls, (first, second), strict=True):
        assert part[0].display_g == pytest.approx(bowl.tare_g + part[0].grams)
        assert part[-1].display_g == pytest.approx(bowl.tare_g + sum(each.grams for each in part))
    bulk = next(s for s in planned("harbour-loaf", pieces=PIECES).steps if s.kind is StepKind.BULK)
    assert bulk.standing is not None
    assert bulk.standing.full < 0.5


def test_too_much_in_one_bowl_is_put_right_in_that_bowl_alone() -> None:
    step, found = mix(), table()
    first = [each.display_g for each in found.pours[: found.each]]
    over = found.before(found.each) + 1.1 * found.pours[found.each].grams
    poured = pours(step, tuple(first), found.each, over)
    now, batch = poured_so_far(step, poured)
    assert now.pours[: found.each] == found.pours[: found.each]
    grown = now.pours[found.each + 1].grams / found.pours[found.each + 1].grams
    assert grown == pytest.approx(1.1, abs=0.01)
    assert batch is not None
    assert batch.factor == pytest.approx(1.05, abs=0.001)
    with pytest.raises(InputError, match="which it read before"):
        pours(step, tuple(first), found.each, found.more[0].tare_g - 1)


def test_it_is_kept_with_the_plan() -> None:
    kept = LadderShape.model_validate(table()).model_dump(mode="json", exclude_defaults=True)
    assert LadderShape.model_validate(kept).made() == table()
    with pytest.raises(ValueError, match="as many pours for each bowl"):
        LadderShape.model_validate(kept | {"pours": kept["pours"][:-1]})


@given(
    grams=st.lists(st.integers(1, 9000), min_size=1, max_size=8),
    bowls=st.integers(2, 5),
    step=st.sampled_from([0.1, 1.0, 5.0]),
)
def test_parts_are_equal_to_a_step_and_come_to_the_whole(
    grams: list[int], bowls: int, step: float
) -> None:
    whole = [Pour(PourKind.INGREDIENT, f"part {n}", step * g) for n, g in enumerate(grams)]
    shared = in_bowls(whole, bowls, step)
    found = ladder("a", 100.0, step, shared, tuple(Bowl(f"b{n}", 200.0) for n in range(1, bowls)))
    assert found.each == len(grams)
    for number, pour in enumerate(whole):
        parts = [each.grams for each in found.pours[number :: len(grams)]]
        assert sum(parts) == pytest.approx(pour.grams)
        assert max(parts) - min(parts) < 1.001 * step
    assert replace(found, more=()).bowls == found.bowls[:1]
