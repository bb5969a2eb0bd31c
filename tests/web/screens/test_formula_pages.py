"""The formula book's pages on a real store: edited from either side, kept, compared, brought in."""

from __future__ import annotations

import re
from fractions import Fraction
from html import unescape
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.formula_form import sent
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.draft import LONGEST, gram_of, pack, unpacked
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula
from pointage.web.app import create_app

EDIT = "/formulas/harbour-loaf/edit"


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def get(desk: StoredDesk, path: str, **query: str) -> httpx.Response:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path, params=query)


def press(
    desk: StoredDesk, page: httpx.Response, do: str, typed: dict[str, str] | None = None
) -> httpx.Response:
    """The page's form with something typed and a button pressed, and where that leads."""
    data = sent(page.text) | (typed or {}) | {"do": do}
    match = re.search(r'<form class="edit"[^>]*action="([^"]+)"', page.text)
    assert match
    app = create_app(desk, lambda: NOW)
    answer = ask(app, "POST", ORIGIN + match[1], data=data, headers={"Origin": ORIGIN})
    if answer.status_code == 303:
        return ask(app, "GET", ORIGIN + answer.headers["location"])
    return answer


def draft_of(page: httpx.Response) -> Formula:
    return unpacked(sent(page.text)["draft"])


def test_a_form_sent_back_as_it_came_changes_nothing(desk: StoredDesk) -> None:
    for slug in demonstration_formulas():
        page = press(desk, get(desk, f"/formulas/{slug}/edit"), "look")
        assert page.status_code == 200
        assert draft_of(page) == desk.book.formula(slug)
        assert "Nothing has changed yet" in page.text


def test_the_form_says_what_the_file_takes_and_offers_what_there_is(desk: StoredDesk) -> None:
    page = get(desk, EDIT).text
    assert "°C, after mixing" in page
    assert re.search(r'name="row"[^>]*list="known"', page)
    offered = re.search(r'<select[^>]*name="new-kind".*?</select>', page, re.S)
    assert offered
    assert 'value="levain"' in offered[0]
    assert 'value="dough"' not in offered[0]


def test_every_folded_part_with_a_fault_is_open(desk: StoredDesk) -> None:
    wrong = {"process-mix": "long", "may_contain": "gravel"}
    page = press(desk, get(desk, EDIT), "look", wrong)
    assert page.status_code == 422
    assert len(re.findall(r'<details class="more" open', page.text)) == 2


def test_a_cell_that_is_typed_shows_what_follows_and_is_kept_when_told(desk: StoredDesk) -> None:
    page = press(desk, get(desk, EDIT), "look", {"cell-total-water": "75"})
    assert "75\u00a0%" in page.text
    assert "was 72\u00a0%" in page.text
    assert "Water, Dough" in page.text
    assert len(desk.book.revisions("harbour-loaf")) == 1
    kept = press(desk, page, "keep")
    assert kept.url.path == "/formulas/harbour-loaf"
    assert desk.book.revision("harbour-loaf").revision == 2
    assert 'value="75"' in get(desk, EDIT).text


def test_a_draft_is_at_its_own_address(desk: StoredDesk) -> None:
    page = press(desk, get(desk, EDIT), "look", {"cell-total-water": "75"})
    again = get(
        desk, page.url.path, **{k: v[0] for k, v in parse_qs(page.url.query.decode()).items()}
    )
    assert sent(again.text)["cell-total-water"] == "75"


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        ({"cell-total-water": "5"}, "expected at least 10.8 %"),
        ({"cell-total-wheat-white": "90"}, "flours that come to 100 %"),
        ({"cell-0-water": "wet"}, "a percentage of the flour"),
        ({"cell-total-water": "70–75"}, "&#39;70–75&#39; cannot be used; expected a percentage"),
        ({"cell-total-water": "1,234.5"}, "expected a percentage of the flour, 0 to 500<"),
        ({"stage-0-seed": "lots"}, "or &#34;fit&#34;"),
        ({"stage-0-hydration": "900"}, "0 to 500"),
        ({"name": ""}, "expected a name"),
        ({"process-oven": "hot"}, "a temperature"),
    ],
)
@pytest.mark.soon(4)
def test_what_cannot_be_used_comes_back_as_typed_with_the_error_at_its_place(
    desk: StoredDesk, typed: dict[str, str], line: str
) -> None:
    answer = press(desk, get(desk, EDIT), "keep", typed | {"about": "As typed"})
    assert answer.status_code == 422
    assert line in answer.text
    assert sent(answer.text)["about"] == "As typed"
    for name, text in typed.items():
        assert sent(answer.text)[name] == text
    assert len(desk.book.revisions("harbour-loaf")) == 1


