"""Cups and spoons: read as people write them, and never taken for the truth."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError, UnitError
from pointage.formula.file.measures import WRITTEN, Spoken, read_amount
from pointage.formula.ingredients import ingredients
from pointage.formula.volumes import grams_per_cup, in_grams, in_measures


@pytest.mark.parametrize(
    ("text", "low", "high", "unit"),
    [
        ("1 1/2 cups", "3/2", "3/2", "cup"),
        ("1½ cups", "3/2", "3/2", "cup"),
        ("½ tsp", "1/2", "1/2", "teaspoon"),
        ("2 T", "2", "2", "tablespoon"),
        ("2 t", "2", "2", "teaspoon"),
        ("2 Tbsp.", "2", "2", "tablespoon"),
        ("a pinch", "1", "1", "pinch"),
        ("Half a cup", "1/2", "1/2", "cup"),
        ("2-3 tbsp", "2", "3", "tablespoon"),
        ("1 1/2 to 2 cups", "3/2", "2", "cup"),
        ("93-95 °F", "93", "95", "°F"),
        ("34–35 °C", "34", "35", "°C"),
        ("0,5 l", "1/2", "1/2", "l"),
        ("250g", "250", "250", "g"),
        ("1.2 Kilos", "6/5", "6/5", "kg"),
        ("8 fl oz", "8", "8", "fluid ounce"),
        ("3", "3", "3", ""),
    ],
)
def test_it_reads_what_people_write(text: str, low: str, high: str, unit: str) -> None:
    assert read_amount(text) == Spoken(Fraction(low), Fraction(high), unit)


def test_a_range_has_a_middle() -> None:
    assert read_amount("93-95 °F").mid == 94
    assert str(read_amount("93-95 °F")) == "93 to 95 °F"


@pytest.mark.parametrize(
    "text", ["", "some", "1/0 cup", "5-3 cups", "2 handfuls", "-2 g", "1e9 g", "9" * 80, "½½ ½ cup"]
)
def test_it_refuses_in_one_line(text: str) -> None:
    with pytest.raises(UnitError, match=r"^salt: .* cannot be used; expected a"):
        read_amount(text, "salt")


AMOUNTS = st.builds(
    lambda low, more, unit: Spoken(Fraction(low, 8), Fraction(low + more, 8), unit),
    st.integers(1, 10_000),
    st.integers(0, 100),
    st.sampled_from(["", *WRITTEN]),
)


@given(AMOUNTS)
def test_what_is_written_is_read_back(amount: Spoken) -> None:
    assert read_amount(str(amount)) == amount


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    with suppress(UnitError):
        found = read_amount(text)
        assert 0 <= found.low <= found.mid <= found.high


def test_cups_are_those_of_the_table() -> None:
    # USDA SR28, seen: a cup of whole wheat flour 120 g, of bread flour 137 g, a tablespoon of
    # honey 21 g, so a cup 336 g.
    assert grams_per_cup("wheat-whole") == 120
    assert grams_per_cup("wheat-white") == 137
    assert in_grams("honey", read_amount("1 tbsp")) == 21
    assert in_measures("wheat-whole", Fraction(300)).text == "2 1/2 cups"
    assert in_measures("salt", Fraction(9)).text == "1 1/2 teaspoons"
    assert in_measures("honey", Fraction(21)).text == "1 tablespoon"


def test_it_says_how_far_it_can_be_off() -> None:
    exact = in_measures("wheat-whole", Fraction(120))
    rounded = in_measures("wheat-whole", Fraction(126))
    assert exact.text == rounded.text == "1 cup"
    assert exact.off == 15
    assert rounded.off == pytest.approx(15 + 100 * (1 - 120 / 126), abs=0.1)
    assert exact.source == "USDA SR28"
    assert in_measures("salt", Fraction(1, 10)).text == "less than 1/4 teaspoon"


def test_without_a_density_there_is_one_clear_error() -> None:
    with pytest.raises(
        InputError, match=r"no table gives the weight of a cup of Whole spelt flour$"
    ):
        in_grams("spelt-whole", read_amount("2 cups"), "spelt")
    with pytest.raises(InputError, match=r"^heat: .* expected a mass or a volume"):
        in_grams("water", read_amount("93-95 °F"), "heat")
    assert in_grams("spelt-whole", read_amount("2 oz")) == 2 * Fraction("28.349523125")


WEIGHED = sorted(it.name for it in ingredients().values() if it.volume is not None)


@given(st.sampled_from(WEIGHED), st.integers(1, 5000))
def test_a_measure_is_as_near_as_it_says(name: str, grams: int) -> None:
    found = in_measures(name, Fraction(grams))
    if found.text.startswith("less"):
        return
    volume = ingredients()[name].volume
    assert volume is not None
    back = float(in_grams(name, read_amount(found.text)))
    assert abs(back / grams - 1) * 100 <= found.off - volume.off + 0.1
