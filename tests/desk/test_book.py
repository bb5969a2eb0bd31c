"""The formula book on a real store: revisions, drafts kept, costs, and what if."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from tests.web.stored_desk import NOW, hall

from pointage.daybook.errors import StaleRevisionError
from pointage.desk.answers import NotThere
from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.draft import Draft, TypedCells
from pointage.desk.formulas.scale import Wants
from pointage.desk.formulas.what_if import WhatIf, what_if
from pointage.desk.kitchen.kitchens import (
    demonstration_formulas,
    demonstration_larder,
    demonstration_text,
)
from pointage.desk.opening import stock_up
from pointage.errors import InputError
from pointage.formula.compare import Reading
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.formula import Formula
from pointage.kitchen.file.read import read_kitchen
from pointage.web.screens.formula_book.view import wish_forms

LOAF = read_formula(demonstration_formulas()["harbour-loaf"])
KITCHEN = read_kitchen(demonstration_text(), NOW)


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def wetter(text: str = "75") -> str:
    return write_formula(Draft(LOAF, TypedCells.TOTAL).read({"cell-total-water": text}))


def test_each_revision_stays_with_when_it_was_kept(desk: StoredDesk) -> None:
    kept = desk.book.keep(wetter(), "harbour-loaf", 1)
    assert (kept.revision, kept.kept) == (2, NOW)
    first, second = desk.book.revisions("harbour-loaf")
    assert first.text == demonstration_formulas()["harbour-loaf"]
    assert second == kept
    assert desk.book.formula("harbour-loaf").hydration == Fraction(75, 100)
    assert desk.book.formula("harbour-loaf", 1).hydration == Fraction(72, 100)


def test_the_same_again_is_no_revision(desk: StoredDesk) -> None:
    text = demonstration_formulas()["harbour-loaf"]
    assert desk.book.keep(text, "harbour-loaf", 1).revision == 1
    assert len(desk.book.revisions("harbour-loaf")) == 1


def test_a_draft_of_an_older_revision_is_not_kept_over_a_newer(desk: StoredDesk) -> None:
    desk.book.keep(wetter(), "harbour-loaf", 1)
    with pytest.raises(StaleRevisionError, match="1 of formula 'harbour-loaf'"):
        desk.book.keep(wetter("76"), "harbour-loaf", 1)
    assert len(desk.book.revisions("harbour-loaf")) == 2


@pytest.mark.parametrize("name", ["Harbour loaf", "New", "Compare"])
def test_a_new_formula_needs_a_name_of_its_own(desk: StoredDesk, name: str) -> None:
    text = write_formula(replace(LOAF, name=name))
    with pytest.raises(InputError) as caught:
        desk.book.keep(text)
    assert caught.value.field == "name"


def test_a_formula_that_is_called_otherwise_stays_where_it_was(desk: StoredDesk) -> None:
    desk.book.keep(write_formula(replace(LOAF, name="Quay loaf")), "harbour-loaf", 1)
    found = next(each for each in desk.formulas() if each.name == "Quay loaf")
    assert found.slug == "harbour-loaf"
    assert desk.formula("harbour-loaf", None, None).summary.slug == "harbour-loaf"


def test_what_is_no_formula_is_not_kept(desk: StoredDesk) -> None:
    with pytest.raises(InputError):
        desk.book.keep("name = 'Half'", "harbour-loaf", 1)
    assert len(desk.book.revisions("harbour-loaf")) == 1
    with pytest.raises(NotThere):
        desk.book.revision("harbour-loaf", 2)
    with pytest.raises(NotThere):
        desk.book.revision("stollen")


def told(desk: StoredDesk, before: Formula, after: Formula) -> dict[str, tuple[Reading, Reading]]:
    return {e.name: (e.before, e.after) for e in desk.book.compare(before, after).consequences}


def test_a_draft_says_what_it_costs_where_all_of_it_has_a_price(desk: StoredDesk) -> None:
    twice = replace(LOAF, piece_g=2 * LOAF.piece_g)
    assert "cost of a piece" not in told(desk, LOAF, twice)
    stock_up(desk, demonstration_larder(), NOW)
    before, after = told(desk, LOAF, twice)["cost of a piece"]
    assert isinstance(before, float)
    assert isinstance(after, float)
    assert before < after


def test_a_warmer_or_wetter_dough_has_another_bulk(desk: StoredDesk) -> None:
    before, after = told(desk, LOAF, read_formula(wetter("80")))["bulk"]
    assert before != after


def test_a_batch_made_to_flour_on_hand_leaves_no_more_than_a_piece(desk: StoredDesk) -> None:
    sheet = desk.book.sheet("harbour-loaf", None, None, Wants(flour_on_hand=("5kg",)))
    flour_g = sum(row.total_g or 0 for row in sheet.rows[:2])
    a_piece_g = LOAF.piece_g * 100 / sum(LOAF.total.values())
    assert 5000 - a_piece_g < flour_g <= 5000


def asked(wish: WhatIf, **typed: str) -> Formula:
    return what_if(LOAF, wish, wish_forms(LOAF)[wish].read(typed), KITCHEN, NOW).formula


def test_another_flour_takes_its_own_water_unless_told_otherwise() -> None:
    swap = {"old": "wheat-white", "new": "rye-whole", "share": "20 %"}
    found = asked(WhatIf.FLOUR, **swap)
    assert found.total["rye-whole"] == 16  # a fifth of 80
    assert found.total["water"] > 72
    assert asked(WhatIf.FLOUR, **swap, keep="yes").total["water"] == 72


def test_yield_salt_and_levain_change_only_what_they_name() -> None:
    assert asked(WhatIf.YIELD, **{"yield": "168"}).hydration == Fraction(68, 100)
    assert asked(WhatIf.SALT, salt="1.8").total["salt"] == Fraction(18, 10)
    stiff = asked(WhatIf.LEVAIN, stage="Levain", hydration="50")
    assert stiff.stages[0].hydration == Fraction(1, 2)
    assert stiff.total == LOAF.total


@pytest.mark.parametrize(
    ("wish", "typed", "field"),
    [
        (WhatIf.FLOUR, {"old": "wheat-white", "new": "sawdust"}, "new"),
        (WhatIf.FLOUR, {"old": "oats", "new": "rye-whole"}, "old"),
        (WhatIf.FLOUR, {"old": "wheat-white", "new": "rye-whole", "share": "much"}, "share"),
        (WhatIf.YIELD, {"yield": "90"}, "yield"),
        (WhatIf.SALT, {"salt": "40"}, "salt"),
        (WhatIf.LEVAIN, {"stage": "Levain", "hydration": ""}, "hydration"),
        (WhatIf.LEVAIN, {"stage": "Other", "hydration": "60"}, "stage"),
        (WhatIf.RIPE, {"hours": "soon"}, "hours"),
    ],
)
def test_what_cannot_be_asked_is_told_by_its_field(
    desk: StoredDesk, wish: WhatIf, typed: dict[str, str], field: str
) -> None:
    with pytest.raises(InputError) as caught:
        what_if(LOAF, wish, wish_forms(LOAF)[wish].read(typed), desk.kitchen(), NOW)
    assert caught.value.field == field


def test_a_longer_time_wants_less_seed(desk: StoredDesk) -> None:
    seeds = [
        what_if(LOAF, WhatIf.RIPE, {"hours": hours}, desk.kitchen(), NOW).formula.stages[0].seed
        for hours in (6.0, 9.0)
    ]
    assert seeds[0] is not None
    assert seeds[1] is not None
    assert seeds[0] > seeds[1]
    with pytest.raises(InputError) as caught:
        what_if(LOAF, WhatIf.RIPE, {"hours": 0.2}, desk.kitchen(), NOW + timedelta(hours=1))
    assert caught.value.field == "hours"