def test_every_field_that_cannot_be_used_has_its_own_line(desk: StoredDesk) -> None:
    typed = {
        "cell-0-water": "wet",
        "stage-0-seed": "lots",
        "stage-1-hydration": "900",
        "name": "",
        "process-oven": "hot",
        "process-bulk_rise": "2, 1",
    }
    answer = press(desk, get(desk, EDIT), "keep", typed)
    assert answer.status_code == 422
    for name, text in typed.items():
        assert sent(answer.text)[name] == text
        field = re.search(rf'<(?:input|textarea)[^>]* name="{name}"[^>]*>', answer.text)
        assert field is not None
        described = re.search(r'aria-describedby="([^"]+)"', field[0])
        assert described is not None, name
        assert f'id="{described[1]}"' in answer.text


def test_a_revision_that_was_kept_meanwhile_is_told_before_another_follows(
    desk: StoredDesk,
) -> None:
    page = get(desk, EDIT)
    press(desk, get(desk, EDIT), "keep", {"cell-total-water": "74"})
    told = press(desk, page, "keep", {"cell-total-water": "76"})
    assert told.status_code == 409
    assert "Changed meanwhile" in told.text
    assert press(desk, told, "keep").status_code == 200
    assert desk.book.revision("harbour-loaf").revision == 3
    assert desk.book.formula("harbour-loaf").total["water"] == 76


def test_the_other_sides_show_the_same_formula(desk: StoredDesk) -> None:
    page = get(desk, EDIT)
    for side in ("total-grams", "grams", "percent", "total"):
        page = press(desk, page, "look", {"enter": side})
        assert sent(page.text)["side"] == side
    assert draft_of(page) == desk.book.formula("harbour-loaf")


def test_an_ingredient_comes_and_goes(desk: StoredDesk) -> None:
    page = press(desk, get(desk, EDIT), "row", {"row": "honey"})
    page = press(desk, page, "look", {"cell-total-honey": "3"})
    assert draft_of(page).total["honey"] == 3
    page = press(desk, page, "drop:honey")
    assert draft_of(page) == desk.book.formula("harbour-loaf")
    wrong = press(desk, page, "row", {"row": "hunny"})
    assert wrong.status_code == 422
    assert "such as honey" in wrong.text


def test_a_stage_comes_moves_and_goes(desk: StoredDesk) -> None:
    new = {"new-name": "Soaker", "new-kind": "soaker", "new-takes": "oats 6, water 9"}
    page = press(desk, get(desk, EDIT), "stage", new)
    assert [each.name for each in draft_of(page).stages] == ["Levain", "Soaker", "Dough"]
    page = press(desk, page, "earlier:1")
    assert [each.name for each in draft_of(page).stages] == ["Soaker", "Levain", "Dough"]
    page = press(desk, page, "drop-stage:0")
    assert draft_of(page).dough.ingredients["oats"] == 6
    wrong = press(desk, page, "stage", {"new-name": "Other", "new-flour": "99", "new-water": "x"})
    assert wrong.status_code == 422
    assert sent(wrong.text)["new-name"] == "Other"


def test_a_levain_made_wetter_keeps_the_total(desk: StoredDesk) -> None:
    page = press(desk, get(desk, EDIT), "look", {"stage-0-hydration": "100"})
    assert draft_of(page).stages[0].hydration == 1
    assert draft_of(page).total == desk.book.formula("harbour-loaf").total


