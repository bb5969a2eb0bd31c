"""The kitchen file: the example is read, and each thing that can be wrong is one clear line."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from pointage.errors import InputError
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.kitchen import Kitchen, PlaceKind
from pointage.mixture.temperature.surroundings import Straying

EXAMPLE = (Path(__file__).parents[2] / "examples" / "kitchen.toml").read_text(encoding="utf-8")
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


def read(text: str) -> Kitchen:
    return read_kitchen(text, NOW, "kitchen.toml")


def changed(old: str, new: str) -> str:
    assert old in EXAMPLE, f"the example no longer has {old!r}"
    return EXAMPLE.replace(old, new, 1)


def test_the_example_is_skerry_hall() -> None:
    kitchen = read(EXAMPLE)
    assert kitchen.name == "Skerry Hall"
    assert kitchen.zone.key == "Europe/Dublin"
    assert [place.kind for place in kitchen.places] == [
        PlaceKind.ROOM,
        PlaceKind.WARM,
        PlaceKind.FRIDGE,
    ]
    assert [scale.step_g for scale in kitchen.scales] == [Fraction(1), Fraction(1, 10)]
    assert kitchen.oven.loaves == 8
    assert kitchen.hours.sleep == ((time(22, 30), time(6, 0)),)
    gannet, plover = kitchen.cultures
    assert (gannet.flours, gannet.hydration) == ({"rye-whole": 1.0}, 1.0)
    assert (plover.flours, plover.hydration) == ({"wheat-white": 1.0}, 0.6)
    assert gannet.place == plover.place == "Fridge"


def test_the_hall_runs_from_15_to_19_degrees() -> None:
    hall = read(EXAMPLE).places[0].surroundings
    hours = np.arange(0, 24, 0.25)
    days = [hall.temperatures(NOW + timedelta(days=d), hours) for d in range(0, 366, 3)]
    assert np.min(days) == pytest.approx(15, abs=0.01)
    assert np.max(days) == pytest.approx(19, abs=0.01)
    # NOW is noon in Dublin (winter), and it is warmest at 15:00.
    assert hours[days[0].argmax()] == 3


def test_every_place_strays_as_its_kind_does() -> None:
    hall, cupboard, fridge = (each.surroundings for each in read(EXAMPLE).places)
    for place in (hall, cupboard, fridge):
        assert isinstance(place, Straying)
        assert place.spread_k > 0
    calm = read(changed('temperature = "26C"', 'temperature = "26C"\nspread = "0.9F"'))
    told = calm.places[1].surroundings
    assert isinstance(told, Straying)
    assert told.spread_k == pytest.approx(0.5)  # a difference of 0.9 °F


def test_a_place_by_its_readings() -> None:
    readings = '[{ at = "07:00", temperature = "21C" }, { at = "15:00", temperature = "77F" }]'
    cupboard = read(changed('temperature = "26C"', f"readings = {readings}")).places[1]
    morning, afternoon = (
        cupboard.surroundings.temperatures(NOW.replace(hour=hour), np.zeros(1))[0]
        for hour in (7, 15)
    )
    assert 21 < morning < afternoon < 25  # a cupboard is steady by its kind, and gives way
    assert (morning + afternoon) / 2 == pytest.approx(23, abs=0.1)


def test_a_box_wakes_a_culture_and_the_yard_does_not() -> None:
    yard = '[[place]]\nname = "Yard"\nkind = "outdoors"\ntemperature = "31C"\n\n[[place]]\n'
    kitchen = read(changed("[[place]]\n", yard))
    assert kitchen.places[0].kind is PlaceKind.OUTDOORS
    assert kitchen.warmest_place.name == "Boiler cupboard"
    assert read(changed('"warm"', '"box"')).warmest_place.name == "Boiler cupboard"


def test_fed_days_ago_counts_back_from_now() -> None:
    assert read(EXAMPLE).cultures[0].fed == NOW - timedelta(days=4)


def test_fed_is_a_clock_time_of_the_kitchen() -> None:
    text = changed("fed_days_ago = 4", 'fed = "2026-10-20T18:00"')
    # Irish summer time, UTC+1, until 25 October 2026.
    assert read(text).cultures[0].fed == datetime(2026, 10, 20, 17, tzinfo=UTC)


def test_units_of_other_kitchens() -> None:
    text = changed('temperature = "26C"', 'temperature = "77F"')
    assert read(text).places[1].surroundings.temperatures(NOW, np.zeros(1))[0] == 25
    text = changed('swing = "1.5C"', 'swing = "3.6F"')
    assert np.ptp(read(text).places[0].surroundings.temperatures(NOW, np.arange(24.0))) == (
        pytest.approx(4, rel=0.01)
    )


def test_away_spells_are_instants() -> None:
    spell = 'away = [{ from = "2026-12-01T09:00", until = 2026-12-02T09:00:00Z }]\n'
    assert read(changed("sleep =", spell + "sleep =")).hours.away == (
        (datetime(2026, 12, 1, 9, tzinfo=UTC), datetime(2026, 12, 2, 9, tzinfo=UTC)),
    )


def test_flours_are_shares() -> None:
    text = changed("{ rye-whole = 100 }", "{ rye-whole = 30, wheat-white = 90 }")
    assert read(text).cultures[0].flours == {"rye-whole": 0.25, "wheat-white": 0.75}


@pytest.mark.parametrize(
    ("old", "new", "field", "expected"),
    [
        ('name = "Skerry Hall"', "name = Skerry", "kitchen.toml, line 4", "TOML"),
        ("[oven]", "[ofen]", "kitchen.toml", "'oven' perhaps"),
        ("temperature", "tempreature", "kitchen.toml, place 'Hall'", "'temperature' perhaps"),
        ('"17C"', '"17X"', "kitchen.toml, place 'Hall', temperature", "such as 25C"),
        ('"17C"', '"290K"', "kitchen.toml, place 'Hall', temperature", "such as 25C"),
        ('"17C"', '"63"', "kitchen.toml, place 'Hall', temperature", "−5 to 50 °C"),
        ('"4.5C"', '"17C"', "kitchen.toml, place 'Fridge', temperature", "0 to 12 °C"),
        ('warmest = "15:00"', "", "kitchen.toml, place 'Hall', warmest", "clock time"),
        ('swing = "1.5C"', "", "kitchen.toml, place 'Hall', swing", "difference"),
        ('"1.5C"', '"-1C"', "kitchen.toml, place 'Hall', swing", "half the way"),
        ('"1.5C"', '"40C"', "kitchen.toml, place 'Hall', swing", "half the way"),
        ('yearly = "0.5C"', "", "kitchen.toml, place 'Hall', yearly", "difference"),
        ('warmest_day = "08-05"', "", "kitchen.toml, place 'Hall', warmest_day", "08-05"),
        ('"08-05"', '"5 August"', "kitchen.toml, place 'Hall', warmest_day", "08-05"),
        ('"08-05"', '"02-30"', "kitchen.toml, place 'Hall', warmest_day", "08-05"),
        ('"17C"', '"17C"\nspread = "-1C"', "kitchen.toml, place 'Hall', spread", "from 0 to 15 °C"),
        ('temperature = "26C"', "", "kitchen.toml, place 'Boiler cupboard', temperature", "17C"),
        ('temperature = "26C"', "readings = []", "kitchen.toml, place 'Boiler cupboard'", "17C"),
        (
            'temperature = "26C"',
            'readings = [{ at = "seven", temperature = "26C" }]',
            "kitchen.toml, place 'Boiler cupboard', reading 1, at",
            "15:00",
        ),
        (
            'temperature = "26C"',
            'readings = [{ at = "7:00", temperature = "26" }, { at = "8:00", temperature = "79" }]',
            "kitchen.toml, place 'Boiler cupboard', reading 2, temperature",
            "−5 to 50",
        ),
        (
            'temperature = "17C"',
            'temperature = "17C"\nreadings = [{ at = "07:00", temperature = "16C" }]',
            "kitchen.toml, place 'Hall', temperature",
            "either temperature or readings",
        ),
        ('temperature = "26C"', 'log = "a.csv"', "kitchen.toml, place 'Boiler cupboard', log", ""),
        ('"15:00"', '"3 in the afternoon"', "kitchen.toml, place 'Hall', warmest", "15:00"),
        (
            '"room"',
            '"rom"',
            "kitchen.toml, place 'Hall', kind",
            "room, warm, box, fridge or outdoors",
        ),
        ('"fridge"', '"room"', "kitchen.toml, place", "fridge"),
        (
            'name = "Boiler cupboard"',
            'name = "hall"',
            "kitchen.toml, place 'hall'",
            "unique names",
        ),
        (
            'name = "Tub 2"',
            'name = "Tub 1"',
            "kitchen.toml, vessel 'Tub 1'",
            "unique names",
        ),
        ('name = "Hall"', "", "kitchen.toml, place 1, name", "a name"),
        ('"2l"', '"2 pints"', "kitchen.toml, vessel 'Tub 1', volume", "such as 2l"),
        ('"412g"', '"-412g"', "kitchen.toml, vessel 'Tub 2', tare", "not negative"),
        ('"0.1g"', '"0g"', "kitchen.toml, scale 'Small scale', step", "above 0"),
        ('"15kg"', '"1g"', "kitchen.toml, scale 'Bench scale', capacity", "more than one step"),
        ("loaves = 8", 'loaves = "8"', "kitchen.toml, oven, loaves", "whole number"),
        ("loaves = 8", "loaves = 0", "kitchen.toml, oven, loaves", "whole number"),
        ('"60min"', '"a while"', "kitchen.toml, oven, preheat", "such as 90min"),
        ('"60min"', '"1h"\nsurface = "moss"', "kitchen.toml, oven, surface", "stone or sheet"),
        ('"60min"', '"1h"\noffset = "99C"', "kitchen.toml, oven, offset", "from −60 to 60 °C"),
        ('"60min"', '"1h"\nsteam = "2h"', "kitchen.toml, oven, steam", "from 0 to 60 minutes"),
        ('"22:30-06:00"', '"22:30 to 6"', "kitchen.toml, hours, sleep", "22:30-06:00"),
        ('"22:30-06:00"', '"22:30-24:30"', "kitchen.toml, hours, sleep", "22:30-06:00"),
        ('"22:30-06:00"', "8", "kitchen.toml, hours, sleep", "22:30-06:00"),
        ('"Europe/Dublin"', '"Skerry"', "kitchen.toml, zone", "Europe/Dublin"),
        ('"6m"', '"6 leagues"', "kitchen.toml, altitude", "−450 to 6000 m"),
        ('"10C"', '"90C"', "kitchen.toml, tap", "tap water"),
        (
            'place = "Fridge"',
            'place = "Frige"',
            "kitchen.toml, culture 'Gannet', place",
            "'Fridge'",
        ),
        ("hydration = 100", "hydration = 1.0", "kitchen.toml, culture 'Gannet', hydration", "30"),
        ("seed = 20", "seed = 0", "kitchen.toml, culture 'Gannet', seed", "above 0"),
        ("{ rye-whole = 100 }", "{ }", "kitchen.toml, culture 'Gannet', flours", "rye-whole"),
        ("rye-whole = 100", "rye-hole = 1", "kitchen.toml, culture 'Gannet', flours", "rye-whole"),
        ("rye-whole = 100", "rye-whole = -1", "kitchen.toml, culture 'Gannet', flours", "above"),
        (
            "fed_days_ago = 4",
            'fed = "2026-11-29T18:00"',
            "kitchen.toml, culture 'Gannet', fed",
            "past",
        ),
        (
            "fed_days_ago = 4",
            'fed = "2026-10-25T01:30"',
            "kitchen.toml, culture 'Gannet', fed",
            "comes twice",
        ),
        ("fed_days_ago = 4", "", "kitchen.toml, culture 'Gannet', fed", "last feed"),
        ("fed_days_ago = 4", "fed_days_ago = inf", "kitchen.toml, culture 'Gannet', fed_days", ""),
    ],
)
def test_a_fault_is_one_line_with_its_field(old: str, new: str, field: str, expected: str) -> None:
    with pytest.raises(InputError) as caught:
        read(changed(old, new))
    assert caught.value.field.startswith(field)
    assert expected in caught.value.expected
    assert all("\n" not in str(each) for each in caught.value.faults)


@pytest.mark.parametrize("text", ["", 'name = """', "[[place]]", "place = 3", "\x00", "name = ["])
def test_what_is_no_kitchen_at_all(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert caught.value.field.startswith("kitchen.toml")
    assert all("\n" not in str(each) for each in caught.value.faults)


CULTURE = """
[[culture]]
name = "Dunlin"
flour = { wheat-white = 100 }
hydration = "wet"
mass = "0g"
stood_in = "Cellar"
place = "Fridge"

[[culture]]"""


def test_every_fault_of_a_file_is_said_at_once_in_its_place() -> None:
    text = changed("\n[[culture]]", CULTURE)
    for old, new in (
        ('"17C"', '"warmish"'),
        ('"4.5C"', '"17C"'),
        ('"60min"', '"1h"\nsteam = "2h"'),
    ):
        text = text.replace(old, new, 1)
    text = text.replace('name = "Tub 2"', 'name = "Tub 1"', 1)
    with pytest.raises(InputError) as caught:
        read(text)
    assert [each.path for each in caught.value.faults] == [
        ("vessel", 2),
        ("culture", 0, "flours"),
        ("place", 0, "temperature"),
        ("place", 2, "temperature"),
        ("oven", "steam"),
        *(("culture", 0, key) for key in ("hydration", "seed", "mass", "stood", "stood_in")),
    ]
    lines = str(caught.value).splitlines()
    assert len(lines) == len(caught.value.faults)
    assert "'flour' cannot be used" in lines[1]
    assert "'flours' perhaps" in lines[1]


def test_what_does_not_fit_together_is_said_at_once() -> None:
    text = changed('"15kg"', '"1g"').replace('warmest = "15:00"', "", 1)
    with pytest.raises(InputError) as caught:
        read(text)
    assert {each.field for each in caught.value.faults} == {
        "kitchen.toml, place 'Hall', warmest",
        "kitchen.toml, scale 'Bench scale', capacity",
    }


def test_a_month_of_many_digits_is_one_line() -> None:
    text = (Path(__file__).parents[2] / "examples/kitchen.toml").read_text(encoding="utf-8")
    text, before = text.replace('"08-05"', '"' + "9" * 30 + '-05"'), text
    assert text != before
    with pytest.raises(InputError, match="a month and day such as 08-05"):
        read_kitchen(text, NOW)
