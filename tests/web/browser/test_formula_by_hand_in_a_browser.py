"""A formula entered in Chromium: by keyboard alone at a desk, by thumb on a phone, each way in."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect
from tests.web.browser.looks import assert_sound
from tests.web.conftest import Site
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.draft import gram_of
from pointage.formula.formula import Formula

pytestmark = pytest.mark.browser
YEASTED = """
name = "Yeasted loaf"
pieces = 2
[[stage]]
name = "Dough"
kind = "dough"
grams = { wheat-white = 500, water = 350, salt = 10, yeast-fresh = 5 }
"""


PASTED = """Oat loaf
For the soaker
60 g oats
90 g water

Dough
All of the soaker
500 g bread flour
300 g water
100 g ripe starter
10 g salt
"""


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def tab_to(page: Page, wanted: str, key: str = "Tab") -> None:
    """Go on with one key until an element has the keyboard; it must be seen there."""
    for _ in range(90):
        if page.evaluate("it => document.activeElement.matches(it)", wanted):
            break
        page.keyboard.press(key)
    expect(page.locator(wanted)).to_be_focused()
    expect(page.locator(wanted)).to_be_in_viewport()


def type_in(page: Page, wanted: str, text: str) -> None:
    tab_to(page, wanted)
    page.keyboard.press("Control+A")
    page.keyboard.type(text)


def enter(page: Page) -> None:
    """Press Enter on what leads to another page."""
    with page.expect_navigation():
        page.keyboard.press("Enter")


def flour_g(formula: Formula) -> Fraction:
    return 100 * gram_of(formula)


@pytest.mark.long
def test_by_keyboard_alone_stage_by_stage_in_grams(
    desk: StoredDesk, serve: Callable[..., Site], laptop: Page
) -> None:
    page, press = laptop, laptop.keyboard.press
    page.goto(serve(desk, NOW).url + "/formulas")
    tab_to(page, 'a[href="/formulas/new"]')
    enter(page)
    type_in(page, "#edit-name", "Oat loaf by keyboard")
    type_in(page, "#edit-pieces", "1")
    tab_to(page, "#edit-enter")
    for side in ("total-grams", "grams"):  # each change asks the server, and the keyboard stays
        press("ArrowDown")
        page.wait_for_url(f"**side={side}**")
    expect(page.locator("#edit-enter")).to_be_focused()
    for cell, grams in (("0-wheat-white", "80"), ("1-wheat-white", "500"), ("0-water", "80"),
                        ("1-water", "300"), ("1-salt", "12")):  # fmt: skip
        type_in(page, f"#cell-{cell}", grams)
    type_in(page, "#edit-row", "60 g mystery oats")
    enter(page)
    expect(page.locator("#edit-row")).to_be_focused()  # what cannot be used, and why, under it
    expect(page.locator("#edit-row-error")).to_be_in_viewport()
    assert page.input_value("#edit-row") == "60 g mystery oats"
    type_in(page, "#edit-row", "Honey")
    enter(page)
    expect(page.locator("#cell-1-honey")).to_be_focused()
    page.keyboard.type("18")
    tab_to(page, "#add-stage")
    press("Enter")
    type_in(page, "#edit-new-name", "First build")
    type_in(page, "#edit-new-grams", "rye flour 20, 20 g water")
    tab_to(page, "#cell-1-honey", "Shift+Tab")  # a cell meanwhile, and nothing half typed is lost
    page.keyboard.type("15")
    tab_to(page, "#edit-new-grams")
    expect(page.locator("#follows")).to_contain_text("987")
    assert page.input_value("#edit-new-name") == "First build"
    enter(page)
    expect(page.locator("#stage-1")).to_be_focused()
    type_in(page, '[id="cell-0-@1"]', "100")
    tab_to(page, "#add-stage")
    press("Enter")
    type_in(page, "#edit-new-name", "Soaker")
    tab_to(page, "#edit-new-kind")
    page.keyboard.type("so")
    type_in(page, "#edit-new-grams", "oats 60, water 90")
    enter(page)
    expect(page.locator("summary:focus")).to_contain_text("Soaker")
    tab_to(page, 'button[value="keep"]')
    enter(page)
    page.wait_for_url("**/formulas/oat-loaf-by-keyboard")
    made = desk.book.formula("oat-loaf-by-keyboard")
    assert flour_g(made) == 600
    assert made.pieces * made.piece_g == 600 + 90 + 20 + 80 + 300 + 12 + 60 + 15
    assert [each.name for each in made.builds] == ["First build", "Levain"]


@pytest.mark.long
def test_by_thumb_from_a_pasted_recipe_to_a_plan(
    desk: StoredDesk, serve: Callable[..., Site], page: Page
) -> None:
    """On a phone: what is wrong in a field is said under it, seen where the thumb is."""
    url = serve(desk, NOW).url
    desk.book.keep(YEASTED)
    page.goto(f"{url}/formulas/read")
    page.fill("#text", PASTED)
    page.get_by_role("button", name="Read it", exact=True).click()
    page.select_option("#read-method", "hearth-retarded")
    page.get_by_role("button", name="Open as a draft").click()
    assert_sound(page, "phone")
    page.click("#process")
    page.fill("#edit-process-oven", "warm")
    page.locator("#edit-process-oven").blur()
    expect(page.locator("#edit-process-oven-error")).to_be_in_viewport()
    page.fill("#edit-process-oven", "235")
    page.locator("#edit-process-oven").blur()
    expect(page.locator("#edit-process-oven-error")).to_have_count(0)
    page.fill("#edit-row", "18 g honey")
    page.locator(".adds button[value=row]").click()
    expect(page.locator(".at.here input:focus")).to_have_value("18")
    page.get_by_role("button", name="Save as a new formula").click()
    page.wait_for_url("**/formulas/oat-loaf")
    assert flour_g(desk.book.formula("oat-loaf")) == 550  # the starter's with it
    page.get_by_role("link", name="Plan a bake").click()
    expect(page.locator("#formula")).to_have_value("oat-loaf")
    expect(page.locator("#method")).to_have_count(0)  # how it is worked is known
    page.fill("#clock", "11:30")
    page.select_option("#formula", "yeasted-loaf")  # what another lacks is said as it is chosen
    expect(page.locator("#method")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Yeasted loaf has no levain to plan a bake from.")
    assert page.input_value("#clock") == "11:30"
    page.get_by_role("link", name="Add a levain").click()
    expect(page.locator("#add-stage")).to_be_in_viewport()


def test_a_choice_made_before_the_scripts_are_there_counts(
    desk: StoredDesk, serve: Callable[..., Site], page: Page
) -> None:
    """On a slow line a thumb is quicker than what listens to it."""
    desk.book.keep(YEASTED)
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/htmx.min.js*", hold)
    page.goto(f"{serve(desk, NOW).url}/week/wish?formula=harbour-loaf", wait_until="commit")
    page.select_option("#formula", "yeasted-loaf")
    assert held  # nothing listens yet
    for each in held:
        each.continue_()
    expect(page.locator("#method")).to_be_visible()
    expect(page.locator("#formula")).to_have_value("yeasted-loaf")


@pytest.mark.long
def test_by_thumb_from_a_file_that_is_wrong_first(
    desk: StoredDesk, serve: Callable[..., Site], page: Page
) -> None:
    url = serve(desk, NOW).url
    page.goto(f"{url}/formulas/import")
    bad = YEASTED.replace("water = 350", "water = -350").encode()
    for name, content in [("photo.jpg", b"\xff\xd8\xff\xe0"), ("loaf.toml", bad)]:
        page.set_input_files("#file", {"name": name, "mimeType": "", "buffer": content})
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.locator("#text-error")).to_be_in_viewport()
    expect(page.locator("#text-error")).to_contain_text("water")
    assert page.input_value("#text").strip() == bad.decode().strip()  # to be put right there
    page.fill("#text", YEASTED)
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/formulas/yeasted-loaf")
    assert flour_g(desk.book.formula("yeasted-loaf")) == 500