def test_a_new_formula_and_a_copy(desk: StoredDesk) -> None:
    page = press(desk, get(desk, "/formulas/new"), "keep", {"name": "Quay loaf"})
    assert page.url.path == "/formulas/quay-loaf"
    again = press(desk, get(desk, "/formulas/new"), "keep", {"name": "Quay loaf"})
    assert again.status_code == 422
    assert "a name that no other formula has" in again.text
    copy = get(desk, "/formulas/new", like="tinned-rye")
    kept = press(desk, copy, "keep", {"name": "Tinned spelt"})
    assert kept.url.path == "/formulas/tinned-spelt"
    assert desk.book.formula("tinned-spelt").process == desk.book.formula("tinned-rye").process


def test_an_old_revision_is_taken_over_as_the_next(desk: StoredDesk) -> None:
    first = desk.book.formula("harbour-loaf")
    press(desk, get(desk, EDIT), "keep", {"cell-total-water": "75"})
    page = press(desk, get(desk, EDIT, revision="1"), "keep")
    assert page.status_code == 200
    assert desk.book.revision("harbour-loaf").revision == 3
    assert desk.book.formula("harbour-loaf") == first


def test_revisions_tell_what_changed_and_stand_side_by_side(desk: StoredDesk) -> None:
    press(desk, get(desk, EDIT), "keep", {"cell-total-water": "75"})
    page = get(desk, "/formulas/harbour-loaf/revisions").text
    assert "Water 72 to 75." in page
    assert "Thu 3 Dec 2026" in page
    both = get(desk, "/formulas/compare", a="harbour-loaf@1", b="harbour-loaf").text
    assert "+3.00" in both
    assert "was 72\u00a0%" in both
    assert "/formulas/harbour-loaf/edit?revision=1" in both
    other = get(desk, "/formulas/compare", a="tinned-rye", b="harbour-loaf")
    assert "Tinned rye and Harbour loaf" in other.text
    assert get(desk, "/formulas/compare", a="stollen", b="harbour-loaf").status_code == 422


def test_a_file_goes_out_and_comes_in_as_it_was(desk: StoredDesk) -> None:
    text = demonstration_formulas()["tinned-rye"]
    out = get(desk, "/formulas/tinned-rye.toml")
    assert out.text == text
    assert "tinned-rye.toml" in out.headers["content-disposition"]
    app = create_app(desk, lambda: NOW)

    def bring(text: str, again: str = "") -> httpx.Response:
        file = {"file": ("x.toml", text.encode()), "again": (None, again)}
        return ask(app, "POST", ORIGIN + "/formulas/import", files=file, headers={"Origin": ORIGIN})

    renamed = text.replace('"Tinned rye"', '"Boxed rye"')
    assert bring(renamed).headers["location"] == "/formulas/boxed-rye"
    assert get(desk, "/formulas/boxed-rye.toml").text == renamed
    refused = bring(renamed.replace("82", "80"))
    assert refused.status_code == 422
    assert 'value="boxed-rye@1"' in refused.text
    assert bring(renamed.replace("82", "80"), "boxed-rye@1").status_code == 303
    assert desk.book.revision("boxed-rye").revision == 2
    broken = bring("name = 'Half'\n")
    assert broken.status_code == 422
    assert "Half" in broken.text


def test_a_file_of_a_formula_that_was_removed_brings_it_back_and_says_so(desk: StoredDesk) -> None:
    app, book = create_app(desk, lambda: NOW), desk.book
    book.remove("harbour-loaf", 1)
    text = get(desk, "/formulas/harbour-loaf.toml").text
    assert "removed = true" in text
    headers = {"Origin": ORIGIN}
    answer = ask(app, "POST", f"{ORIGIN}/formulas/import", data={"text": text}, headers=headers)
    assert answer.status_code == 303
    page = ask(app, "GET", ORIGIN + answer.headers["location"])
    assert "it is back in the book" in page.text
    now = book.formula("harbour-loaf")
    assert (now.removed, now.put_away, book.revision("harbour-loaf").revision) == (False, False, 3)
    # One that is there is still asked about.
    again = ask(app, "POST", f"{ORIGIN}/formulas/import", data={"text": text}, headers=headers)
    assert again.status_code == 422


