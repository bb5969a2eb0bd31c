"""What a sack's own figures do, from the larder's form to forecast, plan, water and label."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from tests.web.stored_desk import NOW, hall

from pointage.daybook.bodies import BoughtBody
from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Wished
from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.compare import planned
from pointage.desk.larder.recorded import TakenOrCounted
from pointage.desk.plans.wished import WishedShape
from pointage.errors import InputError
from pointage.kitchen.culture_state import culture_at
from pointage.mixture.flours import FlourFigures, flour_record
from pointage.mixture.state import S
from pointage.mixture.traits import median_traits
from pointage.web.screens.larder.forms import purchase

SACK = {"item": "wheat-white", "mass": "25kg", "label": "W 0512", "bought": "2026-11-01"}
FIGURES = {
    "ash": "0.9",
    "falling_number": "180",
    "protein": "14",
    "moisture": "15.5",
    "absorption": "58",
}
OWN = FlourFigures(15.5, 14.0, 0.9, 180.0, 58.0, "W 0512")


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def buy(desk: StoredDesk, **fields: str) -> str:
    entry = str(uuid4())
    desk.larder.buy(entry, purchase({**SACK, **fields}, "EUR"), NOW)
    return entry


def test_without_a_sheet_there_are_no_figures(desk: StoredDesk) -> None:
    buy(desk)
    assert desk.kitchen().flours == {}


def test_the_sack_in_use_is_the_kitchen_s_flour(desk: StoredDesk) -> None:
    buy(desk, **FIGURES)
    assert desk.kitchen().flours == {"wheat-white": OWN}
    buy(desk, bought="2026-11-10", ash="0.5")
    assert desk.kitchen().flours == {"wheat-white": OWN}
    desk.larder.use(str(uuid4()), TakenOrCounted("wheat-white", Fraction(25_000)), NOW)
    assert desk.kitchen().flours == {"wheat-white": FlourFigures(ash=0.5, label="W 0512")}


def test_a_purchase_that_is_taken_back_takes_them_along(desk: StoredDesk) -> None:
    wrong = buy(desk, **FIGURES)
    desk.larder.take_back(str(uuid4()), wrong)
    assert desk.kitchen().flours == {}


def test_a_correction_puts_them_right(desk: StoredDesk) -> None:
    wrong = buy(desk, ash="0.9")
    body = {"item": "wheat-white", "grams": 25000.0, "ash": 0.6}
    desk.records.correct(str(uuid4()), wrong, body)
    assert desk.kitchen().flours == {"wheat-white": FlourFigures(ash=0.6)}


def test_they_reach_culture_dough_water_and_label(desk: StoredDesk) -> None:
    bare = desk.kitchen()
    loaf = desk.book.formula("harbour-loaf")
    protein = label_protein(desk)
    buy(desk, **FIGURES)
    sacked = desk.kitchen()
    traits, later = median_traits(), NOW + timedelta(hours=1)

    # A culture fed with it: the more ash, the higher its pH for the same acid.
    plover = bare.culture("Plover")
    held = [culture_at(plover, each, later, traits) for each in (bare, sacked)]
    phs = [float(each.states[0, S.PH]) for each in held]
    assert phs[1] > phs[0]

    # The dough of a plan: more buffer, livelier enzymes, damper flour.
    problems = [planned(loaf, each, NOW) for each in (bare, sacked)]
    records = [each.builds[-1].record for each in problems if each is not None]
    assert len(records) == 2
    assert records[1].ash_dry > records[0].ash_dry
    assert records[1].enzymes > records[0].enzymes
    assert records[1].moisture > records[0].moisture

    # The water: of the heat the flour's own moisture, of the grams its absorption.
    mix = desk.water.mix("harbour-loaf")
    assert mix.moisture("wheat-white") == 15.5
    assert "asks for" in mix.advice[0]
    assert "less water" in mix.advice[0]

    assert label_protein(desk) > protein


def label_protein(desk: StoredDesk) -> Fraction:
    found = desk.labels.label("harbour-loaf", style="eu", serving=None, loss=None, may_contain=())
    return found.per_100_g.amounts["protein"].known


def test_a_formula_s_own_figures_stand_before_the_sack_s(desk: StoredDesk) -> None:
    buy(desk, **FIGURES)
    loaf = desk.book.formula("harbour-loaf")
    own = FlourFigures(ash=0.5)
    problem = planned(replace(loaf, flours={"wheat-white": own}), desk.kitchen(), NOW)
    assert problem is not None
    assert problem.flours["wheat-white"] == own
    # What the culture is woken with is out of the sack all the same.
    assert problem.waking.record == flour_record("wheat-white", OWN)


@pytest.mark.parametrize(
    ("field", "text", "line"),
    [
        (
            "ash",
            "12",
            "ash: 12 cannot be used; expected an ash in percent of the dry matter, from 0.2 to 4",
        ),
        (
            "falling_number",
            "20",
            "falling_number: 20 s cannot be used; expected a falling number from 62 to 600 s",
        ),
        (
            "moisture",
            "60",
            "moisture: 60 cannot be used; "
            "expected a moisture in percent of the flour as bought, from 4 to 20",
        ),
        (
            "protein",
            "much",
            "protein: 'much' cannot be used; "
            "expected a protein in percent of the flour as bought, from 3 to 40",
        ),
    ],
)
def test_what_no_flour_has_is_refused_in_one_line(
    desk: StoredDesk, field: str, text: str, line: str
) -> None:
    with pytest.raises(InputError) as error:
        buy(desk, **{field: text})
    assert str(error.value).startswith(line)
    assert "\n" not in str(error.value)
    assert desk.larder.look(NOW).recent == ()


def test_salt_has_no_mill(desk: StoredDesk) -> None:
    with pytest.raises(InputError, match=r"ash: 0\.5 cannot be used; expected a mill's figure"):
        buy(desk, item="salt", ash="0.5")


def test_a_stored_figure_that_cannot_be_shuts_no_screen(desk: StoredDesk) -> None:
    body = {"item": "wheat-white", "grams": 1000.0, "ash": 12.0}
    entry = Entry(str(uuid4()), desk._id, EntryKind.BOUGHT, NOW, NOW, "baker", body)
    desk._store.append(entry)
    assert desk.kitchen().flours == {}
    assert desk.present().reasons[entry.id].field == "ash"
    assert desk.larder.look(NOW).shelves == ()  # a purchase with such a figure counts for nothing
    buy(desk, mass="2kg")
    (shelf,) = desk.larder.look(NOW).shelves
    assert shelf.stock_g == 2000


def test_a_body_says_them_and_comes_back_the_same() -> None:
    said = {"item": "wheat-white", "grams": 25000.0, "ash": 0.62, "falling_number": 250.0}
    body = BoughtBody.model_validate(said).model_dump(mode="json", exclude_none=True)
    assert body == said
    assert BoughtBody.model_validate({"item": "wheat-white", "grams": 1.0}).ash is None
    for figure, wrong in (("ash", 12), ("falling_number", 20), ("moisture", 60)):
        with pytest.raises(ValueError, match=figure):
            BoughtBody.model_validate({**said, figure: wrong})


def test_a_bake_keeps_the_figures_that_it_was_planned_with() -> None:
    wished = Wished("", "", NOW, Fraction(900), flours={"wheat-white": OWN})
    kept = WishedShape.model_validate(wished).model_dump(mode="json", exclude_defaults=True)
    assert WishedShape.model_validate(kept).made() == wished
    del kept["flours"]  # as an older release wrote it
    assert WishedShape.model_validate(kept).made().flours == {}


def test_figures_equal_to_the_record_s_change_no_culture(desk: StoredDesk) -> None:
    bare, plover = desk.kitchen(), desk.kitchen().culture("Plover")
    buy(desk, moisture="13.36", falling_number="300")
    one = median_traits()
    both = (bare, desk.kitchen())
    before, after = (culture_at(plover, each, NOW, one).states for each in both)
    assert np.array_equal(before, after)
