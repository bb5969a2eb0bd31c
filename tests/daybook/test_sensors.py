"""Samples and their roll-ups, on both stores."""

from __future__ import annotations

import random
import threading
from collections import defaultdict
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import fsum
from uuid import uuid4

import pytest

from pointage.daybook.entry import KitchenRecord
from pointage.daybook.store.sensors import SampleRow, Sensor, SensorKind
from pointage.daybook.store.store import Store
from pointage.errors import InputError

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


@pytest.fixture
def hall(store: Store) -> Sensor:
    store.put_kitchen(KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", ""))
    sensor = Sensor(str(uuid4()), "k1", "By the tubs", SensorKind.TEMPERATURE, "Hall")
    store.put_sensor(sensor, "a" * 64)
    return sensor


def span(rows: list[tuple[datetime, float]], of: timedelta) -> list[SampleRow]:
    """The roll-up as its definition says, from the samples themselves."""
    found: defaultdict[datetime, list[float]] = defaultdict(list)
    epoch = datetime(1970, 1, 1, tzinfo=UTC)
    for at, value in rows:
        found[epoch + (at - epoch) // of * of].append(value)
    return [
        SampleRow(at, len(each), fsum(each) / len(each), min(each), max(each))
        for at, each in sorted(found.items())
    ]


def assert_same(rows: tuple[SampleRow, ...], expected: list[SampleRow]) -> None:
    assert [(r.at, r.n, r.least, r.most) for r in rows] == [
        (r.at, r.n, r.least, r.most) for r in expected
    ]
    assert [r.mean for r in rows] == pytest.approx([r.mean for r in expected], rel=1e-12)


@pytest.mark.long
def test_samples_come_back_as_they_were_and_rolled_up_when_there_are_many(
    store: Store, hall: Sensor
) -> None:
    chance = random.Random(3)
    rows = [(NOON + i * 7 * MINUTE, 15 + 4 * chance.random()) for i in range(5000)]  # 24 days
    shuffled = chance.sample(rows, len(rows))
    for start in range(0, len(rows), 500):  # late ones open hours that were summed up before
        assert store.append_samples(hall, shuffled[start : start + 500]) == 500
    end = NOON + 30 * DAY

    every = store.samples(hall, NOON, end, at_most=5000)
    assert every.span is None
    assert [(row.at, row.mean) for row in every.rows] == rows
    hours = store.samples(hall, NOON, end, at_most=4999)
    assert hours.span == HOUR
    assert_same(hours.rows, span(rows, HOUR))
    days = store.samples(hall, NOON, end, at_most=100)
    assert days.span == DAY
    assert_same(days.rows, span(rows, DAY))
    few = store.samples(hall, NOON, end, at_most=5)
    assert few.span == 8 * DAY
    assert_same(few.rows, span(rows, 8 * DAY))
    assert store.sample_count(hall) == 5000


def test_a_time_asked_for_takes_the_samples_from_its_start_up_to_its_end(
    store: Store, hall: Sensor
) -> None:
    rows = [(NOON + i * MINUTE, 18.0) for i in range(180)]
    store.append_samples(hall, rows)
    some = store.samples(hall, NOON + 10 * MINUTE, NOON + 20 * MINUTE)
    assert [row.at for row in some.rows] == [at for at, _ in rows[10:20]]
    whole = store.samples(hall, NOON + 30 * MINUTE, NOON + 90 * MINUTE, at_most=2)
    assert [(row.at, row.n) for row in whole.rows] == [(NOON, 60), (NOON + HOUR, 60)]
    assert store.samples(hall, NOON - DAY, NOON).rows == ()


def test_of_two_at_one_instant_the_first_is_kept(store: Store, hall: Sensor) -> None:
    assert store.append_samples(hall, [(NOON, 18.0), (NOON, 30.0)]) == 1
    assert store.append_samples(hall, [(NOON, 19.0), (NOON + MINUTE, 20.0)]) == 1
    found = store.samples(hall, NOON, NOON + HOUR)
    assert [row.mean for row in found.rows] == [18.0, 20.0]
    assert store.samples(hall, NOON, NOON + HOUR, at_most=1).rows[0].most == 20.0


@pytest.mark.parametrize("value", [300.0, -60.0, float("nan"), float("inf")])
def test_what_cannot_be_is_refused_and_nothing_of_it_kept(
    store: Store, hall: Sensor, value: float
) -> None:
    with pytest.raises(InputError, match=r"temperature, sample 2: .* from −40 to 80 °C"):
        store.append_samples(hall, [(NOON, 18.0), (NOON + MINUTE, value)])
    with pytest.raises(InputError, match="offset"):
        store.append_samples(hall, [(NOON.replace(tzinfo=None), 18.0)])
    assert store.sample_count(hall) == 0
    assert store.samples(hall, NOON, NOON + DAY).rows == ()


@pytest.mark.soon(1)
def test_many_writers_of_one_sensor_lose_nothing(store: Store, hall: Sensor) -> None:
    failures: list[BaseException] = []

    def write(number: int) -> None:
        try:
            for i in range(20):  # all in the same two hours
                at = NOON + (number * 20 + i) * timedelta(seconds=45)
                store.append_samples(hall, [(at, float(number))])
        except BaseException as error:
            failures.append(error)

    writers = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for each in writers:
        each.start()
    for each in writers:
        each.join()
    assert failures == []
    rows = [(row.at, row.mean) for row in store.samples(hall, NOON, NOON + DAY).rows]
    assert len(rows) == 160
    assert_same(store.samples(hall, NOON, NOON + DAY, at_most=2).rows, span(rows, HOUR))


def test_a_sensor_is_found_by_its_token_and_renamed_by_its_id(store: Store, hall: Sensor) -> None:
    assert store.sensor_of_token("a" * 64) == hall
    assert store.sensor_of_token("b" * 64) is None
    moved = replace(hall, place="Boiler cupboard")
    store.put_sensor(moved, "c" * 64)
    assert store.sensors("k1") == [moved]
    assert store.sensor_of_token("a" * 64) is None
    with pytest.raises(InputError, match="a name that no other sensor has"):
        store.put_sensor(replace(hall, id=str(uuid4())))
    with pytest.raises(InputError, match="kitchen"):
        store.put_sensor(replace(hall, id=str(uuid4()), kitchen="k9"))
    with pytest.raises(InputError, match="one that is in the store"):
        store.append_samples(replace(hall, id=str(uuid4())), [(NOON, 18.0)])