def test_a_file_of_another_kind_is_read_as_a_recipe_or_refused_in_a_line(desk: StoredDesk) -> None:
    app = create_app(desk, lambda: NOW)

    def bring(content: bytes) -> httpx.Response:
        file = {"file": ("x", content)}
        return ask(app, "POST", ORIGIN + "/formulas/import", files=file, headers={"Origin": ORIGIN})

    recipe = bring(b"500 g bread flour\n350 g water\n10 g salt\n")
    assert recipe.status_code == 200
    assert "Open as a draft" in recipe.text
    for content in (b"%PDF-1.7 \xff\xfe", b"PK\x03\x04" + bytes(40)):
        refused = bring(content)
        assert refused.status_code == 422
        assert "file: this is not text; expected a formula" in refused.text
    text = demonstration_formulas()["tinned-rye"].replace('"Tinned rye"', '"Rye"')
    assert bring("\ufeff".encode() + text.encode()).status_code == 303
    assert bring(text.replace('"Rye"', '"Rye 2"').encode("utf-16")).status_code == 303


def test_names_in_another_script_each_have_an_address(desk: StoredDesk) -> None:
    for name in ("خبز القمح", "خبز الشعير"):
        kept = press(desk, get(desk, "/formulas/new"), "keep", {"name": name})
        assert kept.status_code == 200
        assert name in kept.text


def test_fractions_are_typed_as_they_are_printed(desk: StoredDesk) -> None:
    page = press(desk, get(desk, EDIT), "look", {"cell-total-salt": "2½"})
    assert draft_of(page).total["salt"] == Fraction(5, 2)


@pytest.mark.parametrize("do", ["look", "keep"])
@pytest.mark.parametrize(
    ("typed", "there"),
    [
        ({"row": "60 g oats"}, "#cell-1-oats"),
        (
            {"new-name": "Soaker", "new-kind": "soaker", "new-grams": "oats 60, water 90"},
            "#stage-1",
        ),
        ({"method": "hearth-retarded"}, "#process"),
    ],
)
def test_what_waits_for_its_own_button_is_not_lost_by_another(
    desk: StoredDesk, do: str, typed: dict[str, str], there: str
) -> None:
    """As Enter presses the first button of a form where there are no scripts."""
    page = get(desk, "/formulas/new", side="grams")
    data = sent(page.text) | typed | {"do": do}
    app, headers = create_app(desk, lambda: NOW), {"Origin": ORIGIN}
    answer = ask(app, "POST", f"{ORIGIN}/formulas/new", data=data, headers=headers)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/formulas/new?")
    assert answer.headers["location"].endswith(there)  # where typing goes on
    made, flour = draft_of(ask(app, "GET", ORIGIN + answer.headers["location"])), draft_of(page)
    assert gram_of(made) == gram_of(flour)
    assert ("oats" in made.total) == ("method" not in typed)


@pytest.mark.parametrize("side", ["grams", "total-grams"])
def test_in_grams_the_flour_stays_whatever_comes_goes_or_is_wetter(
    desk: StoredDesk, side: str
) -> None:
    page = get(desk, EDIT, side=side)
    before = gram_of(draft_of(page))
    for do, typed in (
        ("look", {"stage-0-hydration": "80"}),
        ("look", {"stage-1-hydration": "80"}),
        ("drop:salt", {}),
        ("drop-stage:0", {}),
    ):
        page = press(desk, page, do, typed)
        assert page.status_code == 200, do
        assert gram_of(draft_of(page)) == before, do


