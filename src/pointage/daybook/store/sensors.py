"""Sensors and their samples: every one is kept, and hours and days are summed up beside them.

A roll-up is always calculated anew from the samples of its hour, and a day from its hours, so that
it cannot drift from them, whatever comes late, twice or in whatever order.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum

from sqlalchemy import Row, Select, func, select

from pointage.bounds import HEIGHT_MM, PROBE_C
from pointage.daybook.store import summing, tables
from pointage.daybook.store.database import Database
from pointage.daybook.store.summing import DAY_MS, HOUR_MS
from pointage.errors import At, InputError
from pointage.language import say

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MS = timedelta(milliseconds=1)
AT_ONCE = 50_000
"""Samples in one transaction: a tenth of a second, in which no other writer has its turn."""


class SensorKind(StrEnum):
    """What it measures: °C, or a height in millimetres."""

    TEMPERATURE = "temperature"
    HEIGHT = "height"


POSSIBLE = {SensorKind.TEMPERATURE: PROBE_C, SensorKind.HEIGHT: HEIGHT_MM}
"""What a sensor in a kitchen can say."""


@dataclass(frozen=True, slots=True)
class Sensor:
    """A probe, or a log that is taken in now and then. place: where it stands, by name."""

    id: str
    kitchen: str
    name: str
    kind: SensorKind
    place: str


@dataclass(frozen=True, slots=True)
class SampleRow:
    """What was measured from `at` on, over the span of the answer: one sample, or `n` of them."""

    at: datetime
    n: int
    mean: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Samples:
    """The rows in order of time. span: None for the samples as they are, else what a row covers."""

    span: timedelta | None
    rows: tuple[SampleRow, ...]


class Sensors(Database):
    """The store's sensors and samples."""

    def put_sensor(self, sensor: Sensor, token_sha256: str | None = None) -> None:
        """Keep a sensor; one with the same id gets this name, place and token.

        Raises InputError for a name that another sensor of the kitchen has.
        """
        table = tables.sensor
        values = {
            "name": sensor.name,
            "kind": sensor.kind.value,
            "place": sensor.place,
            "token_sha256": token_sha256,
        }
        insert = self._insert(table).values(id=sensor.id, kitchen=sensor.kitchen, **values)
        twin = select(table.c.id).where(
            table.c.kitchen == sensor.kitchen,
            table.c.name == sensor.name,
            table.c.id != sensor.id,
        )
        with self.changing(sensor.kitchen) as (connection, _):
            if connection.scalar(twin) is not None:
                raise InputError(
                    "sensor", repr(sensor.name), say("a name that no other sensor has")
                )
            connection.execute(insert.on_conflict_do_update(index_elements=["id"], set_=values))

    def sensors(self, kitchen: str) -> list[Sensor]:
        """Every sensor of a kitchen, by name."""
        table = tables.sensor
        query = select(table).where(table.c.kitchen == kitchen).order_by(table.c.name)
        with self.reading() as connection:
            return [_sensor(row) for row in connection.execute(query)]

    def sensor_of_token(self, token_sha256: str) -> Sensor | None:
        """The sensor whose token has this hash."""
        query = select(tables.sensor).where(tables.sensor.c.token_sha256 == token_sha256)
        with self.reading() as connection:
            row = connection.execute(query).one_or_none()
        return None if row is None else _sensor(row)

    def append_samples(self, sensor: Sensor, rows: Iterable[tuple[datetime, float]]) -> int:
        """Keep samples: aware instants, to the millisecond, and values. See `append_series`."""
        at_ms, values = array("q"), array("d")
        for at, value in rows:
            if at.tzinfo is None:
                raise InputError("at", at.isoformat(), say("a time with its offset"))
            at_ms.append(_ms(at))
            values.append(value)
        return self.append_series(sensor, at_ms, values)

    def append_series(self, sensor: Sensor, at_ms: Sequence[int], values: Sequence[float]) -> int:
        """Keep samples, milliseconds since 1970 and values: how many of them were new.

        Of two at one instant the first to come is kept, so that sending twice is harmless. All are
        looked at before any is written; then `AT_ONCE` of them are one transaction. Raises
        InputError for a value that the sensor cannot have measured.
        """
        if len(at_ms) != len(values):
            raise InputError(
                "samples",
                say("{one} and {other}", one=len(at_ms), other=len(values)),
                say("the same number of each"),
            )
        bound = POSSIBLE[sensor.kind]
        if len(at_ms) and min(at_ms) < 0:
            raise InputError("at", EPOCH + min(at_ms) * MS, say("a time since 1970"))
        for number, value in enumerate(values, start=1):
            if not bound.low <= value <= bound.high:  # nor is NaN; a million samples a second
                kind = sensor.kind.value
                shown = say("{kind}, sample {number}", kind=kind, number=number)
                bound.check(value, At(shown, (f"{kind}, sample {number}",)))
        new = 0
        for start in range(0, len(at_ms), AT_ONCE):
            part = slice(start, start + AT_ONCE)
            ats, vals = [int(at) for at in at_ms[part]], [float(v) for v in values[part]]
            new += self._append(sensor, ats, vals)
        return new

    def samples(
        self,
        sensor: Sensor,
        since: datetime,
        until: datetime,
        at_most: int = 2000,
    ) -> Samples:
        """What was measured from `since` up to `until`, in at most `at_most` rows (1 or more).

        The samples themselves if they are few enough, else hours, days, or some days together, by
        UTC: those that overlap the time asked for, whole.
        """
        first, end = _ms(since), _ms(until)
        with self.reading() as connection:
            number = connection.execute(_number(sensor)).scalar_one_or_none() or 0
            query, span_ms = summing.raw(number, first, end), 0
            # Each step is asked for one row too many, so that it costs no more than it may give.
            while len(found := connection.execute(query.limit(at_most + 1)).all()) > at_most:
                span_ms = _longer(span_ms)
                query = summing.spans(number, first, end, span_ms)
        rows = tuple(SampleRow(EPOCH + row[0] * MS, *row[1:]) for row in found)
        return Samples(span_ms * MS if span_ms else None, rows)

    def sample_count(self, sensor: Sensor) -> int:
        """How many samples there are of it."""
        table = tables.rollup
        with self.reading() as connection:
            query = select(func.coalesce(func.sum(table.c.n), 0)).where(
                table.c.sensor == _number(sensor).scalar_subquery(), table.c.span_ms == DAY_MS
            )
            return int(connection.scalar(query) or 0)

    def _append(self, sensor: Sensor, at_ms: list[int], values: list[float]) -> int:
        with self.writing(sensor.kitchen) as connection:
            # The sensor's row is held, so that each sees the other's samples when summing up.
            number = connection.execute(_number(sensor).with_for_update()).scalar_one_or_none()
            if number is None:
                raise InputError("sensor", repr(sensor.name), say("one that is in the store"))
            new = summing.keep(connection, number, at_ms, values)
            if new:
                summing.sum_up(connection, number, at_ms)
        return new


def _longer(span_ms: int) -> int:
    """The next longer span: hours, days, two days, four …"""
    return {0: HOUR_MS, HOUR_MS: DAY_MS}.get(span_ms, 2 * span_ms)


def _ms(at: datetime) -> int:
    return (at - EPOCH) // MS


def _number(sensor: Sensor) -> Select[int]:
    return select(tables.sensor.c.number).where(tables.sensor.c.id == sensor.id)


def _sensor(row: Row[tuple[object, ...]]) -> Sensor:
    return Sensor(row.id, row.kitchen, row.name, SensorKind(row.kind), row.place)
