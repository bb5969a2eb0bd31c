"""What bakes share: one build of all they need, one heat-up, and bowls enough for each."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.timetable.hall import NOW, SATURDAY, kitchen, planned
from tests.timetable.week.weeks import keeps_its_promises, steps, week

from pointage.formula.ladder import ladder
from pointage.timetable.joint import joint_builds, most_in_a_tub
from pointage.timetable.plan import Plan, Step, StepKind
from pointage.timetable.ways.stands import LEVAIN_GROWS

HOUR = timedelta(hours=1)
TWO = (("harbour-loaf", SATURDAY, 4), ("harbour-loaf", SATURDAY + 2 * HOUR, 3))


def build(plan: Plan) -> Step:
    return next(step for step in plan.steps if step.kind is StepKind.BUILD)


def with_build(plan: Plan, share: float, later: timedelta = timedelta()) -> Plan:
    """The plan with so much of its build, to the scale's step, and so much later."""

    def changed(step: Step) -> Step:
        if step.kind is not StepKind.BUILD or step.ladder is None:
            return step
        table = step.ladder
        pours = [replace(pour, grams=float(round(share * pour.grams))) for pour in table.pours]
        return replace(
            step,
            start=step.start + later,
            grams=sum(pour.grams for pour in pours),
            ladder=ladder(table.vessel, table.tare_g, table.step_g, pours),
        )

    return replace(plan, steps=tuple(map(changed, plan.steps)))


@given(st.lists(st.floats(0.2, 3.0), min_size=2, max_size=4))
def test_mass_is_conserved_in_a_shared_build(shares: list[float]) -> None:
    hall = kitchen()
    plans = [with_build(planned("harbour-loaf"), share) for share in shares]
    (found,) = joint_builds(hall, [None, *plans])
    table = found.step.ladder
    assert table is not None
    assert [part.plan for part in found.parts] == list(range(1, len(plans) + 1))
    assert found.grams == found.step.grams == sum(build(plan).grams for plan in plans)
    assert sum(pour.grams for pour in table.pours) == found.grams
    assert table.pours[-1].display_g == table.tare_g + found.grams
    vessel = next(each for each in hall.vessels if each.name == table.vessel)
    fits = found.grams <= most_in_a_tub(hall)
    assert vessel.takes(found.grams / 1000 * LEVAIN_GROWS, found.grams) is fits


def test_builds_at_two_times_or_of_two_cultures_are_two() -> None:
    plan = planned("harbour-loaf")
    assert not joint_builds(kitchen(), [plan, with_build(plan, 1.0, timedelta(minutes=15))])
    assert not joint_builds(kitchen(), [plan, replace(plan, culture="Gannet")])


def test_two_wheat_breads_have_one_build_and_one_heat_up() -> None:
    answer = week(NOW, *TWO)
    keeps_its_promises(answer)
    assert all(wish.kept for wish in answer.wishes)
    (joint,) = answer.joint
    assert [part.plan for part in joint.parts] == [0, 1]
    plans = [wish.plan for wish in answer.wishes if wish.plan]
    assert joint.grams == sum(build(plan).grams for plan in plans)
    for plan in plans:  # each takes its part when it is mixed, while that is ripe
        own = build(plan)
        assert own.ladder is not None
        assert joint.step.ladder is not None
        assert own.ladder.vessel == joint.step.ladder.vessel
        mixed = next(step for step in plan.steps if step.kind is StepKind.MIX)
        assert own.ripe_odds == mixed.ripe_odds
        assert own.ripe_odds is not None
        assert own.ripe_odds > 0.2
    assert sum(step.kind is StepKind.PREHEAT for _, step in steps(answer)) == 1
    kept = [step for plan in plans for step in plan.steps if step.keeping]
    assert len(kept) == 1


def test_giving_a_wish_up_leaves_the_other_as_good_but_for_what_they_share() -> None:
    both, (alone,) = week(NOW, *TWO), week(NOW, TWO[0]).wishes
    other = both.wishes[0]
    assert alone.plan is not None
    assert other.plan is not None
    assert alone.plan.penalty is not None
    assert other.plan.penalty is not None
    assert alone.plan.penalty <= other.plan.penalty + 1e-6


@pytest.mark.long
def test_a_batch_for_two_bowls_and_two_loads_is_planned_in_a_week() -> None:
    answer = week(NOW, ("harbour-loaf", SATURDAY + 2 * HOUR, 12))
    keeps_its_promises(answer)
    (wish,) = answer.wishes
    assert wish.kept
    assert wish.plan is not None
    mixed = next(step for step in wish.plan.steps if step.kind is StepKind.MIX)
    assert mixed.ladder is not None
    assert len(mixed.ladder.bowls) == 2
    loads = [step for step in wish.plan.steps if step.kind is StepKind.BAKE]
    assert [load.pieces for load in loads] == [8, 4]
    assert loads[1].start >= loads[0].end
