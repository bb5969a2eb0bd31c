"""The energy of bakes: which share a firing, and what each costs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.desk.answers import Bake
from pointage.formula.formula import Formula
from pointage.kitchen.file.heater import Heater
from pointage.kitchen.kitchen import Kitchen
from pointage.larder.energy import Load, firing_kwh, shares
from pointage.timetable.oven import bake_minutes, load_of, ovens_for
from pointage.timetable.plan import StepKind

STAYS_HOT = timedelta(minutes=30)
"""Lit again within this of the last load, an oven has not cooled: it is one firing (ours)."""


@dataclass(frozen=True, slots=True)
class _Heat:
    """When a bake has an oven: lit, hot and ready for the first load, empty again."""

    bake: str
    oven: str
    lit: datetime
    hot: datetime
    out: datetime
    loads: tuple[Load, ...]


def energy_kwh(bakes: Iterable[Bake], kitchen: Kitchen) -> dict[str, Fraction]:
    """Each bake's share of its firing in kWh, by key; none where the oven's power is not known.

    A firing that several bakes in one oven follow on with heats up once; between loads it is kept
    hot.
    """
    heats = [heat for bake in bakes if (heat := _heat(bake)) is not None]
    found: dict[str, Fraction] = {}
    for oven in kitchen.ovens:
        here = [heat for heat in heats if kitchen.oven_called(heat.oven) == oven]
        if oven.heater is not None:
            found.update(_shared(oven.heater, here))
    return found


def _shared(heater: Heater, heats: Sequence[_Heat]) -> dict[str, Fraction]:
    """Each bake's share, of those that had one oven."""
    found: dict[str, Fraction] = {}
    for firing in _firings(heats):
        heating = _minutes(firing[0].hot - firing[0].lit)
        hot = _minutes(max(each.out for each in firing) - firing[0].hot)
        whole = firing_kwh(heater, heating, hot)
        loads = [load for each in firing for load in each.loads]
        for load, share in zip(loads, shares(loads), strict=True):
            found[load.key] = found.get(load.key, Fraction()) + whole * share
    return found


def formula_kwh(formula: Formula, kitchen: Kitchen, pieces: int) -> Fraction | None:
    """Energy of a firing for so many pieces of a formula alone; None where it is not known."""
    process, ovens = formula.process, ovens_for(kitchen.ovens, formula.process)
    oven = ovens[0] if ovens else None
    heater = oven.heater if oven is not None else None
    if oven is None or heater is None or process is None:
        return None
    loads = -(-pieces // load_of(oven, process))
    baking = bake_minutes(formula, process, kitchen, formula.piece_g, pieces, oven=oven)
    each = Fraction(process.load_minutes + baking)
    return firing_kwh(heater, Fraction(oven.preheat_minutes), loads * each)


def _firings(heats: Iterable[_Heat]) -> list[list[_Heat]]:
    firings: list[list[_Heat]] = []
    for heat in sorted(heats, key=lambda each: (each.lit, each.bake)):
        last = max((each.out for each in firings[-1]), default=None) if firings else None
        if last is not None and heat.lit <= last + STAYS_HOT:
            firings[-1].append(heat)
        else:
            firings.append([heat])
    return firings


def _heat(bake: Bake) -> _Heat | None:
    lit = [step for step in bake.plan.steps if step.kind is StepKind.PREHEAT]
    loads = [step for step in bake.plan.steps if step.kind is StepKind.BAKE]
    if not lit or not loads:
        return None
    return _Heat(
        bake.key,
        lit[0].capacity or lit[0].place,
        min(step.start for step in lit),
        min(step.start for step in loads),
        max(step.end for step in loads),
        tuple(Load(bake.key, _minutes(step.end - step.start), step.pieces) for step in loads),
    )


def _minutes(span: timedelta) -> Fraction:
    return Fraction(span // timedelta(seconds=1), 60)
