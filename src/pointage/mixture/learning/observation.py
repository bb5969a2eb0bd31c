"""What a person sees of a mixture: a reading or a sign, at an instant, with its error.

Each observation says how far a course is from it, in units of its own error (`gaps`). A reading is
two-sided: its gap z is felt as exp(−z²/2). A sign ("ripe", "fallen") is one-sided: it is likelier
the further z lies above nought, by 1/(1 + exp(−z)). The errors given here are ours, for a scale of
marks on a jar, a kitchen thermometer, pH paper or a cheap meter, and a cook's eye.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Protocol

import numpy as np
from numpy.typing import NDArray

from pointage.bounds import (
    MIXTURE_C,
    PH,
    RISE,
    TTA_ML,
)
from pointage.data import load
from pointage.mixture.course import Course, rise_of
from pointage.mixture.mixture import buffering
from pointage.mixture.state import S
from pointage.science.acid_base import PKA_ACETIC, PKA_LACTIC, dissociated

Floats = NDArray[np.float64]

RISE_ERROR = 0.10
"""Of a rise read off a vessel (ours)."""
SIGN_ERROR_H = 0.5
"""Hours within which a cook can tell ripe from not yet, or fallen from still standing (ours)."""
SIGN_AHEAD_H = 8.0
"""A sign needs to know what the course does after it; so many hours are looked at."""


class Observation(Protocol):
    """Anything seen at an instant that a course can be measured against."""

    one_sided: ClassVar[bool]
    ahead_h: ClassVar[float]

    @property
    def at(self) -> datetime: ...

    def gaps(self, course: Course) -> Floats:
        """(members, 1 or 2): how far each member is from what was seen, in errors."""
        ...


def _hours(at: datetime, course: Course) -> float:
    return (at - course.start).total_seconds() / 3600


def _row_before(hours: float, course: Course) -> tuple[int, float]:
    """The row at or before `hours`, and how far toward the next one."""
    after = int(np.clip(np.searchsorted(course.hours, hours), 1, len(course.hours) - 1))
    first, last = course.hours[after - 1], course.hours[after]
    return after - 1, float(np.clip((hours - first) / (last - first), 0.0, 1.0))


def _rows_at(rows: Floats, hours: float, course: Course) -> Floats:
    """The values of all members at `hours`, straight lines between rows."""
    before, part = _row_before(hours, course)
    return np.asarray(rows[:, before] * (1 - part) + rows[:, before + 1] * part)


@dataclass(frozen=True, slots=True)
class Rise:
    """Volume over that just after mixing; error in the same unit."""

    at: datetime
    rise: float
    error: float = RISE_ERROR
    one_sided: ClassVar[bool] = False
    ahead_h: ClassVar[float] = 0.0

    def __post_init__(self) -> None:
        RISE.check(self.rise, "rise")

    def expected(self, course: Course) -> Floats:
        """The rise of each member at that instant."""
        before, part = _row_before(_hours(self.at, course), course)
        rise = rise_of(course.states[:, before : before + 2], course.volume)
        return np.asarray(rise[:, 0] * (1 - part) + rise[:, 1] * part)

    def gaps(self, course: Course) -> Floats:
        return (self.expected(course)[:, None] - self.rise) / self.error


@dataclass(frozen=True, slots=True)
class MixtureTemperature:
    """A thermometer in the mixture: °C, error in K."""

    at: datetime
    celsius: float
    error: float = 0.7
    one_sided: ClassVar[bool] = False
    ahead_h: ClassVar[float] = 0.0

    def __post_init__(self) -> None:
        MIXTURE_C.check(self.celsius, "temperature")

    def gaps(self, course: Course) -> Floats:
        now = _rows_at(course.temperature, _hours(self.at, course), course)
        return (now[:, None] - self.celsius) / self.error


@dataclass(frozen=True, slots=True)
class Acidity:
    """pH, error in pH units."""

    at: datetime
    ph: float
    error: float = 0.12
    one_sided: ClassVar[bool] = False
    ahead_h: ClassVar[float] = 0.0

    def __post_init__(self) -> None:
        PH.check(self.ph, "pH")

    def gaps(self, course: Course) -> Floats:
        return (
            _rows_at(course.ph, _hours(self.at, course), course)[:, None] - self.ph
        ) / self.error


@dataclass(frozen=True, slots=True)
class Titration:
    """What a TTA was measured with: mL of 0.1 M NaOH for so many grams, up to an end pH.

    Papers and bakeries differ (10 g to 8.5, 15 g to 6.6, 5 g of flour), so that a TTA without it
    says little.
    """

    grams: float = 10.0
    end_ph: float = 8.5


@dataclass(frozen=True, slots=True)
class TitratableAcidity:
    """TTA in mL of its titration; the error is a share of the reading.

    Expected: mL = 10·grams·[L·d_L + A·d_A + buffer·(min(pH_end, pH_0) − pH_0)], in mol per kg, with
    d the dissociated shares at the end pH and pH_0 that of flour and water; the flour's buffering
    above pH_0 is left out (ours).
    """

    at: datetime
    ml: float
    titration: Titration = Titration()
    error: float = 0.15
    one_sided: ClassVar[bool] = False
    ahead_h: ClassVar[float] = 0.0

    def __post_init__(self) -> None:
        TTA_ML.check(self.ml, "TTA")

    def gaps(self, course: Course) -> Floats:
        hours = _hours(self.at, course)
        end = self.titration.end_ph
        lactic = _rows_at(course.states[:, :, S.LACTIC], hours, course)
        acetic = _rows_at(course.states[:, :, S.ACETIC], hours, course)
        bound = buffering(course.held) * min(
            end - load("parameters/kinetics.toml")["dough"]["neutral_ph"], 0.0
        )
        moles = lactic * dissociated(end, PKA_LACTIC) + acetic * dissociated(end, PKA_ACETIC)
        expected = 10.0 * self.titration.grams * np.maximum(moles + bound, 1e-9)
        return np.asarray(np.log(expected / self.ml)[:, None] / self.error)


@dataclass(frozen=True, slots=True)
class RipeNow:
    """It was ripe: inside its window, to within error_h at either edge."""

    at: datetime
    error_h: float = SIGN_ERROR_H
    one_sided: ClassVar[bool] = True
    ahead_h: ClassVar[float] = SIGN_AHEAD_H

    def gaps(self, course: Course) -> Floats:
        hours, end = _hours(self.at, course), float(course.hours[-1])
        begin, until = (np.where(np.isnan(each), end, each) for each in course.ripe())
        return np.stack([hours - begin, until - hours], axis=1) / self.error_h


@dataclass(frozen=True, slots=True)
class PeakedAt:
    """It stood highest then."""

    at: datetime
    error_h: float = 0.75
    one_sided: ClassVar[bool] = False
    ahead_h: ClassVar[float] = SIGN_AHEAD_H

    def gaps(self, course: Course) -> Floats:
        peak = course.peak_h()
        peak = np.where(np.isnan(peak), course.hours[-1], peak)
        return np.asarray((peak[:, None] - _hours(self.at, course)) / self.error_h)


@dataclass(frozen=True, slots=True)
class Fallen:
    """It had fallen back from its peak, past the end of its ripe window."""

    at: datetime
    error_h: float = SIGN_ERROR_H
    one_sided: ClassVar[bool] = True
    ahead_h: ClassVar[float] = SIGN_AHEAD_H

    def gaps(self, course: Course) -> Floats:
        until = course.ripe()[1]
        until = np.where(np.isnan(until), course.hours[-1], until)
        return np.asarray((_hours(self.at, course) - until[:, None]) / self.error_h)
