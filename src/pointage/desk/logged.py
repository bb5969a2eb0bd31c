"""Read a logged series of temperatures from CSV text."""

from __future__ import annotations

import csv
from datetime import UTC, datetime, timedelta

from pointage.errors import InputError
from pointage.mixture.surroundings import Logged

COLUMNS = 2
POSSIBLE_C = (-40.0, 80.0)


def read_log(text: str, start: datetime, field: str) -> Logged:
    """The series in `text`: hours (or an ISO time) and °C in two columns, a heading if you like.

    Hours count from `start`. Raises InputError naming the line for a row that cannot be read, is
    not later than the one before, or is no temperature of a kitchen.
    """
    instants: list[datetime] = []
    celsius: list[float] = []
    for number, row in enumerate(csv.reader(text.splitlines()), start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        here = f"{field}, line {number}"
        try:
            if len(cells) < COLUMNS:
                raise ValueError
            at, value = _instant(cells[0], start), float(cells[1])
        except ValueError:
            if number == 1:
                continue  # a heading
            raise InputError(here, repr(",".join(row)), "hours and °C, such as 1.5,24.0") from None
        low, high = POSSIBLE_C
        if not low <= value <= high:
            raise InputError(here, f"{value:g} °C", f"a temperature of {low:g} to {high:g} °C")
        if instants and at <= instants[-1]:
            raise InputError(here, cells[0], "a time after that of the line before")
        instants.append(at)
        celsius.append(value)
    if not instants:
        raise InputError(field, "no readings", "lines of hours and °C, such as 1.5,24.0")
    return Logged(instants, celsius)


def _instant(text: str, start: datetime) -> datetime:
    try:
        return start + timedelta(hours=float(text))
    except ValueError:
        found = datetime.fromisoformat(text)
        return found if found.tzinfo else found.replace(tzinfo=UTC)
    except OverflowError:
        raise ValueError(text) from None
