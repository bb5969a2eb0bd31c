"""A recipe that is pasted becomes a formula that is kept; and a method in one choice."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.formula_form import sent
from tests.web.screens.test_formula_pages import draft_of, get, press
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.methods import methods, with_method
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.web.app import create_app

RECIPE = Path("examples/recipes/country-loaf.txt").read_text("utf-8")


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def paste(desk: StoredDesk, text: str, country: str = "us") -> httpx.Response:
    data = {"text": text, "country": country}
    app = create_app(desk, lambda: NOW)
    return ask(app, "POST", f"{ORIGIN}/formulas/read", data=data, headers={"Origin": ORIGIN})


def draft_in(page: httpx.Response) -> str:
    match = re.search(r'name="draft" value="([^"]+)"', page.text)
    assert match
    return unescape(match[1])


def test_a_pasted_recipe_is_shown_line_by_line_and_kept(desk: StoredDesk) -> None:
    page = paste(desk, RECIPE)
    assert page.status_code == 200
    assert "taken as Medium rye flour" in page.text
    assert "left out of the dough" in page.text
    assert len(desk.book.latest()) == 4  # nothing is kept yet
    edit = get(desk, "/formulas/new", draft=draft_in(page), side="grams", method="hearth-retarded")
    assert edit.status_code == 200
    assert draft_of(edit).process is not None
    assert press(desk, edit, "keep").status_code == 200
    kept = desk.book.formula("country-loaf")
    assert kept.pieces == 2
    assert kept.process is not None
    # The grams of the text: 40 g and half of the 20 g of starter.
    gram = kept.pieces * kept.piece_g / sum(kept.total.values())
    assert kept.stage("Levain").ingredients["wheat-whole"] * gram == 50


@pytest.mark.parametrize("text", ["", "350 g water", "x" * 70_000, "\x00", "[" * 3000])
def test_what_is_no_recipe_comes_back_with_a_line(desk: StoredDesk, text: str) -> None:
    page = paste(desk, text)
    assert page.status_code == 422
    assert 'id="text-error"' in page.text


def test_the_country_is_guessed_from_the_kitchen(desk: StoredDesk) -> None:
    page = get(desk, "/formulas/read").text
    assert re.search(r'value="gb" selected', page)  # Skerry Hall's clock is Dublin's
    paste(desk, "500 g corn flour", "nowhere")  # a country that is none is as none


def test_an_ingredient_is_found_by_what_people_call_it(desk: StoredDesk) -> None:
    page = get(desk, "/formulas/new")
    known = page.text[page.text.index('<datalist id="known">') :]
    offered = dict(re.findall(r'<option value="([^"]+)">([^<]*)</option>', known))
    assert "wholemeal bread flour" in unescape(offered["Wholemeal flour"])
    for typed, record in (("wholemeal", "wheat-whole"), ("cornflour", "maize-starch")):
        page = press(desk, page, "row", {"row": typed})
        assert record in sent(page.text)["extra"].split()
    wrong = press(desk, page, "row", {"row": "bred flour"})
    assert wrong.status_code == 422
    assert "bread flour" in wrong.text


def test_a_method_fills_the_fields_and_each_can_be_changed(desk: StoredDesk) -> None:
    page = get(desk, "/formulas/new")
    page = press(desk, page, "method", {"method": "rolls", "process-mix": "half typed"})
    assert page.status_code == 200
    assert sent(page.text)["process-shape"] == "roll"
    assert sent(page.text)["process-bulk_place"] == "Boiler cupboard"
    page = press(desk, page, "look", {"process-folds": "1"})
    process = draft_of(page).process
    assert process is not None
    assert process.folds == 1
    assert press(desk, page, "method", {"method": "cake"}).status_code == 422


@pytest.mark.parametrize("kind", methods())
def test_every_method_is_a_formula_s(desk: StoredDesk, kind: str) -> None:
    formula = with_method(desk.book.formula("sunday-spelt"), kind, desk.kitchen())
    assert formula.process is not None
    assert read_formula(write_formula(formula)).process == formula.process
