"""A formula of eight stages in Chromium: read, edited, kept; with scripts and without."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.web.browser.looks import SMALL, THUMB, assert_sound, resize
from tests.web.browsers import SIZES, opened
from tests.web.conftest import Site
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk

pytestmark = pytest.mark.browser

# Invented, to have eight of everything that a formula can have.
EIGHT = """
name = "Eight-stage rye and spelt"
about = "An invented one, with a long table."
culture = "Gannet"
pieces = 12
piece = "850g"

[total]
rye-whole = 40
wheat-white = 35
spelt-whole = 25
water = 82
salt = 2.1
honey = 2
oats = 8
linseed = 4
sunflower = 6
raisins = 10

[[stage]]
name = "First build"
kind = "levain"
flour = 4
flours = { rye-whole = 100 }
water = 100
seed = "fit"
temperature = "25C"
place = "Boiler cupboard"

[[stage]]
name = "Second build"
kind = "levain"
flour = 12
flours = { rye-whole = 100 }
water = 90
parts_of = { "First build" = 100 }
place = "Boiler cupboard"

[[stage]]
name = "Third build"
kind = "levain"
flour = 24
flours = { rye-whole = 100 }
water = 80
parts_of = { "Second build" = 100 }
place = "Hall"

[[stage]]
name = "Old dough"
kind = "old dough"
flour = 5

[[stage]]
name = "Scald"
kind = "scald"
takes = { spelt-whole = 6, water = 12 }
least = "2h"

[[stage]]
name = "Seed soaker"
kind = "soaker"
takes = { oats = 7, linseed = 3.5, sunflower = 5, water = 15 }
least = "4h"

[[stage]]
name = "Dough"
kind = "dough"

[[stage]]
name = "Fruit"
kind = "addition"
takes = { raisins = 9 }
when = "mix"
"""
SLUG = "eight-stage-rye-and-spelt"
EDIT = f"/formulas/{SLUG}/edit"
PATHS = (
    f"/formulas/{SLUG}",
    f"/formulas/{SLUG}?volumes=1&baked=much",
    EDIT,
    f"{EDIT}?side=percent&column=2",
    f"/formulas/{SLUG}/revisions",
    f"/formulas/compare?a={SLUG}&b=tinned-rye",
    f"/formulas/{SLUG}/what-if?wish=yield&yield=190",
    "/formulas/new",
    "/formulas/import",
)


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    made = hall(tmp_path)
    made.book.keep(EIGHT)
    return made


@pytest.mark.long
def test_eight_stages_are_pleasant(
    desk: StoredDesk, serve: Callable[..., Site], page: Page
) -> None:
    site = serve(desk, NOW)
    for path in PATHS:
        page.goto(site.url + path)
        page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true })")
        for size in SIZES:
            resize(page, size)
            assert page.evaluate(SMALL, THUMB) == [], (path, size)
        assert_sound(page, *SIZES)


def test_a_cell_tells_at_once_what_follows_and_is_found_again(
    desk: StoredDesk, serve: Callable[..., Site], laptop: Page
) -> None:
    site = serve(desk, NOW)
    page = laptop
    page.goto(site.url + EDIT)
    page.fill("#cell-total-water", "86")
    page.keyboard.press("Tab")
    expect(page.locator("#told")).to_contain_text("was 82")
    expect(page.locator("#cell-6-water")).to_have_text("35.7")  # the dough has the four more
    expect(page.locator("#follows")).to_contain_text("Water, Dough")
    page.reload()
    assert page.input_value("#cell-total-water") == "86"
    page.fill("#cell-1-water", "900")
    page.keyboard.press("Tab")
    expect(page.locator('[aria-invalid="true"]')).to_have_count(1)
    assert page.input_value("#cell-1-water") == "900"
    page.fill("#cell-1-water", "7")
    page.keyboard.press("Tab")
    expect(page.locator('[aria-invalid="true"]')).to_have_count(0)
    expect(page.locator("#follows")).to_contain_text("Water, Second build")
    page.click("text=Save as revision 2")
    page.wait_for_url(f"**/formulas/{SLUG}")
    assert desk.book.formula(SLUG).total["water"] == 86
    page.goto(site.url + EDIT)
    assert page.input_value("#cell-1-water") == "7"


def test_on_a_phone_one_stage_stands_alone(
    desk: StoredDesk, serve: Callable[..., Site], page: Page
) -> None:
    page.goto(serve(desk, NOW).url + EDIT)
    expect(page.locator("#cell-total-water")).to_be_visible()
    expect(page.locator("#cell-2-water")).to_be_hidden()
    page.get_by_role("button", name="Third build").click()
    expect(page.locator("#cell-2-water")).to_be_visible()
    expect(page.locator("#cell-total-water")).to_be_hidden()
    page.fill("#cell-2-water", "9.6")
    page.keyboard.press("Tab")
    expect(page.locator("#follows")).to_contain_text("Water, Third build")
    expect(page.locator("#cell-2-water")).to_be_visible()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.soon(1)
def test_without_scripts_every_button_does_its_work(
    desk: StoredDesk, serve: Callable[..., Site], chromium: Browser, size: str
) -> None:
    site = serve(desk, NOW)
    with opened(chromium, size, java_script_enabled=False) as page:
        do_without_scripts(page, site)


def do_without_scripts(page: Page, site: Site) -> None:
    page.goto(site.url + EDIT)
    page.fill("#cell-total-water", "86")
    page.click("text=Calculate")
    assert "was 82" in page.inner_text("#told")
    page.reload()
    assert page.input_value("#cell-total-water") == "86"
    page.fill("#edit-row", "Rye malt nobody has")
    page.click('text="Add" >> nth=0')
    assert page.locator('[aria-invalid="true"]').count() == 1
    page.fill("#edit-row", "olive-oil")
    page.click('text="Add" >> nth=0')
    page.fill("#cell-total-olive-oil", "2")
    page.click("text=Save as revision 2")
    page.goto(site.url + EDIT)
    assert page.input_value("#cell-total-olive-oil") == "2"
