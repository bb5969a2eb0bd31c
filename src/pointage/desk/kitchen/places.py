"""Places: look at a thermometer's log before it is taken, and give a place its history."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pointage.desk.kitchen.file import KitchenFileDesk
from pointage.desk.now.present import Present
from pointage.errors import InputError
from pointage.kitchen.file import shape
from pointage.kitchen.file.place_from_readings import (
    ClockReading,
    PlaceHistory,
    is_warm_place,
    place_from_log,
    place_from_readings,
)
from pointage.kitchen.file.write_place import REPLACED, history_keys, with_history
from pointage.kitchen.kitchen import Place, PlaceKind
from pointage.kitchen.log.clock import from_utc
from pointage.kitchen.log.read import (
    Log,
    LogOptions,
    decode_log,
    gap_notes,
    read_log,
)
from pointage.language import say
from pointage.quantities import parse_zone
from pointage.toml import place_of, read_toml, row_of

MOST_LISTED = 10
"""So many bad rows are listed one by one."""
MOST_DAYS = 400
LARGEST_MB = 100


@dataclass(frozen=True, slots=True)
class HourRead:
    """An hour of the clock: 10, 50 and 90 % of what was read then, and the history's own; °C."""

    hour: int
    low: float
    middle: float
    high: float
    history: float


@dataclass(frozen=True, slots=True)
class DayRead:
    """A day by the place's clock: its mean as read, and the history's; °C."""

    day: date
    mean: float
    history: float


@dataclass(frozen=True, slots=True)
class LogLook:
    """What a log says of a place, before anyone takes it.

    rows: readings that can be used, from `first` to `last`; left: rows that cannot, the first few
    of them listed in `troubles`. columns: those that could be chosen. history: what the place would
    be. by_hour, by_day: for charts, the latest MOST_DAYS days. warm: whether bakers would call it a
    warm place.
    """

    place: str
    kind: PlaceKind
    column: str
    columns: tuple[str, ...]
    unit: str
    rows: int
    left: int
    first: datetime
    last: datetime
    troubles: tuple[str, ...]
    gaps: tuple[str, ...]
    notes: tuple[str, ...]
    history: PlaceHistory
    warm: bool
    by_hour: tuple[HourRead, ...]
    by_day: tuple[DayRead, ...]

    def in_place_of(self, table: Mapping[str, Any]) -> dict[str, Any]:
        """A place's table with this history for what it says of its temperature."""
        kept = {key: value for key, value in table.items() if key not in REPLACED}
        return kept | history_keys(self.history)


class PlacesDesk:
    """The places of one stored kitchen. Raises InputError, one line, for what cannot be used.

    after: the revision of the kitchen's file in which the place was seen; RowChangedError is raised
    where it is another since.
    """

    def __init__(self, file: KitchenFileDesk, present: Callable[[], Present]) -> None:
        self._file = file
        self._present = present

    def look(self, place: str, data: bytes, options: LogOptions | None = None) -> LogLook:
        """What a log's file says of the place called so, its bad rows too; nothing is kept."""
        there, log, zone = self._read(place, data, options)
        return _look(there, log, zone)

    def take(
        self, place: str, data: bytes, after: int, options: LogOptions | None = None
    ) -> LogLook:
        """Give the place the history of its log, in the kitchen's file; the whole or nothing.

        A log with bad rows is refused unless options.skip_bad_rows.
        """
        there, log, zone = self._read(place, data, options)
        log.taken("log", skip_bad_rows=options is not None and options.skip_bad_rows)
        look = _look(there, log, zone)
        self._keep(there, look.history, after)
        return look

    def take_readings(
        self, place: str, readings: Sequence[ClockReading], after: int
    ) -> PlaceHistory:
        """Give the place the history that a few readings by the clock make of it."""
        there = self._present().file.place(place)
        history = place_from_readings(readings, there.kind)
        self._keep(there, history, after)
        return history

    def _read(self, place: str, data: bytes, options: LogOptions | None) -> tuple[Place, Log, str]:
        if len(data) > LARGEST_MB * 1_000_000:
            given = f"{len(data) / 1e6:.0f} MB"
            raise InputError("log", given, say("a file of at most {most} MB", most=LARGEST_MB))
        kitchen = self._present().file
        log = read_log(decode_log(data), kitchen.zone, "log", options)
        if not len(log.seconds):
            log.taken("log")
        return kitchen.place(place), log, kitchen.zone.key

    def _keep(self, place: Place, history: PlaceHistory, after: int) -> None:
        name = place.name
        self._file.edit("place", name, lambda text: with_history(text, name, history), after)


