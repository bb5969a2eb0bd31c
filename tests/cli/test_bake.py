"""`pointage bake`: what it answers."""

from __future__ import annotations

import json

import pytest

from pointage.cli.app import run
from pointage.desk.calculators.bake import bake_for
from pointage.errors import InputError

LOAF = ("bake", "--mass", "900g", "--shape", "boule", "--oven", "240C", "--from", "24C")


def test_json_is_one_object_with_these_fields(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*LOAF, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert {"minutes", "core", "bake_loss_fraction", "warnings", "caution"} <= set(answer)
    assert [set(row) for row in answer["core"]] == [{"minute", "temperature_c"}] * len(
        answer["core"]
    )
    assert [row["minute"] for row in answer["core"][:3]] == [0, 1, 2]
    assert answer["core"][0]["temperature_c"] == 24
    assert answer["core"][-1]["temperature_c"] == answer["done_core_c"] == 97
    assert 40 <= answer["minutes"] <= 50  # common practice, no source
    assert 0.08 <= answer["bake_loss_fraction"] <= 0.15
    assert answer["baked_g"] == pytest.approx(900 * (1 - answer["bake_loss_fraction"]), abs=0.1)


def test_every_option_is_used() -> None:
    plain = bake_for("900g", "boule", "240C", "24C")
    assert bake_for("900g", "boule", "464F", "75.2F").baked == plain.baked
    higher = bake_for("900g", "boule", "240C", "24C", altitude="1609m").baked
    assert higher.boils_c == pytest.approx(94.62, abs=0.01)  # ISO 2533 and the steam tables
    assert bake_for("900g", "boule", "240C", "24C", altitude="5280ft").baked.boils_c == (
        pytest.approx(higher.boils_c, abs=0.01)
    )
    asked = bake_for(
        "900g", "batard", "240C", "24C",
        core="95C", steam="5min", on="sheet", loaves="6", offset="-5C", bread="rye",
    ).asked  # fmt: skip
    assert (asked.shape, asked.core_c, asked.steam_minutes) == ("bâtard", 95.0, 5.0)
    assert (asked.stands, asked.loaves, asked.offset_k, asked.bread) == ("sheet", 6, -5.0, "rye")


def test_a_tin_has_no_steam_and_a_pot_its_lid_unless_told() -> None:
    assert bake_for("900g", "tin", "200C", "24C").asked.steam_minutes == 0
    assert bake_for("900g", "boule", "240C", "24C", on="pot").asked.steam_minutes == 20


def test_printed_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(LOAF) == 0
    out = capsys.readouterr().out
    first, second, third = out.splitlines()[:3]
    assert first.startswith("bake   4")
    assert first.endswith("until the core is at 97 °C")
    assert "% lost" in second
    assert third.startswith("cut    after")
    assert out.count("scald") == 1
    assert len(out.splitlines()) < 24


@pytest.mark.parametrize(
    ("changed", "field", "expected"),
    [
        ({"mass": "0g"}, "mass", "from 1 g to 10 kg"),
        ({"mass": "-900g"}, "mass", "not negative"),
        ({"mass": "20kg"}, "mass", "to 10 kg"),
        ({"shape": "bole"}, "shape", "boule, bâtard, tin, roll, flat; 'boule' perhaps"),
        ({"oven": "90C"}, "oven", "117 °C or more: the core is done at 97 °C"),
        ({"oven": "900C"}, "oven", "20 to 500 °C"),
        ({"start": "-4C"}, "from", "0 to 45 °C"),
        ({"altitude": "7000m"}, "altitude", "−450 to 6000 m"),
        ({"altitude": "7 leagues"}, "altitude", "−450 to 6000 m"),
        ({"core": "99.5C"}, "core", "the core gets no hotter"),
        ({"core": "93C", "altitude": "2000m"}, "core", "water boils at 93.3 °C at 2000 m"),
        ({"core": "24.1C"}, "core", "from 60 to 105"),
        ({"mass": "0.0001g"}, "mass", "from 1 g to 10 kg"),
        ({"steam": "3h"}, "steam", "0 to 60 minutes"),
        ({"on": "moss"}, "on", "stone, sheet, pot, tin"),
        ({"loaves": "0"}, "loaves", "whole number"),
        ({"offset": "90C"}, "offset", "−60 to 60 °C"),
        ({"bread": "brown"}, "type", "lean, soft, rye"),
    ],
)
def test_bad_input_names_its_field(changed: dict[str, str], field: str, expected: str) -> None:
    given = {"mass": "900g", "shape": "boule", "oven": "240C", "start": "24C"} | changed
    with pytest.raises(InputError) as refused:
        bake_for(**given)
    assert refused.value.field == field
    assert expected in refused.value.expected


@pytest.mark.parametrize(
    ("more", "named"),
    [(("--mass", "0g"), "--mass"), (("--oven", "90C"), "--oven"), (("--from", "x"), "--from")],
)
def test_on_the_command_line_it_is_one_line_and_status_2(
    more: tuple[str, str], named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*LOAF, *more]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.splitlines()) == 1
    assert named in told.err


def test_what_is_not_baked_through_is_told() -> None:
    (flag,) = bake_for("900g", "boule", "240C", "24C", core="80C").warnings
    assert "not baked through" in flag


def test_an_oven_that_may_be_in_other_degrees_is_asked_about(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert (
        run(["bake", "--mass", "900g", "--shape", "boule", "--oven", "475", "--from", "24C"]) == 0
    )
    assert "475 °C is unusual for an oven, or was it 475 °F?" in capsys.readouterr().out
    assert (
        run(["bake", "--mass", "900g", "--shape", "boule", "--oven", "475F", "--from", "24C"]) == 0
    )
    assert "or was it" not in capsys.readouterr().out
