"""The clock of a log: dates in any order, clocks of 12 or 24 hours, and their instants.

Everything is counted in whole or broken seconds since 1970, by the log's own clock ("local") or in
UTC. What a change of the clocks makes doubtful is settled by the order of the readings.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Seconds = NDArray[np.float64]

DAY_S = 86400
EPOCH_DAY = date(1970, 1, 1).toordinal()
YEARS = (1990, 2100)
LAST_2000 = 69  # a year of two digits up to this is of this century
NEXT_DAYS = 2
"""Days that lie closer are taken for neighbours when the order of a date is sought."""

_DATE = re.compile(r"(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})\.?")
_CLOCK = re.compile(
    r"(\d{1,2})(?::(\d{2})(?::(\d{2})([.,]\d+)?)?)?\s*(?:([AaPp])\.?\s?[Mm]\.?)?"
    r"\s*(Z|z|UTC|GMT|(?:UTC|GMT)?[+-]\d{1,2}(?::?\d{2})?)?"
)
_ZONE = re.compile(r"(?:UTC|GMT)?\s*([+-])(\d{1,2})(?::?(\d{2}))?")

Parts = tuple[int, int, int, bool]
"""The three numbers of a date as they stand, and whether the first can only be the year."""


class DateOrder(StrEnum):
    """Which number of a date comes first."""

    YEAR = "year-first"
    DAY = "day-first"
    MONTH = "month-first"


def split_stamp(cell: str) -> tuple[str, str]:
    """The date and the clock of "2026-12-05T09:00" or "5/12/2026 9:00 PM"; either may be ""."""
    head, mark, tail = cell.partition(" ")
    if not mark:
        head, mark, tail = cell.partition("T")
    return (head.rstrip(","), tail.strip()) if mark else (cell, "")


def date_parts(text: str) -> Parts | None:
    """The numbers of a date, None when it is none."""
    match = _DATE.fullmatch(text)
    if match is None:
        return None
    first, last = match[1], match[4]
    if len(first) == 3 or len(last) == 3 or len(first) + len(last) > 6:
        return None
    return int(first), int(match[3]), int(last), len(first) == 4


def parse_clock(text: str) -> tuple[float, float | None] | None:
    """Seconds after midnight and the offset from UTC in seconds, if it names one; None: no clock.

    "7:30", "07:30:15.2", "7:30 PM", "07:30Z", "07:30+01:00".
    """
    match = _CLOCK.fullmatch(text)
    if match is None or (match[2] is None and match[5] is None):
        return None
    hour, minute, second = int(match[1]), int(match[2] or 0), int(match[3] or 0)
    if match[5]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match[5] in "Pp" else 0)
    if hour > 23 or minute > 59 or second > 59:
        return None
    part = float(match[4].replace(",", ".")) if match[4] else 0.0
    return 3600.0 * hour + 60 * minute + second + part, parse_offset(match[6])


def parse_offset(text: str | None) -> float | None:
    """Seconds ahead of UTC of "Z", "UTC", "+01:00" or "GMT+1"; None when nothing is named."""
    if not text:
        return None
    match = _ZONE.fullmatch(text)
    if match is None:
        return 0.0
    ahead = 3600.0 * int(match[2]) + 60 * int(match[3] or 0)
    return -ahead if match[1] == "-" else ahead


def day_number(parts: Parts, order: DateOrder) -> int | None:
    """Days since 1970 of a date read in this order; None when there is no such day."""
    first, second, third, by_year = parts
    if by_year or order is DateOrder.YEAR:
        year, month, day = first, second, third
    elif order is DateOrder.DAY:
        day, month, year = first, second, third
    else:
        month, day, year = first, second, third
    if year < 100:
        year += 2000 if year <= LAST_2000 else 1900
    if not YEARS[0] <= year <= YEARS[1]:
        return None
    try:
        return date(year, month, day).toordinal() - EPOCH_DAY
    except ValueError:
        return None


def find_order(dates: Iterable[Parts]) -> DateOrder | None:
    """The order in which all dates make sense, in the order in which they come.

    A number above 12 decides; else, when one reading makes them neighbouring days and the other
    leaps over months, that one. None when both would do.
    """
    doubtful = list(dict.fromkeys(each for each in dates if not each[3]))
    if not doubtful:
        return DateOrder.YEAR
    orders = (DateOrder.DAY, DateOrder.MONTH)
    read = {order: [day_number(each, order) for each in doubtful] for order in orders}
    wrong = {order: sum(day is None for day in read[order]) for order in orders}
    if wrong[DateOrder.DAY] != wrong[DateOrder.MONTH]:
        return min(orders, key=lambda order: wrong[order])
    if len(doubtful) < 2 or wrong[DateOrder.DAY]:
        return None
    leaps = {
        order: max(abs(b - a) for a, b in pairwise(days))
        for order, found in read.items()
        if (days := [day for day in found if day is not None])
    }
    near = [order for order, leap in leaps.items() if leap <= NEXT_DAYS]
    return near[0] if len(near) == 1 else None


def to_utc(local: Seconds, zone: ZoneInfo) -> tuple[Seconds, NDArray[np.bool_]]:
    """UTC of readings by a clock in `zone`, in their order, and which of them the clock skips.

    An hour that comes twice is first the earlier one; from where the clock goes back, or when only
    the later one keeps the readings evenly apart, the later.
    """
    if not len(local):
        return local, np.zeros(0, dtype=np.bool_)
    starts, offsets = _spells(float(local.min()), float(local.max()), zone)
    ends = np.append(starts[1:], np.inf)
    place = np.searchsorted(starts + offsets, local, side="right") - 1
    skipped = local >= (ends + offsets)[place]
    utc = local - offsets[place]
    earlier = np.maximum(place - 1, 0)
    twice = (place > 0) & (local < starts[place] + offsets[earlier])
    rows = np.flatnonzero(twice)
    for block in np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1):
        if not len(block):
            continue
        first = local[block] - offsets[earlier[block]]
        back = np.flatnonzero(np.diff(local[block]) <= 0)
        if len(back):
            later = np.arange(len(block)) > back[0]
        else:
            later = np.full(len(block), _belongs_later(utc, first, block))
        utc[block] = np.where(later, utc[block], first)
    return utc, skipped


def from_utc(seconds: Seconds, zone: ZoneInfo) -> Seconds:
    """What a clock in `zone` shows at instants, in seconds since 1970 by that clock."""
    starts, offsets = _spells(float(seconds.min()), float(seconds.max()), zone)
    return seconds + offsets[np.searchsorted(starts, seconds, side="right") - 1]


def _belongs_later(utc: Seconds, first: Seconds, block: NDArray[np.intp]) -> bool:
    """Whether readings of an hour that comes twice touch what follows rather than what was."""
    start, end = int(block[0]), int(block[-1])
    if start == 0 or end + 1 == len(utc):
        return start == 0 and end + 1 < len(utc) and utc[end + 1] - first[-1] > 3600
    return bool(utc[end + 1] - utc[end] < first[0] - utc[start - 1])


def _spells(low: float, high: float, zone: ZoneInfo) -> tuple[Seconds, Seconds]:
    """Instants from which each offset from UTC holds, about the span, and those offsets."""
    day = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=low - 2 * DAY_S)
    last = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=high + 2 * DAY_S)
    starts, offsets = [-np.inf], [_offset(day, zone)]
    while day < last:
        then = day + timedelta(days=1)
        if _offset(then, zone) != offsets[-1]:
            before, after = int(day.timestamp()), int(then.timestamp())
            while after - before > 1:
                middle = (before + after) // 2
                same = _offset(datetime.fromtimestamp(middle, UTC), zone) == offsets[-1]
                before, after = (middle, after) if same else (before, middle)
            starts.append(float(after))
            offsets.append(_offset(then, zone))
        day = then
    return np.array(starts), np.array(offsets)


def _offset(instant: datetime, zone: ZoneInfo) -> float:
    offset = instant.astimezone(zone).utcoffset()
    return offset.total_seconds() if offset else 0.0
