"""The one thing to change next, as a change of the formula.

How much by is common practice, no source, and so is that one thing is changed at a time. A cause
that lies in no line of a formula (steam, an old levain, a dough that missed the temperature it was
to have) has none: it is a thing to do.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from pointage.errors import InputError
from pointage.formula.adjust import with_levain_share
from pointage.formula.formula import Formula, Process, Rise
from pointage.quantities import Temperature
from pointage.timetable.why.signs import CauseKind

RISE = 0.1
DOUGH_K = 2.0
OVEN_K = 10.0
BAKE_SHARE = 0.1
MORE_LEVAIN, LESS_LEVAIN = Fraction(5, 4), Fraction(4, 5)
LEAST_RISE = 1.1
"""Less is hardly a rise: ours."""


class VariedLine(StrEnum):
    """What of a formula is another."""

    BULK = "bulk"
    PROOF = "proof"
    RETARD = "retard"
    DOUGH = "dough"
    OVEN = "oven"
    MINUTES = "minutes"
    LEVAIN = "levain"


@dataclass(frozen=True, slots=True)
class Variation:
    """A formula with one line changed. was, now: times its volume, °C, minutes, or for the levain
    the share of all flour that is fermented in it."""

    line: VariedLine
    was: float
    now: float
    formula: Formula


def variation(formula: Formula, cause: CauseKind, bake_minutes: float) -> Variation | None:
    """The formula with the one change that answers a cause; None where no line of it does.

    bake_minutes: what the oven's physics gives where the formula leaves it to that.
    """
    process = formula.process
    if process is None or cause not in _CHANGES:
        return None
    try:
        return _CHANGES[cause](formula, process, bake_minutes)
    except InputError:  # there is no room for it in this formula
        return None


def _bulk(by: float) -> _Change:
    def changed(formula: Formula, process: Process, _: float) -> Variation | None:
        now = _moved(process.bulk_rise, by)
        if now is None:
            return None
        found = replace(formula, process=replace(process, bulk_rise=now))
        return Variation(VariedLine.BULK, process.bulk_rise[1], now[1], found)

    return changed


def _proof(by: float) -> _Change:
    def changed(formula: Formula, process: Process, _: float) -> Variation | None:
        if process.retard_rise is not None:
            now = _moved(process.retard_rise, by)
            found = replace(formula, process=replace(process, retard_rise=now))
            line, was = VariedLine.RETARD, process.retard_rise[1]
        else:
            now = _moved(process.proof_rise, by)
            if now is None:
                return None
            found = replace(formula, process=replace(process, proof_rise=now))
            line, was = VariedLine.PROOF, process.proof_rise[1]
        return None if now is None else Variation(line, was, now[1], found)

    return changed


def _moved(rise: Rise, by: float) -> Rise | None:
    least, wanted, most = (round(each + by, 2) for each in rise)
    return None if least < LEAST_RISE else (least, wanted, most)


def _dough(by: float) -> _Change:
    def changed(formula: Formula, process: Process, _: float) -> Variation:
        was = process.dough_temperature.celsius
        warmth = Temperature(was + by)
        found = replace(formula, process=replace(process, dough_temperature=warmth))
        return Variation(VariedLine.DOUGH, was, was + by, found)

    return changed


def _oven(by: float) -> _Change:
    def changed(formula: Formula, process: Process, _: float) -> Variation:
        was = process.oven.celsius
        found = replace(formula, process=replace(process, oven=Temperature(was + by)))
        return Variation(VariedLine.OVEN, was, was + by, found)

    return changed


def _minutes(by: float) -> _Change:
    def changed(formula: Formula, process: Process, calculated: float) -> Variation:
        was = calculated if process.bake_minutes is None else process.bake_minutes
        now = float(round(was * (1 + by)))
        found = replace(formula, process=replace(process, bake_minutes=now))
        return Variation(VariedLine.MINUTES, was, now, found)

    return changed


def _levain(factor: Fraction) -> _Change:
    def changed(formula: Formula, _: Process, __: float) -> Variation:
        found = with_levain_share(formula, factor)
        was, now = (float(each.prefermented_flour) for each in (formula, found))
        return Variation(VariedLine.LEVAIN, was, now, found)

    return changed


_Change = Callable[[Formula, Process, float], Variation | None]
_K = CauseKind
_CHANGES: Mapping[CauseKind, _Change] = {
    _K.SHORT_BULK: _bulk(RISE),
    _K.LONG_BULK: _bulk(-RISE),
    _K.COLD_PLACE: _dough(DOUGH_K),
    _K.WARM_PLACE: _dough(-DOUGH_K),
    _K.YOUNG_LEVAIN: _levain(MORE_LEVAIN),
    _K.SLOW_CULTURE: _levain(MORE_LEVAIN),
    _K.QUICK_CULTURE: _levain(LESS_LEVAIN),
    _K.SHORT_PROOF: _proof(RISE),
    _K.LONG_PROOF: _proof(-RISE),
    _K.COOL_OVEN: _oven(OVEN_K),
    _K.HOT_OVEN: _oven(-OVEN_K),
    _K.SHORT_BAKE: _minutes(BAKE_SHARE),
    _K.LONG_BAKE: _minutes(-BAKE_SHARE),
}
