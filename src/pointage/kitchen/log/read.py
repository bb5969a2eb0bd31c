"""Read the log of a thermometer: CSV text in; readings, and whatever is wrong with it, out.

Any common delimiter, a decimal comma, lines before the heading, dates in any order, clocks of 12 or
24 hours, a zone or none, seconds since 1970 or hours from a start, °C or °F. Nothing is half taken:
a log with bad rows is refused as a whole unless its owner chooses to leave them out (`Log.taken`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from pointage.errors import At, Complaint, Faults, InputError
from pointage.kitchen.log import clock as log_clock
from pointage.kitchen.log.cells import (
    Cells,
    Floats,
    Trouble,
    read_cells,
)
from pointage.kitchen.log.checks import (
    gaps_in,
    instant_of,
    refuse_absurd,
    refuse_disorder,
    refuse_turns,
)
from pointage.kitchen.log.clock import DateOrder
from pointage.kitchen.log.table import choose_columns, line_of, read_table, unit_of
from pointage.language import say, say_many
from pointage.mixture.temperature.surroundings import Logged

WARM_FOR_C = 45.0  # no place is so warm in the middle of its log: it is in °F
MOST_LISTED = 5


@dataclass(frozen=True, slots=True)
class LogOptions:
    """What a log's owner says of it: the column, its unit ("C" or "F"), the order of its dates."""

    column: str | None = None
    unit: str | None = None
    order: DateOrder | None = None
    skip_bad_rows: bool = False

    @staticmethod
    def said(
        column: str | None,
        unit: str | None,
        dates: str | None,
        *,
        skip_bad_rows: bool,
        field: str = "{}",
    ) -> LogOptions:
        """The options as a person gives them. field: how the fields are named, "--log-{}" perhaps.

        Raises InputError, fields "unit" and "dates".
        """
        faults = Faults()
        if unit and unit.upper() not in ("C", "F"):
            faults.found.append(InputError(field.format("unit"), repr(unit), say("C or F")))
        if dates and dates not in list(DateOrder):
            expected = say("one of {known}", known=", ".join(DateOrder))
            faults.found.append(InputError(field.format("dates"), repr(dates), expected))
        faults.check()
        order = DateOrder(dates) if dates else None
        return LogOptions(column, unit.upper() if unit else None, order, skip_bad_rows)


@dataclass(frozen=True, eq=False)
class Log:
    """Readings in the order of time, and what was found wrong.

    seconds: since 1970, UTC; celsius: °C; column: where they were read. gaps: spells without a
    reading. left: how many rows the troubles concern. notes: what was taken for granted.
    """

    seconds: Floats
    celsius: Floats
    column: str
    columns: tuple[str, ...]
    unit: str
    gaps: tuple[tuple[datetime, datetime], ...]
    troubles: tuple[Trouble, ...]
    left: int
    notes: tuple[str, ...]

    def taken(self, field: str, *, skip_bad_rows: bool = False) -> Log:
        """The log itself. Raises InputError if rows are bad and not left out, or none are good."""
        if self.troubles and not (skip_bad_rows and len(self.seconds)):
            first, *more = self.troubles
            value = first.value
            if self.left > 1:
                lines = ", ".join(str(each.line) for each in more[: MOST_LISTED - 1])
                if len(more) >= MOST_LISTED:
                    lines += ", …"
                parts = {"value": value, "count": self.left, "lines": lines}
                if more:
                    value = say("{value} ({count} bad rows, more in line {lines})", **parts)
                else:
                    value = say("{value} ({count} bad rows)", **parts)
                if isinstance(first.value, Complaint):
                    value = Complaint(value)
            raise InputError(line_of(field, first.line), value, first.expected)
        if not len(self.seconds):
            raise InputError(
                field, Complaint(say("no readings")), say("lines of a time and a temperature")
            )
        return self

    @property
    def first(self) -> datetime:
        return instant_of(float(self.seconds[0]))

    @property
    def last(self) -> datetime:
        return instant_of(float(self.seconds[-1]))

    def surroundings(self, start: datetime, hours: float) -> Logged:
        """The readings that a mixture held so long from `start` needs."""
        begun = start.timestamp()
        first = int(np.searchsorted(self.seconds, begun, side="right")) - 1
        last = int(np.searchsorted(self.seconds, begun + 3600 * hours, side="left")) + 1
        part = slice(max(first, 0), max(last, 1))
        instants = [instant_of(each) for each in self.seconds[part].tolist()]
        return Logged(instants or [self.last], self.celsius[part].tolist() or [self.celsius[-1]])


