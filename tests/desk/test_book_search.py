"""The book is searched; what other ingredients do is said; notes of bakes stand by the formula."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.daybook.entry import EntryKind
from pointage.desk.desk import StoredDesk
from pointage.desk.sheets.parts.others import EFFECTS, others
from pointage.formula.file.read import read_formula
from pointage.formula.ingredients import KINDS
from pointage.web.app import create_app


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def page(desk: StoredDesk, path: str) -> str:
    return str(ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path).text)


@pytest.mark.parametrize(
    ("text", "finds", "not_it"),
    [
        ("spelt", "sunday-spelt", "tinned-rye"),
        ("RYE tin", "tinned-rye", "sunday-spelt"),
        ("whole rye flour", "tinned-rye", "sunday-spelt"),
        ("harbour", "harbour-loaf", "tinned-rye"),
    ],
)
def test_the_book_is_searched_by_name_ingredient_and_kind(
    desk: StoredDesk, text: str, finds: str, not_it: str
) -> None:
    found = desk.book.found(text)
    assert finds in found
    assert not_it not in found
    shown = page(desk, f"/formulas?q={text}")
    assert f'href="/formulas/{finds}"' in shown
    assert f'href="/formulas/{not_it}"' not in shown


def test_what_is_not_there_is_said_and_no_word_finds_all(desk: StoredDesk) -> None:
    assert "No formula has that." in page(desk, "/formulas?q=moonstone")
    assert desk.book.found("...") == set(desk.present().formulas)


def test_each_kind_of_ingredient_says_what_it_does() -> None:
    """All but flour, water and salt, which the table is about."""
    assert {*EFFECTS, "liquid", "flour", "water", "salt"} == set(KINDS)
    rich = read_formula(
        'name = "A"\npieces = 1\npiece = "900g"\n[total]\nwheat-white = 100\nwater = 30\n'
        "milk = 30\n"
        "butter = 5\nhoney = 5\nyeast-dried = 0.5\n[[stage]]\nname = 'D'\nkind = 'dough'\n"
    )
    said = "\n".join(others(rich))
    assert "milk" in said
    assert "% of it counts as water" in said
    assert "ready sooner" in said
    assert len(others(rich)) == 4


def test_notes_of_past_bakes_stand_by_the_formula(desk: StoredDesk) -> None:
    key = str(uuid4())
    desk.wish(key, "harbour-loaf", 4, NOW + timedelta(hours=40), NOW)
    body = {"bake": key, "text": "The east wind made it slow."}
    desk.records.record(str(uuid4()), EntryKind.NOTE, NOW, body)
    shown = page(desk, "/formulas/harbour-loaf")
    assert "The east wind made it slow." in shown
    assert f'href="/daybook/bake/{key}"' in shown
