"""What bread contains: against a case calculated by hand, and what holds of any sum."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError
from pointage.formula.ingredients import ingredients
from pointage.formula.label.nutrition import (
    baked,
    contents,
    usual_loss,
    with_eu_energy,
)

# By hand, from USDA SR28: 1000 g of whole wheat flour (20080), 700 g of water, 20 g of salt
# (02047), 1720 g of dough that loses 12 %, 206.4 g, and leaves 1513.6 g of bread.
#
#   energy   10 × 340                 = 3400 kcal      / 15.136 = 224.630 kcal in 100 g
#   protein  10 × 13.21               = 132.1 g        / 15.136 = 8.7275 g
#   fat      10 × 2.50                = 25 g           / 15.136 = 1.6517 g
#   carb.    10 × 71.97               = 719.7 g        / 15.136 = 47.549 g
#   fibre    10 × 10.7                = 107 g          / 15.136 = 7.0692 g
#   sodium   10 × 2 + 0.2 × 38758     = 7771.6 mg      / 15.136 = 513.451 mg
#   salt     513.451 mg × 2.5 / 1000                             = 1.28363 g
#   iron     10 × 3.60 + 0.2 × 0.33   = 36.066 mg      / 15.136 = 2.38280 mg
#   calcium  10 × 34 + 0.2 × 24       = 344.8 mg       / 15.136 = 22.7801 mg
#   water    10 × 10.74 + 700 + 0.04 − 206.4 = 601.04 g / 15.136 = 39.7093 g
HAND = {"wheat-whole": Fraction(1000), "water": Fraction(700), "salt": Fraction(20)}
PER_100_G = {
    "energy": 224.630, "protein": 8.7275, "fat": 1.6517, "carbohydrate": 47.549,
    "fibre": 7.0692, "sodium": 513.451, "salt": 1.28363, "iron": 2.38280, "calcium": 22.7801,
    "water": 39.7093,
}  # fmt: skip
LOSS = Fraction(12, 100)


def test_it_is_what_a_hand_calculates() -> None:
    bread = baked(contents(HAND), LOSS).per(Fraction(100))
    for figure, expected in PER_100_G.items():
        assert float(bread.amounts[figure].known) == pytest.approx(expected, rel=2e-5)
        assert not bread.amounts[figure].missing


def test_energy_by_european_factors() -> None:
    # By hand: (719.7 − 107) × 17 + 132.1 × 17 + 25 × 37 + 107 × 8 = 14442.6 kJ, and by 4, 4, 9
    # and 2: 2450.8 + 528.4 + 225 + 214 = 3418.2 kcal; in 1513.6 g of bread.
    bread = with_eu_energy(baked(contents(HAND), LOSS)).per(Fraction(100))
    assert float(bread.amounts["energy_kj"].known) == pytest.approx(14442.6 / 15.136, rel=1e-9)
    assert float(bread.amounts["energy"].known) == pytest.approx(3418.2 / 15.136, rel=1e-9)


def test_what_is_not_known_is_named() -> None:
    found = contents({**HAND, "durum": Fraction(100)})
    assert found.amounts["sugars"].missing == ("durum",)
    assert found.amounts["sugars"].known == Fraction("4.1")  # the whole wheat's
    assert found.amounts["protein"].missing == ()
    assert baked(found, LOSS).per(Fraction(50)).amounts["sugars"].missing == ("durum",)


def test_no_mass_and_too_much_loss_are_refused() -> None:
    with pytest.raises(InputError, match="more than 0 g of at least one"):
        contents({})
    with pytest.raises(
        InputError, match=r"loss: 60 % cannot be used; expected from 0 to the 47 % of w"
    ):
        baked(contents(HAND), Fraction(60, 100))


@pytest.mark.parametrize(
    ("shape", "grams", "percent"),
    [
        ("roll", 90, 15),
        ("boule", 450, 13),
        ("boule", 900, 12),
        ("tin", 1000, 9),
        ("boule", 3000, 9),
    ],
)
def test_small_pieces_lose_more(shape: str, grams: int, percent: int) -> None:
    # 8 to 15 %, the smaller the more: common practice, no source.
    assert usual_loss(shape, Fraction(grams)) == Fraction(percent, 100)


NAMES = sorted(ingredients())
DOUGHS = st.dictionaries(
    st.sampled_from(NAMES),
    st.fractions(min_value=Fraction(1, 10), max_value=10_000, max_denominator=100),
    min_size=1,
    max_size=8,
)


@given(DOUGHS, st.fractions(min_value=Fraction(1, 50), max_value=50, max_denominator=100))
def test_totals_grow_with_grams(dough: dict[str, Fraction], factor: Fraction) -> None:
    one = contents(dough)
    many = contents({name: factor * grams for name, grams in dough.items()})
    for figure, amount in one.amounts.items():
        assert many.amounts[figure] == amount * factor
    assert one.per(one.mass_g * factor) == many


@given(DOUGHS)
def test_the_order_of_ingredients_does_not_matter(dough: dict[str, Fraction]) -> None:
    assert contents(dict(reversed(dough.items()))) == contents(dough)


@given(DOUGHS, DOUGHS)
def test_totals_of_two_are_those_of_both(
    one: dict[str, Fraction], other: dict[str, Fraction]
) -> None:
    both = dict(one)
    for name, grams in other.items():
        both[name] = both.get(name, Fraction()) + grams
    together, apart = contents(both), (contents(one), contents(other))
    for figure, amount in together.amounts.items():
        assert amount == apart[0].amounts[figure] + apart[1].amounts[figure]
