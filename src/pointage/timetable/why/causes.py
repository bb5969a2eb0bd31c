"""Why bread came out as it did: the likely causes in order, from its signs and its record together.

Bayes over causes of which one is true, or none: how likely the signs are under each (signs.py),
times how likely it makes what was recorded. What strayed is measured by its effect, in
halves of what the formula allows (`Finding.strength`): the record of the true cause strays by about
two of them, the record of any other by little.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from math import exp

from pointage.formula.formula import Rise
from pointage.heat.baking import done_at
from pointage.timetable.why.record import BakeAsDone
from pointage.timetable.why.signs import SHOWS, BreadSign, CauseKind, chance

NOTHING = 0.2
"""Odds, before anything is known, that a sign comes of nothing that a record could hold: ours."""
TRUE_AT, TRUE_SPREAD, OTHER_SPREAD = 2.0, 1.0, 0.6
"""How strongly the record strays by the true cause, and by any other: ours."""
MOST_FOR, MOST_AGAINST = 30.0, 0.1
CALCULATED_AGAINST = 0.3
"""What is calculated and not read speaks less against a cause: its ratio is at least this."""
NAMED = 0.1
"""A cause with lower odds is not named."""
MOST_NAMED = 3
DENIED = 0.5
"""A record half as likely under a cause denies it."""
OVEN_K = 10.0
"""An oven is set within 10 K or so: common practice, no source."""
BAKE_SHARE = 0.1
"""A tenth of the minutes more or less is seen on the crust: common practice, no source."""
CORE_K = 1.5
WINDOW_H = 1.0
"""An hour before or after a levain's window is noticed: common practice, no source."""
PLAIN = 2.5
"""The strength of what is plain by itself: a levain seen fallen, a bake without steam."""
UNSTEAMED = ("tin", "flat")


@dataclass(frozen=True, slots=True)
class Finding:
    """What the record says of one cause.

    was, meant: in °C, hours, minutes or times its volume, as goes with the cause; the same where
    there is only a yes. strength: of its effect, in halves of what the formula allows; below 0 it
    strays the other way. read: it was read, not calculated. core: °C of the core, no minutes.
    """

    was: float
    meant: float
    strength: float
    read: bool = True
    core: bool = False

    @property
    def ratio(self) -> float:
        """How much likelier the record is when this is the cause than when it is not."""
        true = exp(-(((self.strength - TRUE_AT) / TRUE_SPREAD) ** 2) / 2) / TRUE_SPREAD
        if self.strength > TRUE_AT:
            true = 1 / TRUE_SPREAD  # the farther the plainer
        other = exp(-((self.strength / OTHER_SPREAD) ** 2) / 2) / OTHER_SPREAD
        least = MOST_AGAINST if self.read else CALCULATED_AGAINST
        return MOST_FOR if other == 0 else min(max(true / other, least), MOST_FOR)


@dataclass(frozen=True, slots=True)
class BakeCause:
    """One thing that may have gone wrong. finding: what speaks for it in the record; None where
    only common practice does."""

    kind: CauseKind
    odds: float
    finding: Finding | None = None


def causes(record: BakeAsDone, signs: Iterable[BreadSign]) -> tuple[BakeCause, ...]:
    """The causes that are likely enough to be named, the likeliest first; none without a sign.

    A cause that neither the record nor two signs speak for is not among them: what practice says of
    a single sign is `signs.SHOWS`.
    """
    seen = frozenset(signs)
    if not seen:
        return ()
    found = findings(record)
    weights: dict[CauseKind | None, float] = {None: NOTHING * chance(seen, None)}
    for kind in CauseKind:
        ratio = found[kind].ratio if kind in found else 1.0
        weights[kind] = (1 - NOTHING) / len(CauseKind) * chance(seen, kind) * ratio
    total = sum(weights.values())
    if weights[None] > total / 2:
        return ()
    named = [
        BakeCause(kind, weight / total, _for(found.get(kind)))
        for kind, weight in weights.items()
        if kind is not None and weight >= NAMED * total and _is_grounded(kind, found, seen)
    ]
    return tuple(sorted(named, key=lambda each: -each.odds)[:MOST_NAMED])


def _is_grounded(
    kind: CauseKind, found: Mapping[CauseKind, Finding], seen: frozenset[BreadSign]
) -> bool:
    """The record bears it out, or at least does not deny it; where it is silent, two signs do."""
    if kind in found:
        return found[kind].ratio > DENIED
    return len(seen & SHOWS[kind].keys()) > 1


def _for(finding: Finding | None) -> Finding | None:
    """A finding that speaks for its cause."""
    return finding if finding is not None and finding.ratio > 1 else None


def findings(record: BakeAsDone) -> Mapping[CauseKind, Finding]:
    """What the record says of each cause that it says anything of."""
    return {**_bulk(record), **_levain(record), **_proof(record), **_oven(record)}


