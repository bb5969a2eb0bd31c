"""Capacities by name, several ovens, litres of a fridge; and the files of earlier versions."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from math import inf
from pathlib import Path

import pytest
from tests.timetable.hall import kitchen

from pointage.errors import InputError
from pointage.kitchen.capacity import (
    HANDS,
    Capacity,
    CapacityKind,
    capacities,
    capacity_called,
)
from pointage.kitchen.file.edit import (
    changed,
    keys,
    values,
    without,
)
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.kitchen import Kitchen

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
OLD = sorted((Path(__file__).parents[1] / "fixtures" / "kitchens").glob("*/*.toml"))
STONE = "\n[[oven]]\n".join(
    (
        "",
        'name = "Deck oven"\nloaves = 8\nrolls = 48\npreheat = "60min"\n',
        'name = "Small oven"\nloaves = 2\nrolls = 12\npreheat = "30min"\n'
        'cooling = "25min"\nhottest = "482F"\n',
    )
)
BARE = """
name = "Barn"
zone = "Europe/Dublin"
tap = "10C"
[[place]]
name = "Fridge"
kind = "fridge"
temperature = "4C"
[[place]]
name = "Hall"
kind = "room"
temperature = "17C"
[[vessel]]
name = "Bowl"
tare = "1kg"
volume = "12l"
material = "steel"
use = "bowl"
[[scale]]
name = "Scale"
step = "1g"
capacity = "15kg"
"""


def read(text: str) -> Kitchen:
    return read_kitchen(text, NOW)


@pytest.mark.parametrize("file", OLD, ids=lambda each: f"{each.parent.name}/{each.name}")
def test_the_kitchens_of_earlier_versions_open(file: Path) -> None:
    """One oven, a fridge without litres; nothing is said of them that is not in the file."""
    old = read(file.read_text(encoding="utf-8"))
    assert len(old.ovens) == 1
    assert old.oven.loaves >= 1
    assert (old.oven.hottest_c, old.oven.cooling_minutes) == (None, None)
    assert [each.room_l for each in old.places] == [None] * len(old.places)
    names = [each.name.casefold() for each in capacities(old)]
    assert len(set(names)) == len(names)


def test_there_are_such_kitchens() -> None:
    assert [each.name for each in OLD] == ["inline.toml", "skerry-hall.toml"]


def test_a_tub_called_as_the_fridge_has_its_kind_added() -> None:
    old = read(next(each for each in OLD if each.name == "inline.toml").read_text("utf-8"))
    assert [each.name for each in capacities(old)] == [
        "hands", "O", "Fridge", "Fridge (tub)", "Hands (scale)",
    ]  # fmt: skip
    tub = capacity_called(old, CapacityKind.TUB, "fridge")
    assert tub == Capacity("Fridge (tub)", CapacityKind.TUB, 2000.0, "g")
    assert capacity_called(old, CapacityKind.TUB, "Hands") is None


def test_the_capacities_of_skerry_hall() -> None:
    """As its file has them; of the 12 l bowl half, of the 0.75 l jar a third (docs/kitchen.md)."""
    found = {each.name: each for each in capacities(kitchen(NOW))}
    assert found[HANDS] == Capacity("hands", CapacityKind.HANDS, 1, "pair")
    assert found["Deck oven"] == Capacity("Deck oven", CapacityKind.OVEN, 1, "load")
    assert found["Fridge"] == Capacity("Fridge", CapacityKind.FRIDGE, 90, "l")
    assert found["Basket"].whole == 12
    assert found["Rye tin"].whole == 6
    assert (found["Mixing bowl"].amount, found["Mixing bowl"].unit) == (6000, "g")
    assert found["Gannet's jar"].amount == pytest.approx(250)
    assert found["Bench scale"].amount == 15_000
    assert found["Tray"].kind is CapacityKind.TRAY


def test_what_a_vessel_takes_may_be_said_and_is_kept_to() -> None:
    old = 'name = "Mixing bowl"\n'
    hall = kitchen(NOW, (old, old + 'most = "4kg"\n'))
    found = capacity_called(hall, CapacityKind.BOWL, "Mixing bowl")
    assert found is not None
    assert found.amount == 4000
    bowl = hall.vessels[0]
    assert hall.vessel_for((bowl.use,), 5.0, 4000.0) is bowl
    tub = hall.vessel_for((bowl.use, hall.vessels[1].use), 5.0, 4001.0)
    assert tub.name == "Tub 2"


def test_a_fridge_whose_litres_are_not_said_has_no_end() -> None:
    hall = kitchen(NOW, ('room = "90l"', ""))
    fridge = capacity_called(hall, CapacityKind.FRIDGE, "Fridge")
    assert fridge is not None
    assert fridge.whole == inf


def test_two_ovens() -> None:
    deck, small = read(BARE + STONE).ovens
    assert (deck.name, small.name) == ("Deck oven", "Small oven")
    assert (small.loaves, small.rolls, small.preheat_minutes) == (2, 12, 30)
    assert small.cooling_minutes == 25
    assert small.hottest_c == pytest.approx(250)  # 482 °F
    assert read(BARE + STONE).oven is not small


@pytest.mark.parametrize(
    ("old", "new", "field", "said"),
    [
        ("loaves = 2", "loaves = 0", "kitchen.toml, oven 'Small oven', loaves", "whole number"),
        ("rolls = 12", "rolls = -1", "kitchen.toml, oven 'Small oven', rolls", "whole number"),
        ('"Small oven"', '"deck oven"', "kitchen.toml, oven 'deck oven'", "unique"),
        ('"25min"', '"2d"', "kitchen.toml, oven 'Small oven', cooling", "from 0 to 1440 minutes"),
        ('"482F"', '"40C"', "kitchen.toml, oven 'Small oven', hottest", "100 to 600"),
        ('"482F"', '"hot"', "kitchen.toml, oven 'Small oven', hottest", "such as"),
        ('"4C"\n', '"4C"\nroom = "0l"\n', "kitchen.toml, place 'Fridge', room", "2l or 750ml"),
        ('"4C"\n', '"4C"\nroom = "-4l"\n', "kitchen.toml, place 'Fridge', room", "2l or 750ml"),
        ('"4C"\n', '"4C"\nroom = "90m3"\n', "kitchen.toml, place 'Fridge', room", "2l or 750ml"),
        ('"4C"\n', '"4C"\nroom = "90000l"\n', "kitchen.toml, place 'Fridge', room", "50000 l"),
        ('"17C"\n', '"17C"\nroom = "9l"\n', "kitchen.toml, place 'Hall', room", "fridge"),
        ('"12l"\n', '"12l"\nmost = "0g"\n', "kitchen.toml, vessel 'Bowl', most", "above 0"),
        ('"12l"\n', '"12l"\ncount = -2\n', "kitchen.toml, vessel 'Bowl', count", "how many"),
    ],
)
def test_what_cannot_be_is_one_line(old: str, new: str, field: str, said: str) -> None:
    text = BARE + STONE
    assert old in text
    with pytest.raises(InputError) as caught:
        read(text.replace(old, new, 1))
    assert caught.value.field == field
    assert said in caught.value.expected
    assert all("\n" not in str(each) for each in caught.value.faults)


@pytest.mark.parametrize("text", [BARE, BARE.replace("[[", "oven = []\n[[", 1)])
def test_a_kitchen_may_be_without_an_oven(text: str) -> None:
    kitchen = read(text)
    assert kitchen.ovens == ()
    assert CapacityKind.OVEN not in {each.kind for each in capacities(kitchen)}
    with pytest.raises(InputError, match="none; expected an oven on the Kitchen screen"):
        kitchen.check_oven()


def test_an_oven_of_which_nothing_is_said_is_one_line() -> None:
    with pytest.raises(InputError) as caught:
        read(BARE + "[oven]\n")
    assert "oven" in caught.value.field
    assert all("\n" not in str(each) for each in caught.value.faults)


@pytest.mark.parametrize("file", OLD, ids=lambda each: each.name)
def test_a_second_oven_is_added_to_any_file_and_taken_out_again(file: Path) -> None:
    """Every comment stays; what was said of the first oven reads as before."""
    text = file.read_text(encoding="utf-8")
    before = read(text)
    said = values(text, "oven")
    new = {"name": "Small oven", "loaves": "2", "rolls": "12", "preheat": "30min"}
    two = changed(text, "oven", None, new)
    assert values(two, "oven") == [*said, new]
    assert read(two).ovens[0] == before.oven
    assert read(two).ovens[1].name == "Small oven"
    assert [each for each in text.splitlines() if "#" in each] == [
        each for each in two.splitlines() if "#" in each
    ]
    one = without(two, "oven", "Small oven")
    assert read(one).ovens == before.ovens
    assert tomllib.loads(one) | {"oven": 0} == tomllib.loads(text) | {"oven": 0}
    assert read(without(two, "oven", said[0]["name"])).oven.name == "Small oven"


def test_an_oven_alone_is_changed_where_it_stands() -> None:
    text = OLD[1].read_text(encoding="utf-8")
    said = values(text, "oven")[0] | {"loaves": "9"}
    assert changed(text, "oven", said["name"], said) == text.replace("loaves = 8", "loaves = 9")
    with pytest.raises(InputError):
        changed(text, "oven", "Another", said)


def test_the_form_asks_for_all_of_it() -> None:
    assert {"cooling", "hottest"} <= keys("oven").keys()
    assert "room" in keys("place")
    assert "most" in keys("vessel")
    page = (Path(__file__).parents[2] / "docs" / "kitchen.md").read_text(encoding="utf-8")
    for kind in ("oven", "place"):
        for key in keys(kind):
            assert f"`{key}`" in page, key
