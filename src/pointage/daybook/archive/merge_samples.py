"""The samples of one sensor, from their file in an archive into the store."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection, select

from pointage.daybook.archive.archive import ArchiveReader
from pointage.daybook.archive.export import HEADING
from pointage.daybook.archive.manifest import SensorLine
from pointage.daybook.errors import MergeError
from pointage.daybook.store import summing
from pointage.daybook.store.sensors import AT_ONCE, POSSIBLE
from pointage.daybook.store.tables import sample
from pointage.language import say

LAST_MS = 253_402_300_799_999
"""The end of the year 9999."""


def merge_samples(
    archive: ArchiveReader, path: str, sensor: SensorLine, connection: Connection, number: int
) -> tuple[int, int]:
    """Write what is new: how many samples there are, and how many of them were new.

    number: the sensor's in this store. Raises ArchiveError; MergeError for another value at an
    instant that is taken.
    """
    found = new = 0
    for at_ms, values in _parts(archive, path, sensor):
        written = summing.keep(connection, number, at_ms, values)
        if written < len(at_ms):
            _agree(connection, number, at_ms, values, sensor.name)
        if written:
            summing.sum_up(connection, number, at_ms)
        found += len(at_ms)
        new += written
    return found, new


def _parts(
    archive: ArchiveReader, path: str, sensor: SensorLine
) -> Iterator[tuple[list[int], list[float]]]:
    """Instants and values, so many at a time. Raises ArchiveError with the line."""
    bound = POSSIBLE[sensor.kind]
    lines = archive.lines(path)
    if next(lines, (1, b""))[1] + b"\n" != HEADING:
        raise archive.error(
            path, say("it does not begin with {heading!r}", heading=HEADING.decode().strip()), 1
        )
    at_ms: list[int] = []
    values: list[float] = []
    last = -1
    for line, text in lines:
        at, _, value = text.partition(b",")
        try:
            if not at.isdigit():
                raise ValueError
            at_ms.append(int(at))
            values.append(float(value))
        except ValueError:
            raise archive.error(
                path, say("it is not milliseconds, a comma and a number"), line
            ) from None
        if not last < at_ms[-1] <= LAST_MS:
            raise archive.error(path, say("its instant does not follow the one before"), line)
        if not bound.holds(values[-1]):
            raise archive.error(path, say("it is not {expected}", expected=bound.expected), line)
        last = at_ms[-1]
        if len(at_ms) == AT_ONCE:
            yield at_ms, values
            at_ms, values = [], []
    if at_ms:
        yield at_ms, values


def _agree(
    connection: Connection, number: int, at_ms: list[int], values: list[float], name: str
) -> None:
    """See that the store has the same value at each of these instants."""
    query = select(sample.c.at_ms, sample.c.value).where(
        sample.c.sensor == number, sample.c.at_ms >= at_ms[0], sample.c.at_ms <= at_ms[-1]
    )
    there = {row.at_ms: row.value for row in connection.execute(query)}
    for at, value in zip(at_ms, values, strict=True):
        if there[at] != value:
            reason = say(
                "the store has {there:g} there, and not {value:g}", there=there[at], value=value
            )
            raise MergeError(say("sensor {name!r}, sample at {at} ms", name=name, at=at), reason)
