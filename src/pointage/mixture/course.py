"""A course: what a hold did. Temperature, rise, acidity and counts over time, for each member."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pointage.heat.flag import Flag
from pointage.mixture.state import S

if TYPE_CHECKING:
    from pointage.mixture.mixture import Mixture

Floats = NDArray[np.float64]

LEAST_RISE = 1.1
"""A mixture that never stands higher has not risen: it has no peak and is never ripe (ours)."""
BY_YEAST = 0.15
"""Share of the gas up to the peak that must be yeast's: bacteria alone raise no bread. So little,
since in whole rye they make most of it even from a sound seed (ours)."""
NEAR_PEAK = 0.85
EDGE_OF_DECLINE = 0.90
DOUBLED = 2.0
SAFE_PH = 4.2
"""Below it a food not heat-treated needs no time and temperature control: FDA Food Code (seen)."""
BAND = (10, 50, 90)


@dataclass(frozen=True, slots=True)
class Band:
    """10, 50 and 90 % of a forecast. NaN: not within the course for that many of its members."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, eq=False)
class Course:
    """Rows at `hours` after `start`.

    states: (members, rows, STATE_SIZE); volume: litres per kg just after mixing, one a member.
    """

    start: datetime
    hours: Floats
    states: Floats
    volume: Floats
    held: Mixture
    flags: tuple[Flag, ...] = ()

    @property
    def temperature(self) -> Floats:
        return self.states[:, :, S.TEMPERATURE]

    @cached_property
    def rise(self) -> Floats:
        return rise_of(self.states, self.volume)

    @property
    def ph(self) -> Floats:
        return self.states[:, :, S.PH]

    @property
    def yeast(self) -> Floats:
        return self.states[:, :, S.YEAST]

    @property
    def bacteria(self) -> Floats:
        return self.states[:, :, S.BACTERIA]

    @property
    def strength(self) -> Floats:
        return self.states[:, :, S.STRENGTH]

    @property
    def final(self) -> Mixture:
        """The mixture at the end of the course."""
        return self.after(float(self.hours[-1]))

    def after(self, hours: float) -> Mixture:
        """The mixture as it stands at the row nearest to `hours`."""
        row = int(np.abs(self.hours - hours).argmin())
        return replace(self.held, states=self.states[:, row].copy())

    def at(self, hours: float) -> datetime:
        """The instant `hours` after the start."""
        return self.start + timedelta(hours=hours)

    def peak_h(self) -> Floats:
        """Hours to the highest rise, one a member; NaN when it has not risen, or still rises."""
        return peaks(self.hours, self.rise)

    def ripe(
        self, young: float = NEAR_PEAK, sour: float = EDGE_OF_DECLINE
    ) -> tuple[Floats, Floats]:
        """Hours from and until which each member is ripe; see `ripe_windows`."""
        return ripe_windows(self.hours, self.rise, leavened(self.states, self.rise), young, sour)

    def reaches(self, rise: float) -> Floats:
        """Hours at which each member first stands at `rise`; NaN when it never does."""
        return first_crossing(self.hours, self.rise, np.full(len(self.rise), rise))

    def sour_h(self, ph: float = SAFE_PH) -> Floats:
        """Hours at which each member has soured to `ph`; NaN when it never does."""
        return first_crossing(self.hours, -self.ph, np.full(len(self.ph), -ph))


def rise_of(states: Floats, volume: Floats) -> Floats:
    """Volume over the volume just after mixing, (members, rows).

    (V₀ + n·V(T)) / (V₀ + n₀·V(T)), with n the gas in the bubbles and n₀ that just after mixing."""
    from pointage.mixture.compiled import risen  # it is not for --help

    return risen(states, volume)


def band(values: Floats) -> Band:
    """10, 50 and 90 % over the members. A member that has no value counts as later than all."""
    late = np.where(np.isnan(values), np.inf, values)
    low, middle, high = np.percentile(late, BAND, method="nearest")
    return Band(*(float(v) if np.isfinite(v) else float("nan") for v in (low, middle, high)))


