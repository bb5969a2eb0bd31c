"""A step that is late, on a phone: one line, one tap, and undone; and a week of several bakes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import Browser, expect
from tests.web.browser.looks import assert_sound
from tests.web.browsers import lent
from tests.web.conftest import Site
from tests.web.stored_desk import NOW, hall

from pointage.desk.answers import Report
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.now.bakes.bake import step_of
from pointage.desk.sheets.calendar import kitchen_calendar

pytestmark = pytest.mark.browser
Serve = Callable[..., Site]


def late(folder: Path, jobs: Jobs | None = None) -> tuple[StoredDesk, Site]:
    """A loaf whose mix is half an hour overdue; the site is still to be served."""
    desk = hall(folder, jobs=jobs)
    key = str(uuid4())
    plan = desk.wish(key, "harbour-loaf", 4, NOW + timedelta(hours=40), NOW)
    mix = next(step for step in plan.steps if step.key == "mix")
    for step in plan.steps:
        if step.hands and step.start < mix.start:
            desk.mark_done(Report(str(uuid4()), key, step.key, step.end))
    site = Site(desk, mix.end + timedelta(minutes=30), None)  # type: ignore[arg-type]
    desk._clock = desk.records._clock = lambda: site.now
    return desk, site


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
@pytest.mark.long
def test_a_late_mix_is_taken_and_undone(
    chromium: Browser, serve: Serve, tmp_path: Path, scripts: bool
) -> None:
    desk, when = late(tmp_path)
    site = serve(desk, when.now)
    before = kitchen_calendar(desk.present(), site.now)
    with lent(chromium, now=site.now, java_script_enabled=scripts) as context:
        page = context.new_page()
        page.goto(site.url)
        line = page.locator(".moved .line")
        expect(line).to_contain_text("Mix the dough, 30 min overdue: mix the dough at 18:00")
        expect(line).to_contain_text("bread still at Sat 09:00")
        mix = page.locator(".due").first
        expect(mix).to_contain_text("by 17:20")
        page.get_by_text("Other ways").click()
        expect(page.get_by_role("button", name="Later bread")).to_be_visible()
        page.get_by_role("button", name="Change the plan").click()
        expect(mix).to_contain_text("18:00, in 10 min")
        assert "T180000" in kitchen_calendar(desk.present(), site.now)
        expect(page.locator(".moved")).to_contain_text("Plan changed: Harbour loaf")
        width = page.evaluate("document.documentElement.scrollWidth")
        assert width <= 390
        page.get_by_role("button", name="Undo the change of plan").click()
        expect(mix).to_contain_text("by 17:20")
        expect(line).to_contain_text("30 min overdue")
    again = kitchen_calendar(desk.present(), site.now)
    hours = [
        [each for each in text.splitlines() if each.startswith("DTSTART")]
        for text in (before, again)
    ]
    assert hours[0] == hours[1]


@pytest.mark.long
def test_another_time_is_tried_out_before_it_is_taken(
    chromium: Browser, serve: Serve, tmp_path: Path
) -> None:
    desk, when = late(tmp_path, jobs=Jobs())
    site = serve(desk, when.now)
    with lent(chromium, now=site.now) as context:
        page = context.new_page()
        page.goto(f"{site.url}/week")
        page.get_by_role("link", name="Another time for Harbour loaf").click()
        page.get_by_label("Time", exact=True).fill("01:00")
        page.keyboard.press("Enter")
        expect(page.locator(".moved .line")).to_contain_text("It cannot be ready at Sat 01:00")
        page.get_by_label("Time", exact=True).fill("11:00")
        page.keyboard.press("Enter")
        expect(page.locator(".moved .line")).to_contain_text("bread at Sat 11:00 instead of")
        expect(page.locator(".bead.was").first).to_be_attached()
        page.get_by_role("button", name="15 min later").click()
        expect(page.locator(".moved .line")).to_contain_text("bread at Sat 11:15 instead of")
        page.set_viewport_size({"width": 1280, "height": 1600})
        line = page.get_by_role("slider", name="Out of the oven")
        line.press("ArrowLeft")
        expect(page.locator(".moved .line")).to_contain_text("bread at Sat 11:00 instead of")
        expect(line).to_be_focused()
        expect(line).to_have_attribute("aria-valuetext", "2026-12-05 11:00")
        row, at = page.locator('[data-day="2026-12-05"]').bounding_box(), line.bounding_box()
        assert row is not None
        assert at is not None
        page.mouse.move(at["x"] + at["width"] / 2, at["y"] + 10)
        page.mouse.down()
        page.mouse.move(row["x"] + row["width"] * 11.5 / 24, row["y"] + 10, steps=5)
        page.mouse.up()
        expect(page.locator(".moved .line")).to_contain_text("bread at Sat 11:30 instead of")
        page.get_by_role("button", name="Change the plan").press("Enter")
        expect(page.locator(".bakes")).to_contain_text("Out of the oven Sat 11:30")


@pytest.mark.long
def test_a_quarter_of_an_hour_is_gone_by_without_a_script(
    chromium: Browser, serve: Serve, tmp_path: Path
) -> None:
    desk, when = late(tmp_path)
    site = serve(desk, when.now)
    with lent(chromium, now=site.now, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(f"{site.url}/week")
        page.get_by_role("link", name="Another time for Harbour loaf").click()
        page.get_by_role("button", name="15 min later").click()
        expect(page.get_by_label("Time", exact=True)).to_have_value("09:15")
        expect(page.locator(".moved .line")).to_contain_text("Sat 09:15")


def mixed(folder: Path, jobs: Jobs | None = None) -> tuple[StoredDesk, Site]:
    """The same loaf, its dough just mixed."""
    desk, site = late(folder, jobs)
    (bake,) = desk.bakes()
    mix = step_of(bake, "mix")
    site.now = mix.end
    desk.mark_done(Report(str(uuid4()), bake.key, mix.key, mix.end))
    return desk, site


def test_a_bead_is_dragged_and_goes_by_the_keys(
    chromium: Browser, serve: Serve, tmp_path: Path
) -> None:
    desk, when = mixed(tmp_path, jobs=Jobs())
    site = serve(desk, when.now)
    divide = step_of(desk.bakes()[0], "divide")
    with lent(chromium, "laptop", now=site.now) as context:
        page = context.new_page()
        page.goto(f"{site.url}/week")
        bead, row = page.locator('[data-step="divide"]'), page.locator("[data-day]").first
        at, field = bead.bounding_box(), row.bounding_box()
        assert at is not None
        assert field is not None
        x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x - field["width"] / 96, y, steps=3)
        page.mouse.up()
        line = page.locator(".moved .line")
        expect(line).to_contain_text(f"Divide and preshape at {divide.start:%H}:00: bread still")
        expect(page.locator(".bead.was").first).to_be_attached()
        slider = page.get_by_role("slider", name="Divide and preshape")
        slider.press("ArrowRight")
        expect(line).to_contain_text("as it is planned")
        expect(slider).to_be_focused()
        slider.press("ArrowLeft")
        expect(line).to_contain_text("bread still at Sat 09:00")
        assert_sound(page, "phone", "laptop")
        page.get_by_role("button", name="Change the plan").press("Enter")
        expect(page.get_by_role("button", name="Undo the change of plan")).to_be_visible()
    assert step_of(desk.bakes()[0], "divide").start == divide.start - timedelta(minutes=15)


@pytest.mark.long
def test_a_step_is_moved_without_a_script(chromium: Browser, serve: Serve, tmp_path: Path) -> None:
    desk, when = mixed(tmp_path)
    site = serve(desk, when.now)
    with lent(chromium, now=site.now, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(f"{site.url}/week")
        page.get_by_role("link", name="Another time for Harbour loaf").click()
        page.get_by_text("Move something else").click()
        page.get_by_role("link", name="Divide and preshape").click()
        page.get_by_role("button", name="15 min earlier").click()
        expect(page.locator(".moved .line")).to_contain_text("Divide and preshape at 21:00")
        page.get_by_role("button", name="Change the plan").click()
        expect(page.get_by_text("Divide and preshape, hall, held at 21:00")).to_be_visible()
        site.now += timedelta(minutes=1)  # what happens at one instant has no order
        page.get_by_role("link", name="Another time for Harbour loaf").click()
        page.get_by_text("Move something else").click()
        page.get_by_role("link", name="Divide and preshape").click()
        page.get_by_role("button", name="Let it move again").click()
        expect(page.locator(".moved")).to_contain_text("No step is held at its time any more")
        expect(page.get_by_text("held at 21:00")).to_have_count(0)
        for _ in range(2):
            page.get_by_role("button", name="Undo the change of plan").click()
        expect(page.get_by_role("button", name="Undo the change of plan")).to_have_count(0)


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
@pytest.mark.long
def test_several_bakes_are_wished_for_and_taken(
    chromium: Browser, serve: Serve, tmp_path: Path, scripts: bool
) -> None:
    desk = hall(tmp_path, jobs=Jobs())
    site = serve(desk, NOW)
    with lent(chromium, now=NOW, java_script_enabled=scripts) as context:
        page = context.new_page()
        page.goto(f"{site.url}/week")
        page.get_by_role("link", name="Plan several bakes").click()
        page.get_by_role("button", name="Add another").click()
        page.get_by_role("button", name="Remove bake 3").click()
        second = page.get_by_role("group", name="Bake 2")
        second.get_by_label("Formula").select_option("tinned-rye")
        second.get_by_label("Time", exact=True).fill("15:00")
        for row in (page.get_by_role("group", name="Bake 1"), second):
            row.get_by_label("Pieces if other").fill("4")
        page.locator(".wishes .main").click()
        expect(page.locator(".becomes")).to_contain_text("Tinned rye, 4 pieces, Sat")
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        page.get_by_role("button", name="Take all 2 bakes").click()
        expect(page.locator("h1")).to_contain_text("Two bakes, the first out Sat")
    assert len(desk.bakes()) == 2
