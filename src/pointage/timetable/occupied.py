"""What a plan takes of the kitchen's capacities, as another plan finds it occupied."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from pointage.kitchen.capacity import HANDS, CapacityKind, capacity_called
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.vessel import VesselUse
from pointage.timetable.plan import Plan, Step, StepKind
from pointage.timetable.ways.stands import litres_on_shelf

Span = tuple[datetime, datetime]

FIRING = (StepKind.PREHEAT, StepKind.BAKE)
WAITING = (StepKind.PROOF, StepKind.RETARD)


@dataclass(frozen=True, slots=True)
class Occupied:
    """So much of the capacity called `capacity`, in its unit, is at another bake for a spell.

    An oven counts as one load from being lit to its last load out.
    """

    capacity: str
    start: datetime
    end: datetime
    amount: float = 1.0


def occupied_by(plan: Plan, kitchen: Kitchen) -> tuple[Occupied, ...]:
    """What a plan takes of a kitchen's hands, ovens, fridge, baskets and tins."""
    hands = (Occupied(HANDS, each.start, each.end) for each in plan.steps if each.hands)
    return (*hands, *_ovens(plan, kitchen), *_waiting(plan, kitchen))


def _ovens(plan: Plan, kitchen: Kitchen) -> Iterator[Occupied]:
    """From being lit, through heating, to the last load out.

    An oven that the kitchen no longer has may be any of those it has.
    """
    firing = [each for each in plan.steps if each.kind in FIRING]
    for name in sorted({each.capacity or each.place for each in firing}):
        steps = [each for each in firing if name == (each.capacity or each.place)]
        start, end = min(each.start for each in steps), max(each.end for each in steps)
        known = kitchen.oven_called(name)
        for oven in kitchen.ovens if known is None else (known,):
            yield Occupied(oven.name, start, end)


def _waiting(plan: Plan, kitchen: Kitchen) -> Iterator[Occupied]:
    """What the shaped pieces wait in, and where, until the last of them goes into the oven."""
    loads = [each.start for each in plan.steps if each.kind is StepKind.BAKE]
    for step in plan.steps:
        if step.kind in WAITING:
            end = max([step.end, *loads])
            yield from _pieces(step, end, plan.piece_g, kitchen)


def _pieces(step: Step, end: datetime, piece_g: float, kitchen: Kitchen) -> Iterator[Occupied]:
    called = step.standing.vessel if step.standing else ""
    vessel = next((each for each in kitchen.vessels if each.name == called), None)
    if vessel is not None and vessel.use in (VesselUse.BASKET, VesselUse.TIN):
        own = capacity_called(kitchen, CapacityKind(vessel.use.value), vessel.name)
        if own is not None:
            yield Occupied(own.name, step.start, end, step.pieces)
    fridge = capacity_called(kitchen, CapacityKind.FRIDGE, step.place)
    if fridge is not None:
        litres = step.pieces * litres_on_shelf(vessel, piece_g)
        yield Occupied(fridge.name, step.start, end, litres)
