"""How steady ways are: about how likely they can be kept, quickly enough to ask it of every way.

Members of the ensemble differ most in pace (ways/paces.py). What is quick waits in the fridge. What
is slow is waited for, and moves what comes after it, until the dough comes too late for the oven. A
levain is lost besides where hands are not free while it is ripe. The odds are the share of paces by
which nothing is. `odds` asks the ensemble itself, of the ways that were chosen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.traits import Traits
from pointage.timetable.calendar import GRID, GRID_MIN, Calendar
from pointage.timetable.ways.doughs import Way
from pointage.timetable.ways.levains import FEED_MINUTES, RipeInHand
from pointage.timetable.ways.paces import PACES, met

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

UNSTEADY = 15.0
"""Penalty hours of a way that is sure to fail, over one that is sure to be kept (ours)."""
WIDER = 1.3
"""So much further from their middle (in logarithms) than believed are the members that odds are
asked of: who plans for what nobody has seen is too sure (ours)."""
ROOM_H = 1 / 3  # bread later or sooner by so much is still on time
BULK_LESS = 0.9  # of the bulk that is planned, the least that will do
COOLED_H = 1.5  # so long at the least are pieces in the fridge that are to wait in it
_HOUR = timedelta(hours=1)


def wider(traits: Traits) -> Traits:
    """An ensemble WIDER about its median."""
    values = [np.asarray(getattr(traits, each.name)) for each in fields(Traits)]
    return Traits(*(np.median(v) * (v / np.median(v)) ** WIDER for v in values))


@dataclass(eq=False)
class Steadiness:
    """The odds of one wish's ways. What many of them share is worked out once."""

    calendar: Calendar
    builds: int
    fridge: bool
    _late: dict[int, tuple[Floats, Flags]] = field(default_factory=dict)

    def free(self, minutes: float) -> Flags:
        return self.calendar.free_on_grid(minutes)

    def levain(self, levain: RipeInHand) -> float:
        """The odds that it is ripe when it can be taken, and no later than planned."""
        late, ripe = self.lateness(levain)
        return float(np.mean(ripe & (late <= ROOM_H)))

    def lateness(self, levain: RipeInHand) -> tuple[Floats, Flags]:
        """By each of PACES: hours by which it is ripe later than planned; whether it can be had."""
        known = self._late.get(id(levain))
        if known is None:
            feeds = levain.feedings()
            takes = [*(each.at for each in feeds[1:]), levain.at]
            begun = np.full(len(PACES), (feeds[0].at - self.calendar.first) / _HOUR)
            ripe = np.ones(len(PACES), dtype=bool)
            for number, (feed, taken) in enumerate(zip(feeds, takes, strict=True)):
                ripe_from, ripe_until = (
                    (each - feed.at) / _HOUR for each in (feed.ripe_from, feed.ripe_until)
                )
                if number >= len(feeds) - self.builds:
                    windows = (np.array([4 * each]) for each in (ripe_from, ripe_until))
                    start = np.array([(feed.at - self.calendar.first) / GRID])
                    ripe &= met(self.free(FEED_MINUTES), start, *windows)[0]
                planned = (taken - self.calendar.first) / _HOUR
                begun = np.maximum(planned, begun + ripe_from * PACES)
            known = begun - (levain.at - self.calendar.first) / _HOUR, ripe
            self._late[id(levain)] = known
        return known

    def doughs(self, ways: Sequence[Way], handling_min: float) -> Doughs:
        """What the odds of ways hang on, as columns."""
        levains = {id(way.levain): way.levain for way in ways}
        number = {each: n for n, each in enumerate(levains)}
        own = np.array([number[id(way.levain)] for way in ways], dtype=np.intp)
        each = [self.lateness(levain) for levain in levains.values()]
        late = np.array([late for late, _ in each]).reshape(-1, len(PACES))[own]
        ripe = np.array([ripe for _, ripe in each]).reshape(-1, len(PACES))[own]
        first = self.calendar.first
        mixed = np.array([(way.mix - first) / _HOUR for way in ways])
        bulk = np.array([(way.divide - way.mix) / _HOUR for way in ways])
        divided = mixed[:, None] + late + BULK_LESS * bulk[:, None] * PACES
        free = self.free(handling_min)
        count = len(free)
        later = np.where(free, np.arange(count), count)
        later = np.append(np.minimum.accumulate(later[::-1])[::-1], count)
        row = np.clip(np.ceil(divided * 60 / GRID_MIN), 0, count).astype(np.intp)
        shaped = np.maximum(divided, later[row] * GRID_MIN / 60) + handling_min / 60
        return Doughs(first, ripe, shaped, *_proof(ways), self.fridge)


def _proof(ways: Sequence[Way]) -> tuple[Floats, Floats]:
    """Hours after shaping from and until which the pieces of each may be baked."""
    if not ways:
        return np.zeros(0), np.zeros(0)
    rows = np.arange(max(len(way.rise) for way in ways))
    retarded = np.array([way.retarded for way in ways])
    wanted = np.array([way.wanted for way in ways])
    rise = np.stack([way.rise for way in ways])
    fit = (rise >= wanted[:, :1]) & (rise <= wanted[:, 2:])
    fit &= rows <= np.array([way.last_fit for way in ways])[:, None]
    ever, last = fit.any(axis=1), len(rows) - 1 - fit[:, ::-1].argmax(axis=1)
    least = fit.argmax(axis=1) * (GRID_MIN / 60)
    # What is fit at the end of its course may be so for long.
    most = np.where(last == len(rows) - 1, np.inf, last * (GRID_MIN / 60))
    least, most = (np.where(ever, each, 0.0) for each in (least, most))
    return np.where(retarded, COOLED_H, least), np.where(retarded, np.inf, most)


@dataclass(frozen=True, eq=False)
class Doughs:
    """Columns of ways by PACES: whether the levain can be had, and hours until it is shaped."""

    since: datetime
    ripe: Flags
    shaped: Floats
    least: Floats
    most: Floats
    fridge: bool

    def odds(self, first: datetime, last: datetime) -> Floats:
        """Of each way, the odds that the dough is fit for the first load and the last."""
        until, since = ((at - self.since) / _HOUR for at in (first, last))
        kept = self.ripe & (self.shaped + self.least[:, None] * PACES <= until + ROOM_H)
        if not self.fridge:
            kept &= self.shaped + self.most[:, None] * PACES >= since - ROOM_H
        return np.asarray(kept.mean(axis=1))