def test_what_if_shows_both_and_takes_it_into_the_draft(desk: StoredDesk) -> None:
    asked = {"wish": "flour", "old": "wheat-white", "new": "rye-whole", "share": "20 %"}
    page = get(desk, "/formulas/harbour-loaf/what-if", **asked).text
    assert "more water in the final dough, by absorption" in page
    match = re.search(
        r'href="(/formulas/harbour-loaf/edit\?draft=[^"]+)">Use it in the draft', page
    )
    assert match
    address = urlsplit(unescape(match[1]))
    query = {name: value[0] for name, value in parse_qs(address.query).items()}
    assert draft_of(get(desk, address.path, **query)).total["rye-whole"] == 16
    wrong = get(desk, "/formulas/harbour-loaf/what-if", wish="salt", salt="40")
    assert wrong.status_code == 422
    assert 'value="40"' in wrong.text


def test_make_it_for_what_there_is(desk: StoredDesk) -> None:
    at = "/formulas/harbour-loaf"
    page = get(desk, at, pieces="", piece="", **{"flour-on-hand": "5kg"}).text
    assert re.search(r'name="pieces"[^>]*value="9"', page)  # 5 kg makes 8.7 kg: nine of 900 g
    # Levain is 28.8 of 174 in the whole: 300 g makes 1.81 kg, two of 900 g.
    page = get(desk, at, pieces="", piece="", **{"levain-on-hand": "300g"}).text
    assert re.search(r'name="pieces"[^>]*value="2"', page)
    fine = get(desk, at, **{"fine-step": "0.1", "pieces": "1", "piece": "500g"}).text
    assert "small amounts in 0.1 g" in fine
    cups = get(desk, at, volumes="1").text
    assert "cups, off by" in cups
    assert "Density: " in cups
    wrong = get(desk, at, baked="much")
    assert wrong.status_code == 422
    assert 'value="much"' in wrong.text


def test_a_formula_of_another_kitchen_can_be_edited_all_the_same(desk: StoredDesk) -> None:
    text = demonstration_formulas()["harbour-loaf"].replace("Boiler cupboard", "Cellar")
    desk.book.keep(text, "harbour-loaf", 1)
    page = press(desk, get(desk, EDIT), "look", {"cell-total-water": "75"})
    assert page.status_code == 200
    assert "Cellar" in page.text


def test_an_address_that_was_cut_short_is_refused() -> None:
    whole = pack(demonstration_formulas()["tinned-rye"])
    assert unpacked(whole) == read_formula(demonstration_formulas()["tinned-rye"])
    for bad in (whole[:-9], "no draft", pack("x" * (LONGEST + 1))):
        with pytest.raises(InputError, match="the whole address"):
            unpacked(bad)


def test_degrees_and_ounces_switched_as_often_as_one_likes_change_nothing(desk: StoredDesk) -> None:
    """Typed in °F and ounces; then shown in either and sent back as it is shown."""
    app = create_app(desk, lambda: NOW)

    def look(path: str, shown: str, data: dict[str, str] | None = None) -> httpx.Response:
        headers = {"Origin": ORIGIN, "Cookie": f"shown={shown}"}
        method = "GET" if data is None else "POST"
        return ask(app, method, ORIGIN + path, data=data or {}, headers=headers)

    ways = ("degrees:F.ounces:yes", "degrees:C.ounces:no")
    typed = {"piece": "31.5oz", "stage-0-temperature": "79", "process-dough_temperature": "77"}
    data = sent(look(EDIT, ways[0]).text) | typed | {"do": "look"}
    there = look(EDIT, ways[0], data).headers["location"]
    first = unpacked(parse_qs(urlsplit(there).query)["draft"][0])
    assert float(first.piece_g) == pytest.approx(31.5 * 28.349523125, abs=0.005)
    assert first.stages[0].temperature is not None
    assert first.stages[0].temperature.celsius == pytest.approx((79 - 32) / 1.8, abs=0.006)
    for shown in ways * 2:  # the draft is in its address: what leads back to it does so for ever
        page = look(there, shown)
        then = look(EDIT, shown, sent(page.text) | {"do": "look"}).headers["location"]
        assert parse_qs(urlsplit(then).query)["draft"] == parse_qs(urlsplit(there).query)["draft"]
