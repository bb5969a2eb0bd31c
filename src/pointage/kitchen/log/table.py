"""The table in a log: what parts its cells, where its rows begin, and what its columns are."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from pointage.errors import At, Complaint, InputError
from pointage.kitchen.log.clock import date_parts, parse_clock, split_stamp
from pointage.language import say

if TYPE_CHECKING:
    import _csv

DELIMITERS = (";", "\t", "|", ",")
SAMPLE = 400
LONGEST_PREAMBLE = 200
MOSTLY = 0.6  # share of a column's cells that say what it is
EPOCH_FROM = 1e8  # smaller numbers are hours and the like, larger ones seconds since 1970

_NUMBER = re.compile(
    r"([+\-−]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(?:[°º˚]|deg)?\s*([CcFf])?"
)
_UNIT = re.compile(r"(?:[°º˚]|deg(?:rees)?\.?|[(\[])\s*([CF])(?![a-z])|(celsius|fahrenheit)", re.I)
_LONE_UNIT = re.compile(r"(?:^|[ _,./-])([CF])\)?$")
_WARMTH = re.compile(r"temp|celsius|fahrenheit|[°º˚]\s*[CF]|\bdeg", re.I)
_OTHER = re.compile(
    r"humid|\brh\b|%|dew|batt|volt|press|hpa|mbar|co2|co₂|lux|light|rssi|signal|event|alarm", re.I
)
_COUNT = re.compile(r"#|no\.?|nr\.?|number|index|record|id|row|sample|reading", re.I)
_TIME = re.compile(r"time|date|hours?|\bh\b|minutes?|\bmin\b|seconds?|\bs\b|epoch|unix", re.I)


@dataclass(frozen=True, slots=True)
class LogLines:
    """A log's lines and how to part them; names of its columns, made up where it gives none.

    first: the place of the first row among the lines; sample: some of the rows.
    """

    names: tuple[str, ...]
    lines: Sequence[str]
    first: int
    delimiter: str
    headed: bool
    sample: Sequence[list[str]]

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """Every row that says something, with the number of its line, one after the other."""
        reader = _reader(self.lines[self.first :], self.delimiter)
        for row in reader:
            if row and (row[0] or _filled(row)):
                yield self.first + reader.line_num, row


@dataclass(frozen=True, slots=True)
class Columns:
    """Which columns to read: the date and clock together or apart, or a running number."""

    stamp: int | None
    clock: int | None
    running: int | None
    temperature: int
    temperatures: tuple[str, ...]  # names of all that could be chosen


def number_of(cell: str) -> tuple[float, str] | None:
    """The number and the unit ("C", "F" or "") of "21.5", "21,5 °C" or "70.7F"; None: no number."""
    match = _NUMBER.fullmatch(cell)
    if match is None:
        return None
    return float(match[1].replace(",", ".").replace("−", "-")), (match[2] or "").upper()


def unit_of(name: str) -> str:
    """The unit a column's name gives: "C", "F" or ""."""
    match = _UNIT.search(name)
    if match is not None:
        return (match[1] or match[2][0]).upper()
    lone = _LONE_UNIT.search(name.strip())
    return lone[1] if lone else ""


def read_table(text: str, field: str) -> LogLines:
    """The rows of `text`. Raises InputError when there is no table of times and numbers in it."""
    lines = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    sample = lines[: LONGEST_PREAMBLE + SAMPLE]
    found = [(sum(map(_is_data, _split(sample, each, field))), each) for each in DELIMITERS]
    most = max(count for count, _ in found)
    if most == 0:
        raise InputError(
            field, say("this text"), say("lines of a time and a temperature, such as 1.5,24.0")
        )
    delimiter = next(each for count, each in found if count == most)
    rows = _split(sample, delimiter, field)
    first = next(i for i, row in enumerate(rows) if _is_data(row))
    # A row above the first good one that holds a number or a date is a bad row, no heading.
    while first > 0 and any(number_of(each) or _has_date(each) for each in rows[first - 1]):
        first -= 1
    head, headed = _heading(rows, first)
    kept = [row for row in rows[first:] if _filled(row)]
    width = max(map(_filled, kept))
    if headed and width > len(head):
        number = next(i for i in range(first, len(rows)) if _filled(rows[i]) > len(head))
        raise InputError(
            line_of(field, number + 1),
            repr(delimiter.join(rows[number])),
            say(
                "{count} cells as in the heading (a comma within a number needs quotes)",
                count=len(head),
            ),
        )
    names = head if headed else tuple(say("column {i}", i=i + 1) for i in range(width))
    return LogLines(names, lines, first, delimiter, headed, kept)


