"""A formula made for people, for a tin, and with a levain of another hydration."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.on_hand import as_on_hand
from pointage.desk.formulas.scale import Wants, scale_formula
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.web.app import create_app

LOAF = read_formula(demonstration_formulas()["harbour-loaf"])


@given(st.integers(50, 160), st.integers(1, 40))
def test_the_dough_stays_the_same_with_a_levain_of_another_hydration(percent: int, n: int) -> None:
    other = as_on_hand(LOAF, Wants(levain_hydration=Fraction(percent, 100)))
    assert other.total == LOAF.total
    assert other.prefermented_flour == LOAF.prefermented_flour
    assert other.whole(other.builds[-1]).hydration == Fraction(percent, 100)
    moved = other.dough.ingredients["water"] - LOAF.dough.ingredients["water"]
    levain = LOAF.whole(LOAF.builds[-1])
    assert moved == levain.water - Fraction(percent, 100) * levain.flour
    wants = Wants(levain_hydration=Fraction(percent, 100))
    batch = scale_formula(LOAF, n, None, Fraction(1), wants=wants).batch
    plain = scale_formula(LOAF, n, None, Fraction(1)).batch
    assert {r.name: r.grams for r in batch.rows} == {r.name: r.grams for r in plain.rows}


@given(st.integers(0, 40), st.integers(0, 400))
def test_the_dough_stays_the_same_with_a_levain_of_other_flour_and_with_discard(
    whole: int, grams: int
) -> None:
    """What the dough has is moved; what it has none of stands in for the rest, all flour kept."""
    share = Fraction(whole, 100)
    flours = {"wheat-white": 1 - share, "wheat-whole": share}
    wants = Wants(levain_flours=flours, discard_g=Fraction(grams + 1))
    found = scale_formula(LOAF, 2, None, Fraction(1), wants=wants)
    assert found.formula.total == LOAF.total
    assert found.formula.hydration == LOAF.hydration
    levain = found.formula.whole(found.formula.builds[-1])
    assert levain.ingredients.get("wheat-whole", 0) == levain.flour * share
    (discard,) = (each for each in found.batch.stages if each.name == "Discard")
    assert abs(discard.whole_g - grams - 1) <= 2  # a step for each of its rows
    foreign = scale_formula(
        LOAF, 2, None, Fraction(1), wants=Wants(levain_flours={"rye-whole": Fraction(1)})
    )
    assert foreign.formula.total["rye-whole"] == LOAF.prefermented_flour * 100
    assert foreign.formula.hydration == LOAF.hydration
    assert any("stands in for other flour" in note for note in foreign.notes)


def test_a_levain_s_age_says_how_it_is_and_what_it_does_to_the_bulk(tmp_path: Path) -> None:
    """A young one makes a longer bulk than a ripe one: common practice, no source."""
    desk = hall(tmp_path)
    kitchen = desk.kitchen()
    said, hours = [], []
    for age in (1.0, 6.0, 30.0):
        wants = Wants(levain_age_h=age)
        found = scale_formula(LOAF, 2, None, Fraction(1), wants=wants, kitchen=kitchen, now=NOW)
        said.append(found.notes[0])
        hours.append(found.notes[1])
    assert "is young" in said[0]
    assert "is ripe" in said[1]
    assert "past its best" in said[2]
    assert len(set(hours)) == 3


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("levain-flour=rye-whole 60", "flours that come to 100 %"),
        ("levain-flour=honey", "a kind of flour"),
        ("levain-age=99", "0 to 48 hours"),
        ("discard=9kg", "up to"),
    ],
)
def test_what_cannot_be_on_hand_is_said_at_its_field(tmp_path: Path, path: str, line: str) -> None:
    app = create_app(hall(tmp_path), lambda: NOW)
    page = ask(app, "GET", f"{ORIGIN}/formulas/harbour-loaf?pieces=2&{path}")
    assert page.status_code == 422
    assert line in page.text
    assert f'id="want-{path.partition("=")[0]}-error"' in page.text


def test_so_much_of_a_stiffer_levain_makes_more_dough() -> None:
    stiff = Wants(levain_g=Fraction(300), levain_hydration=Fraction(1, 2))
    as_it_is = Wants(levain_g=Fraction(300))
    made = [
        scale_formula(LOAF, 4, None, Fraction(1), wants=each).batch.total_g
        for each in (as_it_is, stiff)
    ]
    own = LOAF.whole(LOAF.builds[-1]).hydration
    assert float(made[1] / made[0]) == pytest.approx(float((1 + own) / Fraction(3, 2)), rel=1e-3)


def test_a_levain_that_the_dough_has_no_water_for_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        as_on_hand(LOAF, Wants(levain_hydration=Fraction(99)))
    assert refused.value.field == "levain-hydration"


def test_for_people_and_for_a_tin() -> None:
    # 12 people, 120 g each, of loaves of 850 g that lose 12 %: 1440 / 748 is two loaves.
    found = scale_formula(LOAF, None, Fraction(850), Fraction(1), wants=Wants(people=12))
    assert found.batch.pieces == 2
    # A litre of dough that has just been mixed weighs a little over a kilogram.
    rise = LOAF.process.proof_rise[1] if LOAF.process else 2.0
    tin = scale_formula(LOAF, 1, None, Fraction(1), wants=Wants(tin_l=Fraction(2))).batch.piece_g
    assert 2000 / rise < tin < 2400 / rise
    plenty = Wants(people=12, levain_g=Fraction(9000))
    assert scale_formula(LOAF, None, None, Fraction(1), wants=plenty).batch.piece_g == LOAF.piece_g
    with pytest.raises(InputError, match="either people or pieces"):
        scale_formula(LOAF, 3, None, Fraction(1), wants=Wants(people=12))


def test_the_page_says_what_moves_and_what_is_a_guess(tmp_path: Path) -> None:
    desk: StoredDesk = hall(tmp_path)
    app = create_app(desk, lambda: NOW)
    path = "/formulas/harbour-loaf?pieces=12&piece=850g&levain-hydration=80&people=24&tin=2l"
    page = ask(app, "GET", ORIGIN + path)
    assert page.status_code == 200
    assert "The levain has 80 % water, not 60 %" in page.text
    assert "Go by the rise." in page.text
    assert (
        ask(app, "GET", ORIGIN + "/formulas/harbour-loaf?levain-hydration=900").status_code == 422
    )