def _bulk(record: BakeAsDone) -> dict[CauseKind, Finding]:
    """What kept the dough from its wanted rise at the dividing, or carried it past."""
    wanted, half = _range(record.problem.process.bulk_rise)
    read = record.divided_rise is not None
    short = (wanted - _or(record.divided_rise, record.risen)) / half
    found: dict[CauseKind, Finding] = {}

    def add(less: CauseKind, more: CauseKind, was: float, meant: float, otherwise: float) -> None:
        # What it would have risen had this one thing been as meant, as far as that is missing. Too
        # warm a dough can rise too little as well.
        by = (otherwise - record.risen) / half
        strength = max(min(by, short), min(-by, -short))
        found[less] = Finding(was, meant, strength if was < meant else -abs(strength), read)
        found[more] = Finding(was, meant, strength if was > meant else -abs(strength), read)

    planned = record.planned.divide - record.planned.mix
    lasted = record.done.divide - record.done.mix
    add(
        CauseKind.SHORT_BULK, CauseKind.LONG_BULK, _hours(lasted), _hours(planned),
        record.rise_with(bulk=planned),
    )  # fmt: skip
    if record.dough_c is not None:
        add(
            CauseKind.COLD_DOUGH, CauseKind.WARM_DOUGH, record.dough_c, record.wanted_c,
            record.rise_with(dough_c=record.wanted_c),
        )  # fmt: skip
    if record.room_c is not None:
        add(
            CauseKind.COLD_PLACE, CauseKind.WARM_PLACE, record.room_c, record.place_c,
            record.rise_with(room_c=record.place_c),
        )  # fmt: skip
    if record.divided_rise is not None:
        behind = (record.risen - record.divided_rise) / half
        rises = (record.divided_rise, record.risen)
        found[CauseKind.SLOW_CULTURE] = Finding(*rises, min(behind, short))
        found[CauseKind.QUICK_CULTURE] = Finding(*rises, min(-behind, -short))
    return found


def _levain(record: BakeAsDone) -> dict[CauseKind, Finding]:
    wanted, half = _range(record.problem.process.bulk_rise)
    short = (wanted - _or(record.divided_rise, record.risen)) / half
    missing = (record.rise_with(levain=record.meant_levain) - record.risen) / half
    age = (record.done.mix - record.done.feeds[-1].at) / timedelta(hours=1)
    ripe_from, ripe_until = age + record.levain_early_h, age - record.levain_late_h
    young = max(min(missing, short), record.levain_early_h / WINDOW_H)
    old = record.levain_late_h / WINDOW_H
    seen = record.levain_ripe or record.levain_fallen
    if record.levain_fallen:
        young, old = min(young, -PLAIN), max(old, PLAIN)
    elif record.levain_ripe:
        young, old = min(young, 0.0), min(old, 0.0)
    return {
        CauseKind.YOUNG_LEVAIN: Finding(age, ripe_from, young, seen),
        CauseKind.OLD_LEVAIN: Finding(age, ripe_until, old, seen),
    }


def _proof(record: BakeAsDone) -> dict[CauseKind, Finding]:
    """The proof itself: not what the bulk had already left too small or too large."""
    process = record.problem.process
    rises = process.rise_to_load(retarded=record.done.retarded)
    wanted, half = _range(rises)
    read = record.loaded_rise is not None
    short = (wanted - _or(record.loaded_rise, record.loaded)) / half
    planned = record.planned.loads[0] - record.planned.shaped
    by = (record.loaded_with(planned) - record.loaded) / half
    if record.loaded_rise is not None:  # what the engine does not explain is the proof's too
        by += (record.loaded - record.loaded_rise) / half
    lasted = _hours(record.done.loads[0] - record.done.shaped)
    return {
        CauseKind.SHORT_PROOF: Finding(lasted, _hours(planned), min(by, short), read),
        CauseKind.LONG_PROOF: Finding(lasted, _hours(planned), min(-by, -short), read),
    }


def _oven(record: BakeAsDone) -> dict[CauseKind, Finding]:
    found: dict[CauseKind, Finding] = {}
    process = record.problem.process
    if record.oven_c is not None:
        meant = process.oven.celsius
        hotter = (record.oven_c - meant) / OVEN_K
        found[CauseKind.COOL_OVEN] = Finding(record.oven_c, meant, -hotter)
        found[CauseKind.HOT_OVEN] = Finding(record.oven_c, meant, hotter)
    if record.minutes is not None:
        meant = record.problem.bake_minutes
        longer = (record.minutes - meant) / (BAKE_SHARE * meant)
        found[CauseKind.SHORT_BAKE] = Finding(record.minutes, meant, -longer)
        found[CauseKind.LONG_BAKE] = Finding(record.minutes, meant, longer)
    if record.core_c is not None:
        meant = done_at(record.problem.oven_bake)
        found[CauseKind.SHORT_BAKE] = Finding(
            record.core_c, meant, (meant - record.core_c) / CORE_K, core=True
        )
    if record.steam is not None and process.shape not in UNSTEAMED:
        found[CauseKind.NO_STEAM] = Finding(0, 0, -PLAIN if record.steam else PLAIN)
    return found


def _range(rises: Rise) -> tuple[float, float]:
    """The wanted rise, and half of what is allowed round it."""
    least, wanted, most = rises
    return wanted, (most - least) / 2


def _or(read: float | None, calculated: float) -> float:
    return calculated if read is None else read


def _hours(lasts: timedelta) -> float:
    return lasts / timedelta(hours=1)
