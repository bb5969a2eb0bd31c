"""The cells of a log as numbers: local times, offsets from UTC, temperatures, and bad cells."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from math import nan

import numpy as np
from numpy.typing import NDArray

from pointage.errors import At, Complaint, InputError
from pointage.kitchen.log import clock as log_clock
from pointage.kitchen.log.clock import DateOrder, parse_clock, split_stamp
from pointage.kitchen.log.table import (
    EPOCH_FROM,
    Columns,
    LogLines,
    line_of,
    number_of,
)
from pointage.language import say

Floats = NDArray[np.float64]

_ZONE_IN_NAME = re.compile(r"\b(?:UTC|GMT)\s*(?:[+-]\s*\d{1,2}(?::?\d{2})?)?")


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with a line, or with all from `line` to `last`: a value, and what is right."""

    line: int
    value: str
    expected: str
    last: int | None = None

    def __str__(self) -> str:
        parts = {"value": self.value, "expected": self.expected}
        if self.last is None:
            return say("line {line}: {value}; {expected} is wanted", line=self.line, **parts)
        first, last = self.line, self.last
        return say(
            "lines {first} to {last}: {value}; {expected} is wanted",
            first=first,
            last=last,
            **parts,
        )


@dataclass
class Cells:
    """A row each: its line, time by its own clock, offset from UTC (NaN: none named), temperature.

    A row with a time or temperature that cannot be used has no `value` (NaN) and a trouble.
    """

    lines: NDArray[np.int64]
    local: Floats
    offset: Floats
    value: Floats
    fahrenheit: NDArray[np.bool_]
    troubles: list[Trouble] = field(default_factory=list)

    def refuse(self, row: int, value: str, expected: str) -> None:
        """Count a row as bad."""
        self.value[row] = nan
        self.troubles.append(Trouble(int(self.lines[row]), value, expected))

    def turned(self) -> Cells:
        """The same from the last row to the first."""
        back = slice(None, None, -1)
        return Cells(
            self.lines[back].copy(),
            self.local[back].copy(),
            self.offset[back].copy(),
            self.value[back].copy(),
            self.fahrenheit[back].copy(),
            self.troubles,
        )


@dataclass
class _Texts:
    """What was read, row by row. A date, clock or number that comes again is read only once."""

    lines: list[int] = field(default_factory=list)
    dates: dict[str, int] = field(default_factory=dict)
    clocks: dict[str, tuple[float, float | None] | None] = field(default_factory=dict)
    numbers: dict[str, tuple[float, str] | None] = field(default_factory=dict)
    days: list[int] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    offsets: list[float] = field(default_factory=list)
    values: list[float] = field(default_factory=list)
    fahrenheit: list[bool] = field(default_factory=list)
    bad_clocks: dict[int, str] = field(default_factory=dict)
    bad_numbers: dict[int, str] = field(default_factory=dict)

    def number(self, cell: str) -> tuple[float, str] | None:
        if cell not in self.numbers:
            self.numbers[cell] = number_of(cell.strip())
        return self.numbers[cell]


def read_cells(
    table: LogLines,
    columns: Columns,
    source: str,
    *,
    unit: str,
    order: DateOrder | None,
    start: datetime | None,
) -> tuple[Cells, DateOrder | None]:
    """The numbers of a log, and the order its dates are in (None: it has no dates).

    source: the log's name, for errors. Raises InputError when the order is not certain, when hours
    count from a start that is not known, and for a line that is part of no table.
    """
    read = _Texts()
    try:
        if columns.running is None:
            _by_clock(table, columns, read, unit == "F")
        else:
            _by_number(table, columns.running, columns.temperature, read, unit == "F")
    except csv.Error:
        last = read.lines[-1] if read.lines else table.first
        shown = say("{source}, a line after {line}", source=source, line=last)
        here = At(shown, (f"{source}, a line after {last}",))
        raise InputError(here, say("this text"), say("a line of a table")) from None
    cells = Cells(
        np.array(read.lines, dtype=np.int64),
        np.array(read.seconds),
        np.array(read.offsets),
        np.array(read.values),
        np.array(read.fahrenheit, dtype=np.bool_),
    )
    found: DateOrder | None = None
    if columns.running is None:
        found = _date(cells, read, source, order)
        _zone_in_name(cells, table, columns)
    else:
        _count(cells, table, columns.running, source, start)
    for row, text in read.bad_numbers.items():
        if np.isfinite(cells.local[row]):
            said = repr(text) if text else Complaint(say("no temperature"))
            cells.refuse(row, said, say("a number such as 21.5"))
    cells.value[~np.isfinite(cells.local)] = nan
    return cells, found


