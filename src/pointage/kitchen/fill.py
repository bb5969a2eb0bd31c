"""How full a vessel is as what is in it rises, and whether it will pass the brim."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from pointage.mixture.course import Course, first_crossing

WORTH_SAYING = 0.2  # odds; below it the caution would be in the way


@dataclass(frozen=True, slots=True)
class Overflow:
    """The odds that it passes the brim in time, and when, at even odds among those that do.

    rise: which nine in ten of its members stay below.
    """

    odds: float
    at: datetime
    rise: float


def overflow(course: Course, full: float, hours: float) -> Overflow | None:
    """Whether it passes the brim within `hours` from the start; None: not worth saying.

    full: the share of the vessel that it fills at a rise of 1; 0 where there is no level. A mixture
    passes the brim when full · rise is 1: domes and shoulders are left out.
    """
    if full <= 0:
        return None
    rows = course.hours <= hours + 1e-9
    rise = course.rise[:, rows]
    crossed = first_crossing(course.hours[rows], rise, np.full(len(rise), 1.0 / full))
    odds = float(np.mean(~np.isnan(crossed)))
    if odds < WORTH_SAYING:
        return None
    most = float(np.quantile(rise.max(axis=1), 0.9))
    return Overflow(odds, course.at(float(np.nanmedian(crossed))), most)
