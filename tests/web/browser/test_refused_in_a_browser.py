"""What is refused stays typed, with its reason, in the panel that it was typed in: everywhere."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from tests.faults.front import Front
from tests.faults.injector import begun, sqlite_url
from tests.timetable.hall import NOW
from tests.web.browsers import lent
from tests.whole.hall import Hall

from pointage.daybook.entry import EntryKind
from pointage.timetable.plan import StepKind

pytestmark = pytest.mark.browser
STANDS = ".rise details:has(input[name=kind][value={}])"


@pytest.fixture(scope="module")
def front(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """A kitchen whose one dough stands since half an hour, its pages at an address."""
    folder: Path = tmp_path_factory.mktemp("refused")
    with Hall(begun(sqlite_url(folder, "refused")), NOW) as hall:
        (bake,) = hall.desk.present().every_bake.values()
        for step in bake.plan.steps:
            if step.kind in (StepKind.FEED, StepKind.BUILD, StepKind.MIX) and step.hands:
                hall.now = step.end
                said = {"bake": bake.key, "step": step.key, "entry": str(uuid4())}
                assert hall.post("/bench/done", said).status_code == 303
        hall.now += timedelta(minutes=30)
        front = Front(hall)
        yield front
        front.stop()


def bake_path(front: Front) -> str:
    (key,) = front.hall.desk.present().every_bake
    return f"/daybook/bake/{key}"


def saved(panel: Locator, field: str, typed: str) -> None:
    panel.locator("summary").first.click()
    panel.locator(f"input[name={field}]").fill(typed)
    panel.locator(f"form:has(input[name={field}]) button[type=submit]").click()


def assert_kept(page: Page, panel: Locator, field: str, typed: str, why: str) -> None:
    """The panel is open and in sight, what was typed is in its field, and why stands below it."""
    box = panel.locator(f"input[name={field}]")
    expect(box).to_have_attribute("aria-invalid", "true")
    expect(box).to_have_value(typed)
    expect(box).to_be_focused()
    expect(box).to_be_in_viewport()
    reason = panel.get_by_role("alert")
    expect(reason).to_contain_text(why)
    expect(reason).to_be_in_viewport()
    assert box.get_attribute("aria-describedby") == reason.get_attribute("id")
    expect(page.locator("#waiting")).to_be_hidden()


@pytest.mark.parametrize("script", [True, False], ids=["script", "none"])
@pytest.mark.soon(1)
def test_a_refused_reading_keeps_its_panel(chromium: Browser, front: Front, script: bool) -> None:
    now, own = front.hall.now, bake_path(front)
    with lent(chromium, now=now, java_script_enabled=script, service_workers="block") as context:
        page = context.new_page()
        for path in ("/", own):
            page.goto(front.url + path)
            head = page.get_by_role("heading", level=1).inner_text()
            panel = page.locator(STANDS.format("rise"))
            saved(panel, "value", "lots")
            assert_kept(page, panel, "value", "lots", "expected a rise")
            expect(page.get_by_role("heading", level=1)).to_have_text(head)
        page.goto(front.url + "/cultures/Gannet")
        panel = page.locator("details.tell:has(form[action$=measured])")
        saved(panel, "rise", "lots")
        assert_kept(page, panel, "rise", "lots", "expected a rise")
    assert front.hall.store.entries(front.hall.kitchen, {EntryKind.READING}) == []


def test_what_is_wrong_with_what_no_longer_stands_is_said_above(front: Front) -> None:
    (key,) = front.hall.desk.present().every_bake
    said = {"bake": key, "step": "proof", "kind": "rise", "value": "lots", "entry": str(uuid4())}
    for page in ({}, {"page": key}):
        answer = front.hall.post("/bench/reading", said | page)
        assert answer.status_code == 422
        assert answer.text.index("lots") < answer.text.index('class="now"')


@pytest.mark.parametrize("script", [True, False], ids=["script", "none"])
@pytest.mark.long
def test_what_was_asked_about_and_is_changed_is_in_its_panel(
    chromium: Browser, front: Front, script: bool
) -> None:
    now, own = front.hall.now, bake_path(front)
    with lent(chromium, now=now, java_script_enabled=script, service_workers="block") as context:
        page = context.new_page()
        for path in ("/", own):
            page.goto(front.url + path)
            panel = page.locator(STANDS.format("temperature"))
            saved(panel, "value", "52")
            page.get_by_role("button", name="Change it").click()
            assert_kept(page, panel, "value", "52", "Nothing was saved")


@pytest.mark.long
def test_how_bread_was_keeps_what_was_said_of_it(chromium: Browser, front: Front) -> None:
    with lent(chromium, now=front.hall.now, service_workers="block") as context:
        page = context.new_page()
        page.goto(front.url + bake_path(front))
        page.get_by_text("Already out of the oven").click()
        page.get_by_label("gummy crumb").check()
        page.get_by_role("group", name="Crumb").get_by_text("4", exact=True).click()
        crust = page.locator("input[name=crust]")
        crust.last.evaluate("it => it.value = '9'")  # as a page of another version might send it
        page.get_by_role("group", name="Crust").get_by_text("5", exact=True).click()
        page.get_by_role("button", name="Save how the Harbour loaf was").click()
        expect(crust).to_have_value("9")
        expect(crust).to_be_focused()
        expect(page.get_by_label("gummy crumb")).to_be_checked()
        expect(page.get_by_role("group", name="Crumb").get_by_label("4")).to_be_checked()
