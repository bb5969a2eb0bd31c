"""How steady a way is: about how likely it can be kept, quickly enough to ask it of every way.

Members of the ensemble differ most in pace: what takes t hours in the middle takes t·f, with ln f
spread normally by SPREAD. A levain can be taken as long as some instant of its window t·f falls
where hands are free about its time; a dough is kept as long as bulk and proof together can be
stretched or shortened to the hours there are. The odds are the share of f for which both hold, as
if each mix had a pace of its own. `odds` asks the ensemble itself, of the ways that were chosen.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import erf, inf, log, sqrt

import numpy as np

from pointage.timetable.calendar import GRID_MIN, Calendar
from pointage.timetable.ways.doughs import LEAST_RETARD_H, Way
from pointage.timetable.ways.levains import Feeding, RipeInHand

SPREAD = 0.33
"""Of ln f: half the 80 % band of when a feed of an unknown culture is ripe, over 1.28 (decision
0021's ensemble; ours)."""
MOST_SHIFT_H = 4.0
"""So far from its time a levain may be taken by who follows the signs (ours)."""
UNSTEADY = 4.0
"""Penalty hours of a way that is sure to fail, over one that is sure to be kept (ours)."""
SHIFT_MIN = 15
ROOM_H = 1 / 3  # bread later or sooner by so much is still on time
BULK_LESS, BULK_MORE = 0.85, 1.2  # of the bulk that is planned, the least and the most that will do
_HOUR = timedelta(hours=1)


def free_about(calendar: Calendar, now: datetime, at: datetime) -> tuple[float, float]:
    """How many hours sooner (negative) and later than an instant hands are free without a break."""
    found = []
    for sign in (-1, 1):
        steps = 0
        while steps * SHIFT_MIN < MOST_SHIFT_H * 60:
            next_at = at + sign * timedelta(minutes=(steps + 1) * SHIFT_MIN)
            if next_at < now or not calendar.free(next_at, SHIFT_MIN):
                break
            steps += 1
        found.append(sign * steps * SHIFT_MIN / 60)
    return found[0], found[1]


@dataclass(eq=False)
class Steadiness:
    """The odds of one wish's ways. What many of them share is worked out once."""

    calendar: Calendar
    now: datetime
    _free: dict[datetime, tuple[float, float]] = field(default_factory=dict)
    _of_levain: dict[int, float] = field(default_factory=dict)
    _of_proof: dict[int, tuple[float, float]] = field(default_factory=dict)

    def levain(self, levain: RipeInHand) -> float:
        """The odds that every feed on the way is ripe when it can be taken."""
        known = self._of_levain.get(id(levain))
        if known is None:
            known, feeds = 1.0, levain.feedings()
            for feed, taken in zip(
                feeds, [*(each.at for each in feeds[1:]), levain.at], strict=True
            ):
                known *= self._feed(feed, taken)
            self._of_levain[id(levain)] = known
        return known

    def _feed(self, feed: Feeding, taken: datetime) -> float:
        if taken not in self._free:
            self._free[taken] = free_about(self.calendar, self.now, taken)
        sooner, later = self._free[taken]
        gap = (taken - feed.at) / _HOUR
        ripe_from, ripe_until = ((at - feed.at) / _HOUR for at in (feed.ripe_from, feed.ripe_until))
        return pace_odds((gap + sooner) / ripe_until, (gap + later) / ripe_from)

    def dough(self, way: Way, first: datetime, last: datetime) -> float:
        """The odds that the dough of a way fits the hours until its first load and its last."""
        bulk = (way.divide - way.mix) / _HOUR
        handled = (way.shaped - way.divide) / _HOUR
        least, most = self._proof(way)
        until = (first - way.mix) / _HOUR - handled + ROOM_H
        since = (last - way.mix) / _HOUR - handled - ROOM_H
        if way.retarded:  # it must be cold, however quick it is
            slowest = min(
                (until - LEAST_RETARD_H) / (BULK_LESS * bulk), until / (BULK_LESS * bulk + least)
            )
        else:
            slowest = until / (BULK_LESS * bulk + least)
        return pace_odds(since / (BULK_MORE * bulk + most), slowest)

    def _proof(self, way: Way) -> tuple[float, float]:
        """Hours after shaping from and until which the pieces may be baked."""
        known = self._of_proof.get(id(way))
        if known is None:
            least, _, most = way.wanted
            rise = way.rise[: way.last_fit + 1]
            fit = np.flatnonzero((rise >= least) & (rise <= most))
            if not len(fit):
                known = (0.0, 0.0)
            else:
                # What is fit at the end of its course may be so for long.
                end = inf if fit[-1] == len(way.rise) - 1 else float(fit[-1])
                known = float(fit[0]) * GRID_MIN / 60, end * GRID_MIN / 60
            self._of_proof[id(way)] = known
        return known


def pace_odds(fastest: float, slowest: float) -> float:
    """The share of members whose f lies between two."""
    return max(0.0, _below(slowest) - _below(fastest))


def _below(f: float) -> float:
    if f <= 0:
        return 0.0
    if f == inf:
        return 1.0
    return 0.5 * (1 + erf(log(f) / (SPREAD * sqrt(2))))
