"""The oven's page: the answer for this kitchen, without JavaScript and live."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Page, expect
from tests.web.browser.looks import assert_sound, resize
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, friday_to_read, hall

from pointage.desk.calculators.bake import bake_for
from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

Get = Callable[..., httpx.Response]


@pytest.fixture(scope="module")
def get(tmp_path_factory: pytest.TempPathFactory) -> Get:
    app = create_app(hall(Path(tmp_path_factory.mktemp("hall"))), lambda: NOW)
    return lambda path, headers=None, **query: ask(
        app, "GET", ORIGIN + path, params=query, headers=headers
    )


def numeral(html: str) -> float:
    found = re.search(r'class="numeral">.*?</span>([\d.]+) ', html)
    assert found is not None
    return float(found[1])


def test_it_opens_on_a_loaf_and_its_answer(get: Get) -> None:
    page = get("/oven").text
    ours = bake_for("900g", "boule", "240C", "24C", altitude="6m")  # Skerry Hall is at 6 m
    assert numeral(page) == round(ours.baked.minutes)
    assert "at 6\u00a0m above the sea" in page
    assert f"{ours.baked_g:.0f}\u00a0g" in page
    assert page.count("steam scalds") == 1


def test_what_is_asked_is_answered_and_kept(get: Get) -> None:
    page = get("/oven", mass="1.2kg", shape="bâtard", oven="460F", type="rye", loaves="4").text
    assert 'value="1.2kg"' in page
    assert 'value="bâtard" selected' in page
    assert 'value="rye" selected' in page
    ours = bake_for(
        "1.2kg", "bâtard", "460F", "24C", altitude="6m", bread="rye", loaves="4", on="stone"
    )
    assert numeral(page) == round(ours.baked.minutes)


def test_a_tin_is_what_a_tinned_loaf_stands_in(get: Get) -> None:
    assert 'value="tin" selected' in get("/oven", shape="tin").text.split('id="on"')[1]


@pytest.mark.parametrize(
    ("field", "value"), [("mass", "0g"), ("oven", "90C"), ("core", "99.9C"), ("loaves", "none")]
)
def test_what_cannot_be_used_stands_under_its_field(get: Get, field: str, value: str) -> None:
    answer = get("/oven", **{field: value})
    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.text
    assert f'value="{value}"' in answer.text
    assert "numeral" not in answer.text
    assert "<details open>" in answer.text or field in ("mass", "oven")


def test_a_live_form_gets_the_answer_alone(get: Get) -> None:
    live = {"HX-Request": "true"}
    block = get("/oven", headers=live, mass="700g").text
    assert "<form" not in block
    assert numeral(block) > 0
    wrong = get("/oven", headers=live, mass="0g")
    assert wrong.status_code == 422
    assert "Dough:" in wrong.text


@pytest.mark.browser
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.soon(1)
def test_it_moves_as_it_is_typed_and_is_accessible(
    page: Page, serve: Callable[[StoredDesk], Site], size: str
) -> None:
    resize(page, size)
    site = serve(friday_to_read())
    page.goto(site.url + "/oven")
    before = page.locator(".numeral").inner_text()
    page.get_by_label("Dough for one loaf").fill("300g")
    expect(page.locator(".numeral")).not_to_have_text(before)
    expect(page.get_by_label("Dough for one loaf")).to_be_focused()
    assert "mass=300g" in page.url
    page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true })")
    assert_sound(page)