def settle_logs(text: str, source: str, read: Callable[[str, str], bytes]) -> str:
    """A kitchen file's text with the histories of its logs in place of their names.

    read: what a file beside the kitchen's holds, by its name and the field that named it. Raises
    InputError for a log that cannot be used, and for a bad row unless it is to be skipped.
    """
    table = read_toml(shape.KitchenTable, text, source)
    for number, place in enumerate(table.place):
        if place.log is None:
            continue
        field = place_of(row_of(source, "place", number, place.name), "log")
        if place.temperature is not None or place.readings:
            raise InputError(
                field, repr(place.log.file), say("either a log or temperatures, not both")
            )
        options = LogOptions(place.log.column, place.log.unit, place.log.dates)
        log = read_log(decode_log(read(place.log.file, field)), table.zone, field, options)
        log = log.taken(field, skip_bad_rows=place.log.skip_bad_rows)
        history = place_from_log(log.seconds, log.celsius, table.zone, PlaceKind(place.kind))
        if place.spread is not None:
            history = replace(history, spread_k=place.spread)
        text = with_history(text, place.name, history)
    return text


def _look(place: Place, log: Log, zone_key: str) -> LogLook:
    zone = parse_zone(zone_key)
    history = place_from_log(log.seconds, log.celsius, zone, place.kind)
    lines = tuple(str(each) for each in log.troubles[:MOST_LISTED])
    if len(log.troubles) > MOST_LISTED:
        lines += (say("and {number} more", number=len(log.troubles) - MOST_LISTED),)
    local = from_utc(log.seconds, zone)
    shown = history.surroundings(zone, place.name)
    hours = (log.seconds - log.seconds[0]) / 3600
    expected = shown.temperatures(log.first, hours)
    return LogLook(
        place=place.name,
        kind=place.kind,
        column=log.column,
        columns=log.columns,
        unit=log.unit,
        rows=len(log.seconds),
        left=log.left,
        first=log.first,
        last=log.last,
        troubles=lines,
        gaps=gap_notes(log.gaps, zone),
        notes=log.notes,
        history=history,
        warm=is_warm_place(history.mean_c),
        by_hour=_by_hour(local, log.celsius, expected),
        by_day=_by_day(local, log.celsius, expected),
    )


def _by_hour(
    local: NDArray[np.float64], celsius: NDArray[np.float64], history: NDArray[np.float64]
) -> tuple[HourRead, ...]:
    hour = (local // 3600 % 24).astype(int)
    rows = []
    for each in np.unique(hour).tolist():
        there = hour == each
        low, middle, high = (float(q) for q in np.percentile(celsius[there], (10, 50, 90)))
        rows.append(HourRead(each, low, middle, high, float(history[there].mean())))
    return tuple(rows)


def _by_day(
    local: NDArray[np.float64], celsius: NDArray[np.float64], history: NDArray[np.float64]
) -> tuple[DayRead, ...]:
    days, place = np.unique(np.floor(local / 86400), return_inverse=True)
    times = np.bincount(place)
    means, expected = (np.bincount(place, each) / times for each in (celsius, history))
    begun = datetime(1970, 1, 1, tzinfo=UTC)
    return tuple(
        DayRead((begun + timedelta(days=int(day))).date(), float(mean), float(usual))
        for day, mean, usual in list(zip(days, means, expected, strict=True))[-MOST_DAYS:]
    )
