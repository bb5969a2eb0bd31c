"""The statements behind samples: write them, sum them up by hours and days, read them back."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

from sqlalchemy import BigInteger, Connection, Select, func, literal, select
from sqlalchemy.dialects import postgresql, sqlite

from pointage.daybook.store.tables import rollup, sample

HOUR_MS = 3_600_000
DAY_MS = 24 * HOUR_MS


def keep(connection: Connection, sensor: int, at_ms: list[int], values: list[float]) -> int:
    """Write samples in one go; those at an instant that is taken are left. How many were new."""
    if connection.dialect.name == "sqlite":
        rows = [(sensor, at, value) for at, value in zip(at_ms, values, strict=True)]
        return connection.exec_driver_sql(
            "INSERT INTO sample (sensor, at_ms, value) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
            rows,
        ).rowcount
    return connection.exec_driver_sql(
        "INSERT INTO sample (sensor, at_ms, value) "
        "SELECT %s, * FROM unnest(%s::bigint[], %s::double precision[]) ON CONFLICT DO NOTHING",
        (sensor, at_ms, values),
    ).rowcount


def sum_up(connection: Connection, sensor: int, at_ms: list[int]) -> None:
    """Sum up anew the hours and days in which these instants lie."""
    hours = sorted({at // HOUR_MS for at in at_ms})
    for first, last in _runs(hours):
        here = _within(sample.c, sensor, first * HOUR_MS, (last + 1) * HOUR_MS, sample.c.at_ms)
        value = sample.c.value
        sums = [func.count(), func.sum(value), func.min(value), func.max(value)]
        _put(connection, (sensor, HOUR_MS, sample.c.at_ms), sums, here)
    for first, last in _runs(sorted({hour // 24 for hour in hours})):
        here = _within(rollup.c, sensor, first * DAY_MS, (last + 1) * DAY_MS, rollup.c.from_ms)
        kept = rollup.c
        sums = [func.sum(kept.n), func.sum(kept.total), func.min(kept.least), func.max(kept.most)]
        _put(connection, (sensor, DAY_MS, kept.from_ms), sums, (*here, kept.span_ms == HOUR_MS))


def raw(sensor: int, since: int, until: int) -> Select[Any]:
    """Samples from `since` up to `until`, as rows (from_ms, n, mean, least, most)."""
    value = sample.c.value
    return (
        select(sample.c.at_ms, literal(1), value, value, value)
        .where(*_within(sample.c, sensor, since, until, sample.c.at_ms))
        .order_by(sample.c.at_ms)
    )


def spans(sensor: int, since: int, until: int, span_ms: int) -> Select[Any]:
    """Hours, days, or several days together that overlap `since` to `until`; rows as in `raw`."""
    kept, first = rollup.c, since // span_ms * span_ms
    here = _within(kept, sensor, first, until, kept.from_ms)
    if span_ms <= DAY_MS:  # as they are kept: the database can stop at a limit
        return (
            select(kept.from_ms, kept.n, kept.total / kept.n, kept.least, kept.most)
            .where(*here, kept.span_ms == span_ms)
            .order_by(kept.from_ms)
        )
    start = _start(kept.from_ms, span_ms)
    n, total = func.sum(kept.n), func.sum(kept.total)
    return (
        select(start, n, total / n, func.min(kept.least), func.max(kept.most))
        .where(*here, kept.span_ms == DAY_MS)
        .group_by(start)
        .order_by(start)
    )


def _within(columns: Any, sensor: int, since: int, until: int, at: Any) -> tuple[Any, ...]:
    return columns.sensor == sensor, at >= since, at < until


def _start(at: Any, span_ms: int) -> Any:
    """The start of the span in which `at` lies; written out, so that a database groups by it."""
    span = literal(span_ms, BigInteger, literal_execute=True)
    return at - at % span


def _put(
    connection: Connection, key: tuple[int, int, Any], sums: list[Any], here: tuple[Any, ...]
) -> None:
    """Put the sums of the rows `here` in the place of those there were. key: sensor, span, time."""
    dialect = sqlite if connection.dialect.name == "sqlite" else postgresql
    sensor, span_ms, at = key
    start = _start(at, span_ms)
    rows = select(literal(sensor), literal(span_ms), start, *sums).where(*here).group_by(start)
    names = ["sensor", "span_ms", "from_ms", "n", "total", "least", "most"]
    statement = dialect.insert(rollup).from_select(names, rows)
    new = statement.excluded
    connection.execute(
        statement.on_conflict_do_update(
            index_elements=names[:3], set_={name: new[name] for name in names[3:]}
        )
    )


def _runs(numbers: list[int]) -> Iterator[tuple[int, int]]:
    """First and last of each run of numbers without a gap."""
    for _, run in groupby(enumerate(numbers), lambda each: each[1] - each[0]):
        members = [number for _, number in run]
        yield members[0], members[-1]
