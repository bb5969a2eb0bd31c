"""Vessels in the kitchen file: what may be told of them, and what cannot be."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import get_args

import pytest
from tests.timetable.hall import kitchen

from pointage.errors import InputError
from pointage.heat.materials import materials
from pointage.heat.vessel import Air, Lid
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.file.shape import PlaceTable, VesselTable
from pointage.kitchen.kitchen import Kitchen, VesselUse

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
TUB = 'name = "Tub 2"\ntare = "412g"\nvolume = "5l"\nmaterial = "plastic"\nuse = "tub"\n'


def told(*lines: str) -> Kitchen:
    return kitchen(NOW, (TUB, TUB + "\n".join(lines) + "\n"))


def test_a_vessel_may_be_told_of_in_full() -> None:
    hall = told(
        'lid = "tight"', 'wall = "2.5mm"', 'height = "13cm"', 'diameter = "9in"', "count = 3"
    )
    tub = next(each for each in hall.vessels if each.name == "Tub 2")
    assert (tub.lid, tub.wall_mm, tub.height_mm, tub.count) == (Lid.TIGHT, 2.5, 130.0, 3)
    assert tub.width_mm == pytest.approx(228.6)
    assert tub.shell.lid is Lid.TIGHT


def test_what_is_not_told_is_as_usual() -> None:
    hall = kitchen(NOW)
    by_name = {each.name: each for each in hall.vessels}
    assert by_name["Tub 1"].lid is None
    assert by_name["Tub 1"].shell.lid is Lid.LOOSE
    assert by_name["Rye tin"].shell.lid is Lid.NONE
    assert by_name["Tub 1"].count == 1


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('lid = "screwed"', "lid"),
        ('wall = "2"\nheight = "0mm"', "height"),
        ('wall = "25cm"', "wall"),
        (
            'height = "13cm"\nwidth = "20cm"\ndiameter = "20cm"',
            "either width or diameter, not both",
        ),
        ('height = "30cm"\ndiameter = "60cm"', "a cylinder of these holds 85 l"),
        ("count = 0", "count"),
        ('depth = "3cm"', "depth"),
    ],
)
def test_what_cannot_be_is_one_line(line: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        told(line)
    assert "\n" not in str(caught.value)
    assert "Tub 2" in str(caught.value)


def test_a_material_that_is_not_known_is_told_with_the_nearest() -> None:
    with pytest.raises(InputError, match="'plastic' perhaps"):
        kitchen(NOW, (TUB, TUB.replace("plastic", "plastics")))


def test_the_page_names_every_material_use_and_air() -> None:
    from pathlib import Path

    page = (Path(__file__).parents[2] / "docs" / "kitchen.md").read_text(encoding="utf-8")
    for name in (*materials(), *VesselUse, *Lid, *Air, *VesselTable.model_fields):
        assert f"`{name}`" in page, name
    assert set(get_args(VesselTable.model_fields["use"].annotation)) == set(VesselUse)
    assert PlaceTable.model_fields["air"].description == "still, moving, fan or water"


def test_a_place_has_its_air() -> None:
    fridge = 'kind = "fridge"\ntemperature = "4.5C"\n'
    hall = kitchen(NOW, (fridge, fridge + 'air = "fan"\n'))
    assert hall.place("Fridge").air is Air.FAN
    assert hall.place("Hall").air is Air.STILL


def test_too_much_goes_into_the_largest_of_its_kind() -> None:
    hall = kitchen(NOW)
    assert hall.vessel_for((VesselUse.TUB,), 50.0).name == "Tub 3"
    assert hall.vessel_for((VesselUse.BOWL, VesselUse.TUB), 9.0).name == "Mixing bowl"


def test_a_kitchen_of_trays_only_has_something_to_mix_in() -> None:
    text = """
name = "A"
zone = "Europe/Dublin"
tap = "10C"
place = [
  { name = "Hall", kind = "room", temperature = "17C" },
  { name = "Fridge", kind = "fridge", temperature = "4C" },
]
vessel = [{ name = "Tray", tare = "800g", volume = "4l", material = "steel", use = "tray" }]
scale = [{ name = "S", step = "1g", capacity = "10kg" }]
oven = { name = "O", loaves = 2, rolls = 12, preheat = "60min" }
"""
    assert read_kitchen(text, NOW).vessel_for((VesselUse.TUB,), 3.0).name == "Tray"
