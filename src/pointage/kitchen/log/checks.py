"""What can be wrong with a log's readings though each cell is a number: order, unit, sense."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import nan

import numpy as np

from pointage.bounds import PROBE_C
from pointage.kitchen.log.cells import Cells, Floats, Trouble
from pointage.language import say
from pointage.shown import warmth_span

POSSIBLE_C = (PROBE_C.low, PROBE_C.high)
"""What a thermometer of a kitchen can have read; an oven's probe belongs in no place's log."""
TURNED_K = 2.5  # how near a leap must come to 1.8·T + 32 to look like another unit
LEAST_LEAP = 18.0
TURNS_WITHIN_S = 6 * 3600.0
GAP_STEPS = 3.0
LEAST_GAP_S = 3600.0


def instant_of(seconds: float) -> datetime:
    """The instant so many seconds after the start of 1970."""
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)


def refuse_disorder(cells: Cells, seconds: Floats) -> None:
    """Refuse rows that are not later than all before them."""
    rows = np.flatnonzero(np.isfinite(cells.value))
    if len(rows) < 2:
        return
    latest = np.maximum.accumulate(seconds[rows])
    for k in (np.flatnonzero(seconds[rows][1:] <= latest[:-1]) + 1).tolist():
        row = int(rows[k])
        said = instant_of(float(seconds[row])).strftime("%Y-%m-%d %H:%M UTC")
        twin = seconds[row] == latest[k - 1]
        if twin:
            expected = say("one reading to an instant")
        else:
            expected = say("a time after that of the line before")
        cells.refuse(row, said, expected)


def refuse_turns(cells: Cells, seconds: Floats) -> None:
    """Refuse every stretch in which the numbers leap from °C to °F, or back, as a whole."""
    rows = np.flatnonzero(np.isfinite(cells.value))
    value, at = cells.value[rows], seconds[rows]
    before, after = value[:-1], value[1:]
    near = (np.abs(after - before) > LEAST_LEAP) & (np.diff(at) <= TURNS_WITHIN_S)
    near &= cells.fahrenheit[rows][1:] == cells.fahrenheit[rows][:-1]
    up = near & (np.abs(after - (1.8 * before + 32)) < 1.8 * TURNED_K) & (after > before)
    down = near & (np.abs(after - (before - 32) / 1.8) < TURNED_K) & (after < before)
    turns = [(k + 1, bool(up[k])) for k in np.flatnonzero(up | down).tolist()]
    while turns:
        first, raised = turns.pop(0)
        back = next((i for i, (_, other) in enumerate(turns) if other is not raised), None)
        end = len(rows) if back is None else turns[back][0]
        turns = [] if back is None else turns[back + 1 :]
        units = ("°C", "°F") if raised else ("°F", "°C")
        said = say(
            "from {before:g} to {after:g}, as if {one} became {other}",
            before=value[first - 1],
            after=value[first],
            one=units[0],
            other=units[1],
        )
        low, high = sorted((int(cells.lines[rows[first]]), int(cells.lines[rows[end - 1]])))
        cells.value[rows[first:end]] = nan
        cells.troubles.append(
            Trouble(low, said, say("one unit throughout"), high if high > low else None)
        )


def refuse_absurd(cells: Cells, celsius: Floats) -> None:
    """Refuse what no thermometer of a kitchen can have read."""
    low, high = POSSIBLE_C
    for row in np.flatnonzero((celsius < low) | (celsius > high)).tolist():
        said = f"{cells.value[row]:g} {'°F' if cells.fahrenheit[row] else '°C'}"
        cells.refuse(row, said, say("a temperature of {span}", span=warmth_span(low, high)))


def gaps_in(seconds: Floats) -> tuple[tuple[datetime, datetime], ...]:
    """Spells in which there ought to be a reading: over three of the usual steps and an hour."""
    steps = np.diff(seconds)
    if not len(steps):
        return ()
    long = np.flatnonzero(steps > max(GAP_STEPS * float(np.median(steps)), LEAST_GAP_S))
    return tuple((instant_of(seconds[k]), instant_of(seconds[k + 1])) for k in long.tolist())
