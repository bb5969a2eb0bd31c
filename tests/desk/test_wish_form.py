"""Plan a bake: its culture, what the last bake had, and what a formula lacks for a plan."""

from __future__ import annotations

import re
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

FORM = {"formula": "harbour-loaf", "pieces": "4", "day": "2026-12-05", "clock": "09:00"}
BARE = """
name = "Bare loaf"
pieces = 2
piece = "900g"
[total]
wheat-white = 100
water = 70
salt = 2
[[stage]]
name = "Levain"
kind = "levain"
flour = 15
water = 100
seed = "fit"
[[stage]]
name = "Dough"
kind = "dough"
"""


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def page(desk: StoredDesk, path: str) -> str:
    return str(ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path).text)


def send(desk: StoredDesk, **fields: str) -> tuple[int, str]:
    app = create_app(desk, lambda: NOW)
    data = {**FORM, "entry": str(uuid4()), **fields}
    answer = ask(app, "POST", f"{ORIGIN}/week/wish", data=data, headers={"Origin": ORIGIN})
    return answer.status_code, answer.text


def chosen(html: str, name: str) -> str:
    select = re.search(rf'<select id="{name}".*?</select>', html, re.DOTALL)
    assert select is not None
    found = re.search(r'value="([^"]*)" selected', select[0])
    return found[1] if found else ""


def test_a_bake_is_raised_by_the_culture_that_is_chosen_and_the_next_form_remembers(
    desk: StoredDesk,
) -> None:
    own = desk.book.formula("harbour-loaf").culture
    other = next(each.name for each in desk.kitchen().cultures if each.name != own)
    assert chosen(page(desk, "/week/wish?formula=harbour-loaf"), "culture") == ""
    status, text = send(desk, culture=other)
    assert status == 303, text
    (bake,) = desk.bakes()
    assert bake.plan.culture == other
    again = page(desk, "/week/wish?formula=harbour-loaf")
    assert chosen(again, "culture") == other
    assert 'name="pieces" inputmode="numeric" autocomplete="off" value="4"' in again
    assert desk.book.formula("harbour-loaf").culture == own


def test_what_a_formula_lacks_is_asked_before_it_is_planned_and_filled_in(desk: StoredDesk) -> None:
    slug = desk.book.keep(BARE).slug
    assert "this formula does not say how it is worked" in page(desk, f"/week/wish?formula={slug}")
    assert 'name="method"' not in page(desk, "/week/wish?formula=harbour-loaf")
    status, text = send(desk, formula=slug)
    assert status == 422
    assert "expected a kind of bread" in text
    assert 'value="4"' in text
    assert desk.book.revision(slug).revision == 1
    kinds = re.findall(r'<select id="method".*?</select>', text, re.DOTALL)
    kind = re.findall(r'value="([^"]+)"', kinds[0])[0]
    status, text = send(desk, formula=slug, method=kind)
    assert status == 303, text
    assert desk.book.formula(slug).process is not None
    assert [bake.plan.formula for bake in desk.bakes()] == ["Bare loaf"]
