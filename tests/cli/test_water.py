"""`pointage water`: what it answers, and that it agrees with the engine."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.cli.app import run
from pointage.desk.water import water_for
from pointage.errors import InputError
from pointage.mixture.mixture import raw
from pointage.mixture.temper import temper

DOUGH = ("--target", "25C", "--water", "600g", "--part", "flour:600g@18C")


@given(
    flour_c=st.integers(10, 28),
    seed_c=st.integers(5, 30),
    seed_g=st.integers(20, 400),
    water_g=st.integers(500, 900),
    wanted_c=st.integers(20, 27),
    gained_k=st.integers(0, 3),
)
def test_the_command_and_the_engine_find_the_same_water(
    *, flour_c: int, seed_c: int, seed_g: int, water_g: int, wanted_c: int, gained_k: int
) -> None:
    salted = [
        raw({"wheat-white": 600.0}, celsius=flour_c),
        raw({"rye-whole": seed_g / 2}, water=seed_g / 2, celsius=seed_c),
        raw(salt=12.0, celsius=flour_c),
    ]
    engine = temper(salted, water_g, wanted_c, gained_k)
    answer = water_for(
        f"{wanted_c}C",
        f"{water_g}g",
        [f"wheat-white:600g@{flour_c}C", f"seed:{seed_g}g@{seed_c}C", f"salt:12g@{flour_c}C"],
        friction=f"{gained_k}C",
    )
    if engine.reached:
        assert answer.water_temperature_c == pytest.approx(engine.water_c, rel=1e-9)
        assert engine.mixture.temperature_c == pytest.approx(wanted_c, rel=1e-9)
    else:  # the engine stays within what yeast and ice water allow; this command says by how much
        assert not 1.0 <= answer.water_temperature_c <= 45.0


def test_both_methods_by_hand() -> None:
    """25 °C from flour at 18 °C, half and half by mass: 25 + 600·1.84·7/(600·4.18) = 28.08 °C.

    Factors: 3 × 25 − 18 − 20 − 2 = 35; with a levain at 24 °C, 4 × 25 − 18 − 20 − 24 − 2 = 36.
    """
    plain = water_for("25C", "600g", ["flour:600g@18C"])
    assert plain.water_temperature_c == pytest.approx(28.08, abs=0.005)
    worked = water_for("25C", "600g", ["flour:600g@18C"], friction="2C", room="20C")
    assert worked.factor_method_c == 35.0
    levain = ["flour:600g@18C", "levain:250g@24C"]
    with_levain = water_for("25C", "600g", levain, friction="2C", room="20C")
    assert with_levain.factor_method_c == 36.0


def test_the_flours_temperature_stands_for_a_room_that_is_not_given() -> None:
    parts = ["flour:500g@18C", "rye-whole:100g@24C"]  # 19 °C together
    assert water_for("25C", "600g", parts).factor_method_c == pytest.approx(3 * 25 - 19 - 19)


def test_a_cold_vessel_wants_warmer_water() -> None:
    """900 g of glass at 18 °C: 900·0.84·7/(600·4.18) = 2.11 K more."""
    plain = water_for("25C", "600g", ["flour:600g@18C"])
    in_glass = water_for("25C", "600g", ["flour:600g@18C"], vessel="glass:900g@18C")
    gap = in_glass.water_temperature_c - plain.water_temperature_c
    assert gap == pytest.approx(2.11, abs=0.005)


def test_the_water_in_an_ingredient_counts_as_water() -> None:
    """Milk is mostly water, so it takes more warmth than as much sugar."""
    with_milk = water_for("25C", "400g", ["flour:600g@25C", "milk:200g@5C"])
    with_sugar = water_for("25C", "400g", ["flour:600g@25C", "sugar:200g@5C"])
    # Milk: 0.88 water and 0.12 other, 3.90 kJ/(kg·K): 25 + 200·3.90·20/(400·4.18) = 34.3 °C.
    assert with_milk.water_temperature_c == pytest.approx(34.3, abs=0.1)
    assert with_milk.water_temperature_c > with_sugar.water_temperature_c + 4


def test_fahrenheit_and_celsius_are_one() -> None:
    celsius = water_for("25C", "600g", ["flour:600g@20C"], friction="2C")
    fahrenheit = water_for("77F", "600g", ["flour:600g@68F"], friction="3.6F")
    assert fahrenheit.water_temperature_c == pytest.approx(celsius.water_temperature_c)


def test_ice_only_for_a_tap_that_is_too_warm() -> None:
    warm_flour = ["flour:600g@30C"]
    assert water_for("22C", "600g", warm_flour).ice_g == 0.0
    assert water_for("22C", "600g", warm_flour, tap="10C").ice_g == 0.0
    iced = water_for("22C", "600g", warm_flour, tap="25C")
    # Water at 22 − 1.84·8/4.18 = 18.48 °C; 600 × 6.52 / (25 + 79.81) = 37.3 g.
    assert iced.ice_g == pytest.approx(37.3, abs=0.05)


def test_cautions() -> None:
    assert water_for("25C", "600g", ["flour:600g@18C"]).warnings == ()
    (hot,) = water_for("25C", "150g", ["flour:400g@5C"], tap="10C").warnings
    assert "above 45 °C harms yeast" in hot
    (cold,) = water_for("13C", "600g", ["flour:600g@35C"]).warnings
    assert "below 4 °C wants ice" in cold
    (frozen,) = water_for("8C", "600g", ["flour:600g@28C"], tap="10C").warnings
    assert "no water is below 0 °C" in frozen


@pytest.mark.parametrize(
    ("target", "parts", "way"),
    [("45C", ["flour:1kg@10C"], "or less"), ("4C", ["flour:4kg@35C"], "or more")],
)
def test_the_nearest_target_it_names_can_be_reached(
    target: str, parts: list[str], way: str
) -> None:
    with pytest.raises(InputError) as refused:
        water_for(target, "500g", parts)
    assert refused.value.field == "--target"
    nearest, rest = refused.value.expected.split(" ", 1)
    assert rest.startswith(way)
    water_for(nearest, "500g", parts)
    step = 0.2 if way == "or less" else -0.2
    with pytest.raises(InputError):
        water_for(f"{float(nearest.rstrip('C')) + step:.1f}C", "500g", parts)


def test_json_is_one_object_with_these_fields(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["water", *DOUGH, "--tap", "10C", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert set(answer) == {
        "water_temperature_c", "factor_method_c", "ice_g", "warnings", "why",
    }  # fmt: skip
    assert answer["water_temperature_c"] == 28.08
    assert answer["factor_method_c"] == 39.0
    assert answer["ice_g"] == 0.0
    assert answer["warnings"] == []


def test_printed_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["water", *DOUGH]) == 0
    first, second, why = capsys.readouterr().out.splitlines()
    assert first == "water  28.1 °C"
    assert second.strip() == "39 °C by the factor method"
    assert why.endswith("10.9 °C colder here.")