def _by_clock(table: LogLines, columns: Columns, read: _Texts, fahrenheit: bool) -> None:
    where, apart, warm = columns.stamp, columns.clock, columns.temperature
    assert where is not None
    need = max(where, warm, apart or 0)
    dates, clocks, numbers = read.dates, read.clocks, read.numbers
    for line, row in table.rows():
        cells = row if len(row) > need else [*row, *[""] * need]
        if apart is None:
            date, clock = split_stamp(cells[where].strip())
        else:
            date, clock = cells[where].strip(), cells[apart].strip()
        if clock not in clocks:
            clocks[clock] = parse_clock(clock)
        time = clocks[clock]
        if time is None:
            read.bad_clocks[len(read.lines)] = clock
            time = (nan, None)
        text = cells[warm]
        found = numbers[text] if text in numbers else read.number(text)
        if found is None:
            read.bad_numbers[len(read.lines)] = text.strip()
            found = (nan, "")
        read.lines.append(line)
        read.days.append(dates.setdefault(date, len(dates)))
        read.seconds.append(time[0])
        read.offsets.append(nan if time[1] is None else time[1])
        read.values.append(found[0])
        read.fahrenheit.append(found[1] == "F" if found[1] else fahrenheit)


def _by_number(table: LogLines, running: int, warm: int, read: _Texts, fahrenheit: bool) -> None:
    need = max(running, warm)
    for line, row in table.rows():
        cells = row if len(row) > need else [*row, *[""] * need]
        time, found = number_of(cells[running].strip()), read.number(cells[warm])
        if time is None or time[1]:
            read.bad_clocks[len(read.lines)] = cells[running].strip()
            time = (nan, "")
        if found is None:
            read.bad_numbers[len(read.lines)] = cells[warm].strip()
            found = (nan, "")
        read.lines.append(line)
        read.seconds.append(time[0])
        read.offsets.append(0.0)
        read.values.append(found[0])
        read.fahrenheit.append(found[1] == "F" if found[1] else fahrenheit)


def _date(cells: Cells, read: _Texts, source: str, order: DateOrder | None) -> DateOrder:
    """Put the days to the clocks, in an order in which all dates make sense."""
    parts = {text: log_clock.date_parts(text) for text in read.dates}
    known: Mapping[str, log_clock.Parts] = {text: each for text, each in parts.items() if each}
    order = order or log_clock.find_order(known.values())
    if order is None:
        date = next(text for text, each in known.items() if not each[3])
        row = read.days.index(read.dates[date])
        raise InputError(
            line_of(source, read.lines[row]),
            repr(date),
            say("the order of its dates, day-first or month-first, because both are possible"),
        )
    numbers = [
        nan if each is None or (day := log_clock.day_number(each, order)) is None else float(day)
        for each in parts.values()
    ]
    cells.local += np.array(numbers)[read.days] * log_clock.DAY_S
    texts = list(read.dates)
    expected = say("a date and time such as 2026-12-05 09:00")
    if order is not DateOrder.YEAR:
        expected = say("{stamp}, or {order} like the rest", stamp=expected, order=say(order.value))
    for row in np.flatnonzero(~np.isfinite(cells.local)).tolist():
        clock = read.bad_clocks.get(row, "")
        said = f"{texts[read.days[row]]} {clock}".strip()
        cells.refuse(row, repr(said) if said else Complaint(say("no time")), expected)
    return order


def _zone_in_name(cells: Cells, table: LogLines, columns: Columns) -> None:
    """A zone in the heading ("Date Time, GMT+01:00") holds where no cell names one."""
    for column in (columns.stamp, columns.clock):
        match = None if column is None else _ZONE_IN_NAME.search(table.names[column])
        if match and table.headed:
            ahead = log_clock.parse_offset(match[0].replace(" ", "")) or 0.0
            cells.offset[:] = np.where(np.isfinite(cells.offset), cells.offset, ahead)


def _count(
    cells: Cells, table: LogLines, running: int, source: str, start: datetime | None
) -> None:
    """Seconds from a running number: since 1970 where it is large, else hours from `start`."""
    for row in np.flatnonzero(~np.isfinite(cells.local)).tolist():
        cells.refuse(row, say("the time"), say("a number such as 1.5"))
    usual = float(np.nanmedian(cells.local)) if np.isfinite(cells.local).any() else 0.0
    if usual >= EPOCH_FROM:
        cells.local /= 1000.0 if usual >= 1000 * EPOCH_FROM else 1.0
        _refuse_far(cells)
        return
    if start is None:
        raise InputError(source, say("hours from a start"), say("a date and time for each reading"))
    name = table.names[running] if table.headed else ""
    unit_s = 3600.0
    if re.search(r"min", name, re.I):
        unit_s = 60.0
    elif re.search(r"sec|\bs\b", name, re.I):
        unit_s = 1.0
    cells.local[:] = start.timestamp() + unit_s * cells.local
    _refuse_far(cells)


def _refuse_far(cells: Cells) -> None:
    """Refuse rows in years that no log is of: the end of the calendar is not far from some."""
    first, last = log_clock.YEARS
    low, high = (datetime(year, 1, 1, tzinfo=UTC).timestamp() for year in (first, last + 1))
    for row in np.flatnonzero((cells.local < low) | (cells.local >= high)).tolist():
        cells.refuse(
            row, say("the time"), say("a time from {first} to {last}", first=first, last=last)
        )
        cells.local[row] = nan
