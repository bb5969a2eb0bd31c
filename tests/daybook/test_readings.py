"""Every kind of reading, wherever it was written down, in one normal form."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.daybook import readings
from pointage.daybook.bodies import BODIES, checked
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import KINDS, MEASURED, ReadingKind
from pointage.mixture.learning.observation import Fallen, MixtureTemperature, Rise
from pointage.shown import PLAIN, showing
from pointage.web.screens.daybook.view import LOGS
from pointage.web.words.asked import (
    ASKED,
    fields,
    read,
    read_every,
)

AT = datetime(2026, 12, 3, 18, 0, tzinfo=UTC)
BAKE = str(uuid4())


def entry(kind: EntryKind, body: dict[str, Any]) -> Entry:
    whole = {"bake": BAKE, "step": "bulk", **body}
    return Entry(str(uuid4()), "hall", kind, AT, AT, "baker", whole)


def stored(kind: EntryKind, body: dict[str, Any]) -> Entry:
    """An entry as a store of long ago may hold it: with what nobody checked."""
    found = entry(kind, {})
    object.__setattr__(found, "body", {**found.body, **body})
    return found


WAYS = [(kind, way) for kind in KINDS.values() for way in kind.ways]


@pytest.mark.parametrize(("kind", "way"), WAYS)
@given(part=st.floats(0, 1))
def test_a_measured_body_gives_its_reading_back(
    kind: readings.KindOfReading, way: tuple[readings.Written, ...], part: float
) -> None:
    assert kind.bound is not None
    value = kind.bound.low + part * (kind.bound.high - kind.bound.low)
    if len(way) == 1:
        body = {way[0].name: value}
    else:
        body = {way[0].name: 60.0 * value, way[1].name: 60.0}
        if not kind.bound.holds(body[way[0].name] / 60.0):  # rounded over the edge
            return
    told = entry(EntryKind.MEASURED, checked(EntryKind.MEASURED, body))
    assert readings.unusable(told) is None
    (found,) = readings.readings_of(told)
    assert (found.kind, found.at) == (kind.kind, AT)
    assert found.value == pytest.approx(value)
    assert found.entry == told.id
    assert readings.measured_words(told.body)[0].startswith(readings.reading_words(found))


@pytest.mark.parametrize("kind", list(ReadingKind))
def test_the_same_by_the_bench_and_by_the_daybook_teaches_the_same(kind: ReadingKind) -> None:
    known = KINDS[kind]
    value = None if known.bound is None else float(known.bound.example)
    bench = entry(EntryKind.READING, {"reading": kind.value, "value": value})
    books = [
        entry(EntryKind.MEASURED, {way[0].name: value}) for way in known.ways if len(way) == 1
    ] + [entry(EntryKind.SEEN, {"signs": ["domed", sign.title()]}) for sign in known.signs]
    assert books
    (seen,) = readings.readings_of(bench)
    for book in books:
        assert readings.readings_of(book) == (seen,)
        (other,) = readings.readings_of(book)
        assert readings.observation(other) == readings.observation(seen)
        assert readings.reading_words(other) == readings.reading_words(seen)


def test_a_rise_by_the_band_and_by_the_level_teaches_as_one_by_number() -> None:
    rise = entry(EntryKind.READING, {"reading": "rise", "value": 1.6})
    (by_number,) = readings.readings_of(rise)
    for body in ({"mm": 96, "band_mm": 60}, {"ml": 800, "mixed_ml": 500}):
        (seen,) = readings.readings_of(entry(EntryKind.MEASURED, body))
        assert readings.observation(seen) == readings.observation(by_number) == Rise(AT, 1.6)


def test_several_ways_in_one_entry_are_several_readings() -> None:
    body = {"rise": 1.5, "mm": 96.0, "band_mm": 60.0, "ml": 850.0, "mixed_ml": 500.0, "ph": 4.1}
    found = readings.readings_of(entry(EntryKind.MEASURED, body))
    assert [each.value for each in found] == pytest.approx([1.5, 1.6, 1.7, 4.1])
    assert readings.measured_words(body) == [
        "risen to 1.5",
        "risen to 1.6 (96 mm against 60 mm)",
        "risen to 1.7 (850 ml against 500 ml)",
        "pH 4.1",
    ]


def test_what_the_engine_makes_of_a_room_is_nothing() -> None:
    (room,) = readings.readings_of(entry(EntryKind.MEASURED, {"room_c": 17}))
    assert readings.observation(room) is None
    assert readings.reading_words(room) == "the air 17 °C"
    with showing(PLAIN.with_({"degrees": "F"})):
        assert readings.reading_words(room) == "the air 62.6 °F"  # 17 · 1.8 + 32
    (dough,) = readings.readings_of(entry(EntryKind.MEASURED, {"temperature_c": 24}))
    assert readings.observation(dough) == MixtureTemperature(AT, 24.0)
    (fallen,) = readings.readings_of(entry(EntryKind.SEEN, {"signs": ["Fallen", "skin"]}))
    assert readings.observation(fallen) == Fallen(AT)


@pytest.mark.parametrize(
    ("kind", "body", "said"),
    [
        (EntryKind.READING, {"reading": "rise", "value": 99}, "a rise from 0.3 to 10"),
        (EntryKind.READING, {"reading": "rise", "value": float("nan")}, "rise: nan"),
        (EntryKind.READING, {"reading": "rise", "value": "1.6"}, "a rise from"),
        (EntryKind.READING, {"reading": "rise"}, "rise: missing"),
        (EntryKind.READING, {"reading": "weight", "value": 3}, "reading: 'weight'"),
        (EntryKind.READING, {"reading": ["rise"], "value": 3}, "one of rise"),
        (EntryKind.READING, {}, "reading: None"),
        (EntryKind.READING, {"pour": 0, "display_g": 1e23}, "display_g: 100000000000000000000 kg"),
        (EntryKind.MEASURED, {"rise": True}, "rise: True"),
        (EntryKind.MEASURED, {"temperature_c": "warm", "ph": 4.1}, "temperature_c: warm"),
        (EntryKind.MEASURED, {"mm": 90}, "band_mm: missing"),
        (EntryKind.MEASURED, {"mm": 90, "band_mm": 0}, "make a rise from"),
        (EntryKind.MEASURED, {"mm": 900, "band_mm": 1}, "make a rise from"),
    ],
)
def test_what_cannot_be_used_is_set_aside_with_its_reason(
    kind: EntryKind, body: dict[str, Any], said: str
) -> None:
    told = stored(kind, body)
    assert readings.readings_of(told) == ()
    reason = readings.unusable(told)
    assert reason is not None
    assert said in reason
    assert "\n" not in reason


def test_other_entries_carry_no_readings() -> None:
    for kind, body in (
        (EntryKind.NOTE, {"text": "rise 1.6"}),
        (EntryKind.READING, {"pour": 0, "display_g": 812.0}),
        (EntryKind.SMELLED, {"signs": ["ripe"]}),
        (EntryKind.SEEN, {"signs": 3}),
    ):
        assert readings.readings_of(stored(kind, body)) == ()
        assert readings.unusable(stored(kind, body)) is None


def test_the_forms_and_the_bodies_come_out_of_the_registry() -> None:
    """A kind is one entry of the registry, and a quantity one of the bounds; no more."""
    in_forms = {name for log in LOGS.values() for name in log.names}
    for kind in KINDS.values():
        assert kind.prompt or kind.log
        assert bool(kind.log) == bool(kind.ways)
    for name, written in MEASURED.items():
        assert name in BODIES[EntryKind.MEASURED].model_fields
        assert ASKED[name].label == written.label
        assert name in in_forms


def test_what_was_typed_is_given_back_as_it_was_typed() -> None:
    names = ("temperature_c", "rise")
    body = read(names, {"temperature_c": "76 °F", "rise": "1,60"})
    assert body["temperature_c"] == pytest.approx(24.4444, abs=1e-4)  # (76 − 32) · 5 / 9
    kept = checked(EntryKind.MEASURED, body)
    assert kept["typed"]["temperature_c"] == {"value": "76", "unit": "°F"}
    assert [each.value for each in fields(names, kept)] == ["76 °F", "1,60"]
    again = read_every(EntryKind.MEASURED, kept, {"temperature_c": "76 °F", "rise": "1,60"})
    assert checked(EntryKind.MEASURED, again) == kept
    untyped = {"temperature_c": 220 / 9}  # shown as 24.444, and left alone it stays as it is
    assert read_every(EntryKind.MEASURED, untyped, {"temperature_c": "24.444"}) == untyped
    other = read_every(EntryKind.MEASURED, kept, {"temperature_c": "", "rise": "1.7"})
    assert checked(EntryKind.MEASURED, other) == {
        "rise": 1.7, "typed": {"rise": {"value": "1.7", "unit": ""}},
    }  # fmt: skip


def test_the_registry_does_not_load_the_engine() -> None:
    code = "import pointage.daybook.readings, sys; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
