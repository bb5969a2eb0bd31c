"""`pointage water`: what it answers, and that it agrees with the engine."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.cli.app import run
from pointage.desk.calculators.water import water_for
from pointage.errors import InputError
from pointage.mixture.mixture import raw
from pointage.mixture.temperature.temper import temper

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
        [
            f"wheat-white:600g@{flour_c}C",
            f"rye-whole:{seed_g / 2}g@{seed_c}C",
            f"water:{seed_g / 2}g@{seed_c}C",
            f"salt:12g@{flour_c}C",
        ],
        friction=f"{gained_k}C",
    )
    if engine.reached:
        assert answer.water_temperature_c == pytest.approx(engine.water_c, rel=1e-9)
        assert engine.mixture.temperature_c == pytest.approx(wanted_c, rel=1e-9)
    else:  # the engine stays within what yeast and ice water allow; this command says by how much
        assert not 1.0 <= answer.water_temperature_c <= 40.0


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
    assert "above 40 °C harms yeast" in hot
    (cold,) = water_for("13C", "600g", ["flour:600g@35C"]).warnings
    assert "below 4 °C needs ice" in cold
    (frozen,) = water_for("8C", "600g", ["flour:600g@28C"], tap="10C").warnings
    assert "no water is below 0 °C" in frozen


@pytest.mark.parametrize(
    ("target", "parts", "way"),
    [("40C", ["flour:1kg@10C"], "or less"), ("4C", ["flour:4kg@35C"], "or more")],
)
def test_the_nearest_target_it_names_can_be_reached(
    target: str, parts: list[str], way: str
) -> None:
    with pytest.raises(InputError) as refused:
        water_for(target, "500g", parts)
    assert refused.value.field == "--target"
    nearest, rest = refused.value.expected.split(" °C ", 1)
    assert rest.startswith(way)
    water_for(f"{nearest}C", "500g", parts)
    step = 0.2 if way == "or less" else -0.2
    with pytest.raises(InputError):
        water_for(f"{float(nearest) + step:.1f}C", "500g", parts)


def test_json_is_one_object_with_these_fields(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["water", *DOUGH, "--tap", "10C", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert set(answer) == {
        "water_temperature_c", "factor_method_c", "ice_g", "warnings", "why",
        "liquid_g", "friction_k", "wetting_k",
    }  # fmt: skip
    assert answer["water_temperature_c"] == 28.08
    assert answer["factor_method_c"] == 39.0
    assert answer["ice_g"] == 0.0
    assert answer["warnings"] == []


def test_printed_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["water", *DOUGH]) == 0
    first, second, why = capsys.readouterr().out.splitlines()
    assert first == "water  28 °C"
    assert second.strip() == "39 °C by the factor method"
    assert "11 °C colder here." in why


def test_a_mixture_is_as_wet_as_it_is_said_to_be() -> None:
    """100 g of flour and 60 g of water apart, or together as 160 g of levain/60."""
    apart = water_for("25C", "500g", ["flour:900g@18C", "flour:100g@24C", "water:60g@24C"])
    together = water_for("25C", "500g", ["flour:900g@18C", "levain/60:160g@24C"])
    assert together.water_temperature_c == pytest.approx(apart.water_temperature_c, rel=1e-12)
    percent = water_for("25C", "500g", ["flour:900g@18C", "levain/60%:160g@24C"])
    assert percent.water_temperature_c == together.water_temperature_c
    half = water_for("25C", "500g", ["flour:900g@18C", "levain:160g@24C"])
    hundred = water_for("25C", "500g", ["flour:900g@18C", "levain/100:160g@24C"])
    assert half == hundred


def test_ice_among_the_parts_by_hand() -> None:
    """100 g of ice at 0 °C in a mix at 20: 0.1·(333.6 + 4.18·20) kJ, over 0.5·4.18 of water."""
    without = water_for("20C", "500g", ["flour:1kg@20C"])
    iced = water_for("20C", "500g", ["flour:1kg@20C", "ice:100g@0C"])
    by_hand = 0.1 * (333.6 + 4.18 * 20) / (0.5 * 4.18)
    assert iced.water_temperature_c - without.water_temperature_c == pytest.approx(by_hand)
    colder = water_for("20C", "500g", ["flour:1kg@20C", "ice:100g@-18C"])
    # Ice warms to 0 °C by some 2.0 kJ/(kg·K).
    more = colder.water_temperature_c - iced.water_temperature_c
    assert more == pytest.approx(0.1 * 2.0 * 18 / (0.5 * 4.18), rel=0.02)


def test_a_frozen_levain_must_be_thawed() -> None:
    chilled = water_for("25C", "600g", ["flour:1kg@18C", "levain:100g@0C"])
    frozen = water_for("25C", "600g", ["flour:1kg@18C", "levain:100g@-18C"])
    assert frozen.water_temperature_c > chilled.water_temperature_c + 5
    assert chilled.warnings == ()
    assert any("frozen through" in each for each in frozen.warnings)
    # Flour's water is bound, so that flour does not freeze.
    cold = water_for("15C", "600g", ["flour:1kg@-18C"])
    assert cold.water_temperature_c == pytest.approx(15 + 1.84 * 33 / (0.6 * 4.18))
    assert cold.warnings == ()


def test_mixing_is_calculated_as_work_and_wetting() -> None:
    """By hand, 1.6 kg of dough for 10 min at 0.1 kJ/kg a minute and 10.59 kJ of wetting."""
    worked = water_for("25C", "600g", ["flour:1kg@18C"], mixing=["hand:10min"])
    capacity = 1.84 + 0.6 * 4.18
    assert worked.friction_k == pytest.approx((1.6 * 0.1 * 10 + 10.59) / capacity, rel=1e-3)
    assert "which is counted" in worked.why
    same = water_for("25C", "600g", ["flour:1kg@18C"], friction=f"{worked.friction_k}C")
    assert same.water_temperature_c == pytest.approx(worked.water_temperature_c)
    assert "friction as measured has" in same.why
    machine = ["spiral-slow:3min", "spiral-fast:4min"]
    fast = water_for("25C", "600g", ["flour:1kg@18C"], mixing=machine)
    assert fast.water_temperature_c < worked.water_temperature_c - 3


def test_flour_that_is_wet_already_gives_no_more_heat() -> None:
    dry = water_for("25C", "600g", ["flour:500g@18C"])
    soaked = water_for("25C", "600g", ["soaker/60:800g@18C"])
    assert dry.wetting_k > 1.0
    assert soaked.wetting_k == 0.0


def test_a_scald_may_have_boiling_water_and_a_dough_may_not() -> None:
    """65 °C from flour at 18 °C and twice its water: 65 + 300·1.84·47/(600·4.18) = 75.3 °C."""
    scald = water_for("65C", "600g", ["flour:300g@18C"], scald=True)
    assert scald.water_temperature_c == pytest.approx(75.34, abs=0.01)
    (caution,) = scald.warnings
    assert "scalds" in caution
    assert scald.factor_method_c is None
    with pytest.raises(InputError, match="50 °C is the limit") as refused:
        water_for("65C", "600g", ["flour:300g@18C"])
    assert "--scald" in str(refused.value)
    with pytest.raises(InputError, match="it boils at 100 °C"):
        water_for("90C", "600g", ["flour:300g@18C"], scald=True)


def test_water_boils_sooner_in_the_mountains() -> None:
    """94.98 °C at 1500 m by the standard atmosphere and IAPWS: no water is hotter."""
    flour = ["flour:300g@18C"]
    assert water_for("82C", "600g", flour, scald=True).water_temperature_c < 100
    with pytest.raises(InputError, match="it boils at 95 °C"):
        water_for("82C", "600g", flour, scald=True, altitude="1500m")
    with pytest.raises(InputError, match="at most 95C, where water boils"):
        water_for("60C", "600g", [*flour, "water:50g@97C"], scald=True, altitude="1500m")
