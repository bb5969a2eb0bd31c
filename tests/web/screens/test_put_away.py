"""A formula that is put away leaves the lists, keeps its past, and comes back."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.screens.test_first_pages import ANSWERS, empty, get, post
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.compare import much_the_same
from pointage.desk.formulas.draft import Draft, TypedCells
from pointage.desk.formulas.methods import methods, with_method
from pointage.errors import InputError
from pointage.formula.adjust import with_dough_yield
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


def test_a_formula_is_removed_with_what_hangs_on_it_said_and_brought_back(desk: StoredDesk) -> None:
    text, key = desk.book.revision(SLUG).text, str(uuid4())
    desk.wish(key, SLUG, 4, NOW + timedelta(hours=40), NOW)
    warmer = replace(desk.book.formula(SLUG), name="Warmer", varies=desk.book.formula(SLUG).name)
    desk.book.keep(write_formula(warmer))
    before = get(desk, f"/formulas/{SLUG}/revisions").text
    assert "1 bake is under way and goes on as it is planned." in before
    assert "Variations stay: Warmer." in before
    assert put(desk, "remove") == 303
    book = get(desk, "/formulas").text
    assert f'href="/formulas/{SLUG}"' not in book
    assert "Removed: 1" in book
    assert f'value="{SLUG}"' not in get(desk, "/week/wish").text
    for path in (f"/daybook/bake/{key}", f"/daybook/formula/{SLUG}", f"/formulas/{SLUG}/revisions"):
        assert get(desk, path).status_code == 200, path
    assert [bake.key for bake in desk.bakes()] == [key]
    assert put(desk, "back") == 303
    assert desk.book.revision(SLUG).text == text


def test_the_name_of_a_removed_formula_is_free(desk: StoredDesk) -> None:
    text = desk.book.revision(SLUG).text
    with pytest.raises(InputError, match="no other formula has"):
        desk.book.keep(text)
    put(desk, "remove")
    assert desk.book.keep(text).revision == 3
    assert not desk.book.formula(SLUG).removed


def test_favourites_come_first_and_stay_when_the_rest_is_edited(desk: StoredDesk) -> None:
    slug = "tinned-rye"
    rye = f'href="/formulas/{slug}"'
    assert get(desk, "/formulas").text.index(f'href="/formulas/{SLUG}"') < get(
        desk, "/formulas"
    ).text.index(rye)
    fields = {"after": "1", "do": "favourite"}
    assert post(desk, f"/formulas/{slug}/put-away", fields).status_code == 303
    book = get(desk, "/formulas").text
    assert book.index(rye) < book.index(f'href="/formulas/{SLUG}"')
    assert "A favourite." in get(desk, f"/formulas/{slug}/revisions").text
    alone = get(desk, "/formulas?kind=favourites").text
    assert rye in alone
    assert f'href="/formulas/{SLUG}"' not in alone
    formula = desk.book.formula(slug)
    assert Draft(formula, TypedCells.TOTAL).read({"about": "Ours."}).favourite
    assert read_formula(write_formula(formula)) == formula


@pytest.mark.parametrize("kind", methods())
def test_a_kind_of_bread_is_that_of_its_method(desk: StoredDesk, kind: str) -> None:
    """Each method, laid over a dough of its own kind, is found again by that kind alone."""
    more = {
        "tinned-rye": "rye-whole = 90",
        "wholegrain": "wheat-whole = 90",
        "enriched": "butter = 15",
    }
    total = more.get(kind, "wheat-white = 90")
    loaf = (
        f'name = "Kind"\npieces = 1\npiece = "900g"\n[total]\nwheat-strong = 10\n{total}\n'
        "water = 70\nsalt = 2\n[[stage]]\nname = 'D'\nkind = 'dough'\n"
    ).replace("butter", "wheat-white = 90\nbutter")
    desk.book.keep(write_formula(with_method(read_formula(loaf), kind, desk.kitchen())))
    assert next(each.kind for each in desk.formulas() if each.slug == "kind") == kind
    alone = get(desk, f"/formulas?kind={kind}").text
    assert 'href="/formulas/kind"' in alone
    others = [each.slug for each in desk.formulas() if each.kind != kind]
    assert others
    assert not [slug for slug in others if f'href="/formulas/{slug}"' in alone]


def test_two_that_are_much_the_same_are_offered_side_by_side(desk: StoredDesk) -> None:
    assert "Much the same" not in get(desk, "/formulas").text
    formula = desk.book.formula(SLUG)
    desk.book.keep(write_formula(replace(formula, name="Twin")))
    book = get(desk, "/formulas").text
    assert "Much the same" in book
    path = f"/formulas/compare?a={SLUG}&amp;b=twin"
    assert f'href="{path}"' in book
    assert get(desk, path.replace("&amp;", "&")).status_code == 200
    varied = replace(formula, name="Varied", varies=formula.name)
    assert much_the_same([formula, varied]) == ()
    assert (
        much_the_same([formula, with_dough_yield(replace(formula, name="Wet"), Fraction(180))])
        == ()
    )