def weighted_band(values: Floats, weights: Floats) -> Band:
    """10, 50 and 90 % over members that count by `weights`, all of which have a value."""
    order = np.argsort(values)
    share = np.cumsum(weights[order] / weights.sum()) - 0.5 * weights[order] / weights.sum()
    return Band(*map(float, np.interp(np.array(BAND) / 100, share, values[order])))


def first_crossing(
    hours: Floats, rows: Floats, level: Floats, after: Floats | None = None
) -> Floats:
    """Hours at which each row first reaches its level going up, straight lines between rows.

    after: row numbers from which to look. NaN where the level is never reached.
    """
    ready = rows >= level[:, None] - 1e-12
    if after is not None:
        ready &= np.arange(rows.shape[1])[None, :] >= after[:, None]
    index = ready.argmax(axis=1)
    found = ready[np.arange(len(rows)), index]
    before = np.maximum(index - 1, 0)
    pick = np.arange(len(rows))
    low, high = rows[pick, before], rows[pick, index]
    gap = np.where(high > low, high - low, 1.0)
    part = np.where(high > low, (level - low) / gap, 1.0)
    times = hours[before] + np.clip(part, 0.0, 1.0) * (hours[index] - hours[before])
    return np.asarray(np.where(found, times, np.nan))


def peaks(hours: Floats, rise: Floats) -> Floats:
    """Hours of the highest point of each row, by the parabola through it and its neighbours."""
    top = rise.argmax(axis=1)
    last = rise.shape[1] - 1
    inner = np.clip(top, 1, max(last - 1, 1))
    pick = np.arange(len(rise))
    left, middle, right = rise[pick, inner - 1], rise[pick, inner], rise[pick, inner + 1]
    bend = left - 2 * middle + right
    shift = np.where(bend < 0, 0.5 * (left - right) / np.where(bend < 0, bend, -1.0), 0.0)
    step = hours[1] - hours[0]
    peaked = (top < last) & (rise[pick, top] >= LEAST_RISE)
    return np.asarray(np.where(peaked, hours[inner] + np.clip(shift, -1, 1) * step, np.nan))


def leavened(states: Floats, rise: Floats) -> NDArray[np.bool_]:
    """Whether yeast made at least BY_YEAST of each member's gas up to its highest rise.

    states: (members, rows, STATE_SIZE). Else it rose on the gas of bacteria: those of raw flour, or
    those that are left where the heat is too much for the yeast.
    """
    pick, top = np.arange(len(rise)), rise.argmax(axis=1)
    change = states[pick, top] - states[:, 0]
    made = change[:, S.GAS] + change[:, S.ESCAPED]
    return np.asarray(change[:, S.LEAVENED] >= BY_YEAST * made)


def ripe_windows(
    hours: Floats,
    rise: Floats,
    by_yeast: NDArray[np.bool_],
    young: float = NEAR_PEAK,
    sour: float = EDGE_OF_DECLINE,
) -> tuple[Floats, Floats]:
    """Hours from and until which each row is ripe.

    From the first time that (rise − 1) is `young` of its highest, until it has fallen to `sour` of
    it. A baker who likes it mild lowers `young`; one who likes it sour lowers `sour`. NaN where the
    peak or the fall is not within the row, where it hardly rises, and where it is not `by_yeast`
    (see `leavened`).
    """
    top = rise.argmax(axis=1)
    pick = np.arange(len(rise))
    height = rise[pick, top] - 1.0
    start = first_crossing(hours, rise, 1.0 + young * height)
    rises = by_yeast & (height >= LEAST_RISE - 1.0)
    start = np.where(rises & (top < rise.shape[1] - 1), start, np.nan)
    end = first_crossing(hours, -rise, -(1.0 + sour * height), after=top)
    return start, np.where(rises, end, np.nan)
