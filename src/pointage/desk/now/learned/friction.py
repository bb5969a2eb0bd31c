"""What mixing warms a dough by, from doughs whose temperature was recorded soon after the mix."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from pointage.daybook.readings import ReadingKind
from pointage.desk.answers import Bake, Wished
from pointage.desk.now.texts import kitchen_of
from pointage.kitchen.friction import Friction, before_any_dough, learn_friction
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.plan import Step, StepKind

BEFORE = timedelta(minutes=10)
AFTER = timedelta(minutes=20)
"""A dough's temperature recorded this long about the end of its mix is that of the mix."""


def learned_friction(
    seen: Sequence[float], kitchen: Kitchen, minutes: float, dough_kg: float
) -> Friction:
    """Belief about what the kitchen's usual way of mixing warms such a dough by.

    It begins with what the kitchen's file says, and every dough mixed that way moves it.
    seen: of these doughs, as `seen_warmings`.
    """
    return learn_friction(before_any_dough(kitchen.gained_k(minutes, dough_kg)), seen)


def seen_warmings(bakes: Iterable[Bake], kitchen: Kitchen) -> list[float]:
    """By how much each dough mixed the kitchen's way came out above its balance, K."""
    return [
        warming
        for bake in bakes
        if bake.wished is not None
        and kitchen_of(bake.wished.kitchen).mixed_in == kitchen.mixed_in
        and (warming := seen_warming(bake)) is not None
    ]


def seen_warming(bake: Bake) -> float | None:
    """By how much the dough came out above its balance, K; None when nobody recorded it in time.

    The plan's temperature of the mix is its balance and the friction it was planned with: what was
    measured beyond that balance is friction, whatever it comes from.
    """
    mix = next((each for each in bake.plan.steps if each.kind is StepKind.MIX), None)
    bulk = next((each for each in bake.plan.steps if each.kind is StepKind.BULK), None)
    if mix is None or bulk is None or mix.mixture_temperature_c is None or bake.wished is None:
        return None
    mixed = bake.step_news(mix.key).done
    measured = None if mixed is None else _first_recorded(bake, bulk, mixed)
    if measured is None:
        return None
    return measured - (mix.mixture_temperature_c - planned_with(bake.wished, mix))


def planned_with(wished: Wished, mix: Step) -> float:
    """The friction a bake was planned with: as written down, else its kitchen's."""
    if wished.friction_k is not None:
        return wished.friction_k
    minutes = (mix.end - mix.start) / timedelta(minutes=1)
    return kitchen_of(wished.kitchen).gained_k(minutes, mix.grams / 1000)


def _first_recorded(bake: Bake, bulk: Step, mixed: datetime) -> float | None:
    early = [
        each
        for each in bake.step_news(bulk.key).readings
        if each.kind is ReadingKind.TEMPERATURE and mixed - BEFORE <= each.at <= mixed + AFTER
    ]
    return min(early, key=lambda each: each.at).value if early else None
