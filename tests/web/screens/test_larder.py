"""The Larder on a stored desk: its forms without a script, and the page on a phone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from playwright.sync_api import Page
from tests.web.browser.looks import SMALL, THUMB, assert_sound, resize
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_larder
from pointage.desk.larder.recorded import TakenOrCounted
from pointage.desk.opening import stock_up
from pointage.web.app import create_app

SALT = {"item": "Salt", "mass": "1kg", "packs": "3", "price": "1.15", "per": "pack"}


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def get(desk: StoredDesk, path: str = "/larder") -> httpx.Response:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path)


def post(desk: StoredDesk, path: str, **fields: str) -> httpx.Response:
    told = {"entry": str(uuid4())} | fields
    return ask(
        create_app(desk, lambda: NOW), "POST", ORIGIN + path, data=told, headers={"Origin": ORIGIN}
    )


def entries(desk: StoredDesk) -> int:
    return len(desk._store.entries(desk._id))


def test_what_was_bought_is_there(desk: StoredDesk) -> None:
    assert "Start with “Bought”" in get(desk).text
    answer = post(desk, "/larder/buy", **SALT)
    assert (answer.status_code, answer.headers["location"]) == (303, "/larder")
    page = get(desk).text
    assert "3\u00a0kg" in page
    assert "3.45\u00a0€" in page


def test_a_purchase_sent_twice_is_bought_once(desk: StoredDesk) -> None:
    entry = str(uuid4())
    for _ in range(2):
        assert post(desk, "/larder/buy", **SALT, entry=entry).status_code == 303
    assert entries(desk) == 1


@pytest.mark.parametrize(
    ("path", "fields", "says"),
    [
        ("buy", {"item": "Slat", "mass": "1kg"}, "an ingredient such as Salt"),
        ("buy", {"item": "Salt", "mass": "-1kg"}, "a mass that is not negative"),
        ("buy", {"item": "Salt", "mass": "1kg", "price": "cheap"}, "a price such as"),
        ("buy", {"item": "Salt", "mass": "1kg", "best_before": "soon"}, "a date such as"),
        ("buy", {"item": "Salt", "mass": "1kg", "supplier": "x" * 300}, "at most 200 characters"),
        ("count", {"item": "Salt", "mass": "a lot"}, "a mass such as"),
        ("use", {"item": "Salt", "mass": "10g", "lot": "the blue one"}, "a lot of Salt"),
    ],
)
def test_a_form_that_cannot_be_used_comes_back_as_it_was_typed(
    desk: StoredDesk, path: str, fields: dict[str, str], says: str
) -> None:
    answer = post(desk, f"/larder/{path}", **fields)
    assert answer.status_code == 422
    assert answer.text.count('role="alert"') == 1
    assert says in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert f'value="{fields["item"]}"' in answer.text
    assert f'value="{fields["mass"]}"' in answer.text
    assert entries(desk) == 0


def test_a_count_and_a_use_and_taking_back(desk: StoredDesk) -> None:
    bought = str(uuid4())
    post(desk, "/larder/buy", **SALT, entry=bought)
    post(desk, "/larder/use", item="Salt", mass="800g", remark="For the brine")
    assert "2.2\u00a0kg" in get(desk).text
    post(desk, "/larder/count", item="salt", mass="2050g")
    assert "2.05\u00a0kg" in get(desk).text
    assert post(desk, "/larder/take-back", wrong=bought).status_code == 303
    assert "Bought Salt" not in get(desk).text
    assert post(desk, "/larder/take-back", wrong=str(uuid4())).status_code == 404


def test_a_bake_that_is_only_wanted_is_on_the_list_for_paper(desk: StoredDesk) -> None:
    page = get(desk, "/larder?formula=harbour-loaf&pieces=8").text
    assert "/larder/list?formula=harbour-loaf&amp;pieces=8" in page
    paper = get(desk, "/larder/list?formula=harbour-loaf&pieces=8").text
    assert "White wheat flour" in paper
    assert "Harbour loaf, if baked" in paper
    wrong = get(desk, "/larder?formula=harbour-loaf&pieces=none")
    assert wrong.status_code == 422
    assert "a whole number from 1 to 2000" in wrong.text
    assert get(desk, "/larder?formula=brioche").status_code == 404


def test_what_has_no_price_is_told(desk: StoredDesk) -> None:
    post(desk, "/larder/buy", item="Salt", mass="1kg")
    assert "not known: no price of Salt" in get(desk).text


def test_a_formula_tells_what_a_piece_costs(desk: StoredDesk) -> None:
    """Flour at 1 € a kilogram: 8 × 900 g at 174 % are 4.138 kg of it. The salt has no price."""
    before = get(desk, "/formulas/harbour-loaf").text
    assert "A piece costs" in before
    for kind in ("wheat-white", "wheat-whole"):
        post(desk, "/larder/buy", item=kind, mass="10kg", price="1", per="kg")
    page = get(desk, "/formulas/harbour-loaf").text
    cost = desk.larder.formula_cost("harbour-loaf", 8, Fraction(900))
    assert cost.energy is not None
    assert float(cost.ingredients.amount) == pytest.approx(4.138, abs=0.002)
    assert "not counting Salt (no price)" in page


@pytest.fixture(scope="module")
def stocked(tmp_path_factory: pytest.TempPathFactory) -> StoredDesk:
    """The demonstration's stores, with a loaf planned and more salt used than there was."""
    desk = hall(tmp_path_factory.mktemp("larder"))
    stock_up(desk, demonstration_larder(), NOW)
    desk.wish(str(uuid4()), "harbour-loaf", 8, NOW + timedelta(hours=40), NOW)
    desk.larder.use(str(uuid4()), TakenOrCounted("honey", Fraction(1700)), NOW)
    return desk


@pytest.fixture
def site(serve: Callable[..., Site], stocked: StoredDesk) -> Site:
    return serve(stocked, NOW)


@pytest.mark.browser
@pytest.mark.parametrize("path", ["/larder", "/larder/list", "/larder?formula=tinned-rye&pieces=x"])
@pytest.mark.long
def test_the_larder_is_accessible_and_fits(page: Page, site: Site, path: str) -> None:
    page.goto(site.url + path)
    page.locator("main details").evaluate_all("all => all.forEach(it => { it.open = true })")
    for size in SIZES:
        resize(page, size)
        assert page.evaluate(SMALL, THUMB) == [], size
        assert_sound(page)


@pytest.mark.browser
def test_buying_on_a_phone(page: Page, site: Site) -> None:
    page.goto(site.url + "/larder")
    page.locator("summary", has_text="Bought").click()
    page.locator("#buy-item").fill("Sesame")
    page.locator("#buy-mass").fill("cup")
    page.get_by_role("button", name="Add to stock").click()
    assert page.get_by_role("alert").inner_text().startswith("'cup' cannot be used")
    page.locator("#buy-mass").fill("500g")
    page.get_by_role("button", name="Add to stock").click()
    page.wait_for_url("**/larder")
    assert page.locator(".stores summary", has_text="Sesame").count() == 1