def read_log(
    text: str,
    zone: ZoneInfo,
    field: str = "log",
    options: LogOptions | None = None,
    start: datetime | None = None,
) -> Log:
    """The log in `text`.

    zone: that of a clock which names none. start: from when a column of hours counts; without it
    such a log is refused. Raises InputError, one line, for what concerns the whole log: no table,
    several columns of temperatures, dates whose day and month are not certain, no unit.
    """
    options = options or LogOptions()
    table = read_table(text, field)
    columns = choose_columns(table, field, options.column)
    name = table.names[columns.temperature]
    unit = options.unit or (unit_of(name) if table.headed else "")
    cells, order = read_cells(table, columns, field, unit=unit, order=options.order, start=start)
    notes = []
    if order not in (None, DateOrder.YEAR, options.order):
        notes.append(say("dates are read {order}", order=say(order.value)))
    if _runs_backwards(cells):
        cells = cells.turned()
        notes.append(say("the latest reading came first"))
    seconds = _utc(cells, zone, notes)
    unit = unit or _guessed(cells, field, notes)
    refuse_disorder(cells, seconds)
    refuse_turns(cells, seconds)
    celsius = np.where(cells.fahrenheit, (cells.value - 32) / 1.8, cells.value)
    refuse_absurd(cells, celsius)
    good = np.isfinite(cells.value)
    return Log(
        seconds=seconds[good],
        celsius=celsius[good],
        column=name,
        columns=columns.temperatures,
        unit=unit,
        gaps=gaps_in(seconds[good]),
        troubles=tuple(sorted(cells.troubles, key=lambda each: each.line)),
        left=int((~good).sum()),
        notes=tuple(notes),
    )


def decode_log(data: bytes) -> str:
    """The text of a logger's file: UTF-8, UTF-16 by its mark, else the Windows code of the west."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def gap_notes(gaps: Sequence[tuple[datetime, datetime]], zone: ZoneInfo) -> tuple[str, ...]:
    """The longest gaps for people, in their order: "no reading from … to …"."""
    longest = sorted(sorted(gaps, key=lambda gap: gap[0] - gap[1])[:MOST_LISTED])
    lines = [
        say(
            "no reading from {start:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M}",
            start=start.astimezone(zone),
            end=end.astimezone(zone),
        )
        for start, end in longest
    ]
    if len(gaps) > MOST_LISTED:
        more = len(gaps) - MOST_LISTED
        lines.append(say_many("{n} shorter gaps besides", "{n} shorter gaps besides", more))
    return tuple(lines)


def _runs_backwards(cells: Cells) -> bool:
    steps = np.diff(cells.local[np.isfinite(cells.local)])
    return bool((steps < 0).sum() > (steps > 0).sum())


def _utc(cells: Cells, zone: ZoneInfo, notes: list[str]) -> Floats:
    """UTC of every row; a clock that names no zone is the kitchen's."""
    seconds = cells.local - np.nan_to_num(cells.offset)
    plain = np.flatnonzero(np.isfinite(cells.local) & ~np.isfinite(cells.offset))
    if len(plain):
        seconds[plain], skipped = log_clock.to_utc(cells.local[plain], zone)
        notes.append(say("times are by the clock of {zone}", zone=zone.key))
        for row in plain[skipped].tolist():
            said = f"{instant_of(float(cells.local[row])):%Y-%m-%d %H:%M}"
            cells.refuse(
                row,
                said,
                say(
                    "a time that exists (if it was not put forward in {zone}, its zone)",
                    zone=zone.key,
                ),
            )
    return seconds


def _guessed(cells: Cells, field: str, notes: list[str]) -> str:
    """The unit where no heading names it: that of the cells, else °C if that can be."""
    if cells.fahrenheit.any():
        return "F"
    middle = float(np.nanmedian(cells.value)) if np.isfinite(cells.value).any() else 0.0
    if middle > WARM_FOR_C:
        raise InputError(
            At(say("{file}, unit", file=field), (f"{field}, unit",)),
            Complaint(say("none, with readings about {middle:g}", middle=middle)),
            say("the unit, C or F"),
        )
    notes.append(say("no unit is named: °C"))
    return "C"