def choose_columns(table: LogLines, field: str, wanted: str | None = None) -> Columns:
    """What to read from a table; `wanted` names a temperature column.

    Raises InputError when there is no time, no temperature, or more than one of the latter.
    """
    sample = table.sample
    width = len(table.names)

    def mostly(column: int, test: Callable[[str], object]) -> bool:
        cells = [row[column].strip() for row in sample if column < len(row) and row[column].strip()]
        return bool(cells) and sum(bool(test(each)) for each in cells) >= MOSTLY * len(cells)

    stamps = [i for i in range(width) if mostly(i, _has_date)]
    clocks = [i for i in range(width) if i not in stamps and mostly(i, parse_clock)]
    numbers = [
        i
        for i in range(width)
        if i not in (*stamps, *clocks)
        # A column named as one of temperatures may be full of bad cells.
        and (mostly(i, number_of) or (table.headed and _WARMTH.search(table.names[i])))
    ]
    stamp = clock = running = None
    if stamps:
        whole = [i for i in stamps if mostly(i, lambda cell: split_stamp(cell)[1])]
        stamp = (whole or stamps)[0]
        clock = None if whole else next(iter(clocks), None)
    else:
        timed = [i for i in numbers if table.headed and _TIME.search(table.names[i])]
        running = next(iter(timed or numbers), None)
    if (stamp is None and running is None) or (stamp is not None and not whole and clock is None):
        raise InputError(
            field, Complaint(say("no column of times")), say("a date and time for each reading")
        )
    left = [i for i in numbers if i != running and not _counts(table, i)]
    named = [i for i in left if _WARMTH.search(table.names[i])]
    plain = [i for i in left if not _OTHER.search(table.names[i])]
    warm = [i for i in named if i in plain] or named or plain
    names = tuple(table.names[i] for i in warm or left)
    if wanted is not None:
        by_name = {table.names[i].casefold(): i for i in left}
        if wanted.casefold().strip() not in by_name:
            raise InputError(
                _column_of(field),
                repr(wanted),
                say("one of {names}", names=", ".join(names)),
            )
        return Columns(stamp, clock, running, by_name[wanted.casefold().strip()], names)
    if not warm:
        raise InputError(
            field,
            Complaint(say("no column of temperatures")),
            say("a temperature for each reading"),
        )
    if len(warm) > 1:
        raise InputError(
            _column_of(field),
            say("{count} of temperatures", count=len(warm)),
            say("one of {names}", names=", ".join(names)),
        )
    return Columns(stamp, clock, running, warm[0], names)


def line_of(field: str, number: int) -> At:
    """A line of the log called `field`, for errors."""
    shown = say("{file}, line {number}", file=field, number=number)
    return At(shown, (f"{field}, line {number}",))


def _column_of(field: str) -> At:
    return At(say("{file}, column", file=field), (f"{field}, column",))


def _split(lines: Sequence[str], delimiter: str, field: str) -> list[list[str]]:
    reader = _reader(lines, delimiter)
    rows: list[list[str]] = []
    try:
        for row in reader:
            # A quoted cell may run over lines; rows must stay at the number of their line.
            while len(rows) < reader.line_num - 1:
                rows.append([])
            rows.append(row)
    except csv.Error:
        raise InputError(
            line_of(field, reader.line_num),
            say("this text"),
            say("a line of a table"),
        ) from None
    return rows


def _reader(lines: Sequence[str], delimiter: str) -> _csv.Reader:
    return csv.reader(lines, delimiter=delimiter, skipinitialspace=True)


def _filled(row: Sequence[str]) -> int:
    """How many cells there are up to the last that says something."""
    return next((i for i in range(len(row), 0, -1) if row[i - 1].strip()), 0)


def _has_date(cell: str) -> bool:
    head, clock = split_stamp(cell.strip())
    return date_parts(head) is not None and (not clock or parse_clock(clock) is not None)


def _is_data(row: Sequence[str]) -> bool:
    cells = [cell.strip() for cell in row if cell.strip()]
    if len(cells) < 2:
        return False
    numbers = sum(number_of(cell) is not None for cell in cells)
    return numbers == len(cells) or (numbers > 0 and any(map(_has_date, cells)))


def _heading(rows: Sequence[list[str]], first: int) -> tuple[tuple[str, ...], bool]:
    if first == 0 or _filled(rows[first - 1]) < 2:
        return (), False
    head = [cell.strip() for cell in rows[first - 1][: _filled(rows[first - 1])]]
    units = sum(unit_of(f"({cell})") != "" and len(cell) <= 5 for cell in head)
    if units and first > 1 and _filled(rows[first - 2]) >= 2:  # a line of units below the names
        above = [cell.strip() for cell in rows[first - 2]]
        above += [""] * (len(head) - len(above))
        head += [""] * (len(above) - len(head))
        head = [f"{name} {unit}".strip() for name, unit in zip(above, head, strict=True)]
    return tuple(cell or say("column {i}", i=i + 1) for i, cell in enumerate(head)), True


def _is_count(cell: str) -> bool:
    return cell.isdecimal() and len(cell) < 10


def _counts(table: LogLines, column: int) -> bool:
    """Whether a column only numbers the rows."""
    if table.headed:
        return _COUNT.fullmatch(table.names[column].strip()) is not None
    cells = [row[column].strip() for row in table.sample[:50] if column < len(row)]
    if len(cells) < 3 or not all(_is_count(cell) for cell in cells):
        return False
    return all(int(b) - int(a) == 1 for a, b in pairwise(cells))
