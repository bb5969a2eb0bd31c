"""Swaps and adjustments: the total kept where it should be, and what cannot be met explained."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.culture.mature import mature
from pointage.errors import InputError
from pointage.formula.adjust import (
    with_dough_yield,
    with_levain_hydration,
    with_ripening,
    with_salt,
)
from pointage.formula.file.read import read_formula
from pointage.formula.ingredients import ingredient
from pointage.formula.swap import swap_flour, takes_up
from pointage.mixture.hold import hold
from pointage.mixture.mixture import mix, raw
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import median_traits

FOLDER = Path(__file__).parents[2] / "examples" / "formulas"
HARBOUR = read_formula((FOLDER / "harbour-loaf.toml").read_text(encoding="utf-8"))
SPELT = read_formula((FOLDER / "sunday-spelt.toml").read_text(encoding="utf-8"))
RYE = read_formula((FOLDER / "tinned-rye.toml").read_text(encoding="utf-8"))
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def test_a_flour_that_drinks_more_gets_more_water() -> None:
    white, whole = ingredient("wheat-white"), ingredient("wheat-whole")
    assert white.absorption is not None
    assert whole.absorption is not None
    found = swap_flour(HARBOUR, "wheat-white", "wheat-whole", Fraction(1, 4))
    # A quarter of 80 % is 20 %, so the water grows by 20 % of the difference in absorption.
    gap = Fraction(str(whole.absorption)) - Fraction(str(white.absorption))
    assert found.water == 20 * gap / 100
    assert found.formula.total["water"] == 72 + found.water
    assert found.formula.total["wheat-white"] == 60
    assert found.formula.total["wheat-whole"] == 40
    # The levain is swapped alike and stays as wet as it was.
    levain = found.formula.levain
    assert levain is not None
    assert levain.hydration == Fraction("0.6")
    assert levain.ingredients["wheat-whole"] == Fraction("4.5")
    assert any("ash" in note for note in found.notes)


def test_without_absorption_protein_and_bran_tell() -> None:
    # Common practice, no source: 1.5 of water for protein, 1 for bran.
    was = replace(ingredient("wheat-white"), absorption=None, protein=10.0, fibre=2.0)
    will = replace(was, protein=13.0, fibre=10.0)
    water, by = takes_up(was, will)
    assert water == Fraction("0.125")
    assert "no source" in by


def test_there_and_back_is_where_it_was() -> None:
    there = swap_flour(HARBOUR, "wheat-white", "spelt-white").formula
    assert swap_flour(there, "spelt-white", "wheat-white").formula == HARBOUR


@given(st.fractions(Fraction(1, 2), 1, max_denominator=200))
def test_a_levain_of_another_hydration_changes_no_total(hydration: Fraction) -> None:
    for formula in (HARBOUR, SPELT):
        found = with_levain_hydration(formula, "Levain", hydration)
        assert found.total == formula.total
        assert found.levain is not None
        assert found.whole(found.levain).hydration == hydration
        assert found.prefermented_flour == formula.prefermented_flour


@given(st.fractions(150, 200, max_denominator=100))
def test_a_dough_yield_is_met(wanted: Fraction) -> None:
    assert with_dough_yield(SPELT, wanted).dough_yield == wanted


def test_salt_stays_where_it_is_held_back() -> None:
    found = with_salt(SPELT, Fraction("1.8"))
    assert found.total["salt"] == Fraction("1.8")
    assert found.additions[0].ingredients["salt"] == Fraction("1.8")
    assert "salt" not in with_salt(HARBOUR, Fraction()).total


@pytest.mark.parametrize("hours", [6.0, 10.0])
def test_a_ripening_time_finds_its_seed(hours: float) -> None:
    traits = median_traits()
    culture = mature({"wheat-white": 1.0}, 0.6, traits)
    place = Constant(25.0)
    found = with_ripening(
        HARBOUR, culture, place, start=NOON, hours=hours, celsius=25.0, traits=traits
    )
    levain = found.formula.levain
    assert levain is not None
    assert levain.seed == found.seed
    assert found.formula.total == HARBOUR.total
    # Mixed as the formula now says, by hand: 100 g of flour, 60 g of water, the seed in them.
    seed = culture.scaled(100 * float(found.seed))
    fresh = raw({"wheat-white": 100 - seed.flour}, 60 - seed.water, celsius=25.0)
    course = hold(mix([seed, fresh]).at_temperature(25.0), place, NOON, 3 * hours, traits)
    (begin,), (end,) = course.ripe()
    assert 0.5 * (begin + end) == pytest.approx(hours, abs=0.25)


def test_sooner_wants_more_seed() -> None:
    traits = median_traits()
    culture = mature({"wheat-white": 1.0}, 0.6, traits)
    seeds = [
        with_ripening(
            HARBOUR, culture, Constant(25.0), start=NOON, hours=hours, celsius=25.0, traits=traits
        ).seed
        for hours in (6.0, 8.0, 12.0)
    ]
    assert seeds == sorted(seeds, reverse=True)


def test_what_cannot_be_met_is_one_line() -> None:
    traits = median_traits()
    culture = mature({"wheat-white": 1.0}, 0.6, traits)
    with pytest.raises(
        InputError, match=r"ripe after: 0.5 h cannot be used; expected another time; seed"
    ):
        with_ripening(
            HARBOUR, culture, Constant(25.0), start=NOON, hours=0.5, celsius=25.0, traits=traits
        )
    with pytest.raises(InputError, match=r"dough yield: -?.* of water left in the Dough cannot"):
        with_dough_yield(RYE, Fraction(120))
    with pytest.raises(InputError, match=r"stage Levain, hydration: -.* left in the Dough .* Leva"):
        with_levain_hydration(HARBOUR, "Levain", Fraction(5))
    with pytest.raises(
        InputError, match=r"stage Levain, hydration: 10 % cannot be used; expected 20 % or"
    ):
        with_levain_hydration(SPELT, "Levain", Fraction(1, 10))
    with pytest.raises(InputError, match=r"salt: 9 % cannot be used; expected salt in percent"):
        with_salt(HARBOUR, Fraction(9))
    with pytest.raises(
        InputError, match=r"old flour: 'rye-whole' cannot be used; expected a flour of the"
    ):
        swap_flour(HARBOUR, "rye-whole", "wheat-white")
    with pytest.raises(
        InputError, match=r"new flour: 'rye-hole' cannot be used; expected an ingredient"
    ):
        swap_flour(HARBOUR, "wheat-white", "rye-hole")
