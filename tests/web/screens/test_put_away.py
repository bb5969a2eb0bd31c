"""A formula that is put away leaves the lists, keeps its past, and comes back."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.web.screens.test_first_pages import ANSWERS, empty, get, post
from tests.web.stored_desk import hall

from pointage.desk.desk import StoredDesk
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula

__all__ = ["empty"]
SLUG = "harbour-loaf"


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def put(desk: StoredDesk, do: str) -> int:
    after = str(desk.book.revision(SLUG).revision)
    return post(desk, f"/formulas/{SLUG}/put-away", {"after": after, "do": do}).status_code


def test_it_leaves_what_is_offered_and_keeps_its_past(desk: StoredDesk) -> None:
    text = desk.book.revision(SLUG).text
    assert put(desk, "away") == 303
    offered = f'value="{SLUG}"'
    for path in ("/week/wish", "/water?formula=", "/larder"):
        assert offered not in get(desk, path).text, path
    page = get(desk, "/formulas").text
    assert page.index("Put away: 1") < page.index(f"/formulas/{SLUG}")
    for path in (f"/formulas/{SLUG}", f"/daybook/formula/{SLUG}", f"/formulas/{SLUG}/edit"):
        assert get(desk, path).status_code == 200, path
    assert "Put away." in get(desk, f"/formulas/{SLUG}/revisions").text
    assert put(desk, "away") == 303, "it is already"
    assert desk.book.revision(SLUG).revision == 2
    assert put(desk, "back") == 303
    assert desk.book.revision(SLUG).text == text
    assert offered in get(desk, "/week/wish").text


def test_the_file_says_so_and_is_read_and_written_alike(desk: StoredDesk) -> None:
    put(desk, "away")
    formula = desk.book.formula(SLUG)
    assert formula.put_away
    again = read_formula(write_formula(formula), "x.toml")
    assert again == formula


def test_another_revision_meanwhile_is_not_written_over(desk: StoredDesk) -> None:
    text = desk.book.revision(SLUG).text
    desk.book.keep(f"# Theirs\n{text}", SLUG, 1)
    fields = {"after": "1", "do": "away"}
    assert post(desk, f"/formulas/{SLUG}/put-away", fields).status_code == 409
    assert not desk.book.formula(SLUG).put_away


def test_every_empty_screen_says_what_it_will_hold_and_offers_the_first_step(
    empty: StoredDesk,
) -> None:
    post(empty, "/begin", ANSWERS)
    steps = {
        "/formulas": ("Your breads are written down here", "/formulas/new"),
        "/cultures": ("Each of your cultures is shown here", "/begin/culture"),
        "/larder": ("Flours, salt and seeds are listed here", "/larder/buy"),
        "/daybook": ("Everything you record", "/daybook/told/note"),
        "/week": ("the coming days are shown here", "/week/wish"),
        "/week/wish": ("there is none yet", "/formulas/new"),
    }
    for path, (words, step) in steps.items():
        page = get(empty, path).text
        assert words in page, path
        assert f'"{step}"' in page, path
    assert "Compare two" not in get(empty, "/formulas").text
