"""Whole walks of a baker at 65 °F, the clock moved by the test: what each page advises, day by day.

What is right to do on such a day is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from tests.web.walking import BEGUN, Walk, walking

pytestmark = pytest.mark.browser
RAISING = "/cultures/Skua/raising"
FOUL = ("seen=risen by half", "seen=bubbles", "smelled=cheese")
FLAT = ("seen=not risen", "seen=a few bubbles", "smelled=yoghurt")
LIVELY = ("seen=risen by half", "seen=bubbles", "smelled=yeast")
DOUBLED = ("seen=doubled", "seen=bubbles", "smelled=yeast")


@pytest.fixture
def walk(
    chromium: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[datetime], Walk]]:
    with ExitStack() as stack:
        yield lambda start: stack.enter_context(walking(chromium, tmp_path, start, monkeypatch))


def begin(walk: Callable[[datetime], Walk]) -> Walk:
    """Skua, of whole wheat, on 5 October at 10:00."""
    day = walk(datetime(2026, 10, 5, 14, tzinfo=UTC))
    day.post("/begin", BEGUN)
    day.press(
        "/cultures/raise", "/cultures/raise", name="Skua", flour="wheat-whole", daily="50",
        place="Counter",
    )  # fmt: skip
    return day


def feed(day: Walk) -> None:
    day.press("/", "/bench/culture", culture="Skua")


@pytest.mark.long
def test_from_the_first_visit_to_the_first_feed(walk: Callable[[datetime], Walk]) -> None:
    day = walk(datetime(2026, 10, 5, 14, tzinfo=UTC))
    page = day.phone
    day.looks("/", "Your kitchen", "How warm it is there °F")
    for label in ("name", "town", "spot_c", "jar_l", "jar_g", "sleep"):
        page.locator(f"input[name={label}]").fill(BEGUN[label])
    page.get_by_role("button", name="Begin", exact=True).click()
    page.wait_for_url("**/cultures/raise")
    words = day.read("/cultures/raise")
    assert "65 °F is colder than" in words
    assert "from day 15 on" in words
    assert "day 15 here, at 65 °F" in words  # one answer to one question
    page.get_by_text("Start it now").click()
    page.locator("details[open] input[name=name]").fill("Skua")
    page.locator("details[open] button[type=submit]").click()
    page.wait_for_url("**/raising")
    day.looks(RAISING, "Skua, day 1", "Next: Skua, day 2", "from day 15")
    day.looks("/", "Skua, day 2", "at Tue 10:00 am", "not for eating yet")
    day.at(10, 6)
    day.looks("/", "Now", "Skua, day 2")
    page.get_by_role("button", name="Done").click()
    page.get_by_text("Recorded 10:00 am: Skua: fed.").wait_for()
    # The very answer to the tap has the next day, and not what was due before it.
    assert "Skua, day 3" in page.locator("main").inner_text()
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("heading", name="Skua, day 2").wait_for()
    assert len(day.desk.present().life("Skua").stands) == 1


@pytest.mark.long
def test_sixteen_days_by_what_is_seen(walk: Callable[[datetime], Walk]) -> None:
    """A waited day, a false start, a lull, a day missed, a warm spell, and then it doubles."""
    day = begin(walk)
    day.at(10, 6, "9:45")
    day.sees("Skua", "seen=not risen", "seen=no bubbles", "smelled=flour")
    bench = day.read()
    assert "Skua, day 3" in bench  # it was looked at, and it is not fed before something happens
    assert "Stir it and wait" in bench
    assert "Done" not in bench
    day.at(10, 7)
    day.press("/", "/bench/culture", event="looked")
    assert "Skua, day 4 at Thu" in day.read()
    day.at(10, 8, "9:45")
    day.sees("Skua", *FOUL)
    assert "A false start" in day.read(RAISING)
    assert "into the compost" in day.read()
    feed(day)
    for date in (9, 10, 11):
        day.at(10, date)
        day.sees("Skua", *FLAT)
        feed(day)
    words = day.read(RAISING)
    assert "The lull" in words
    assert "no failure" in words
    day.looks(RAISING, "Skua, day 7", "The lull", "closed against drying")
    day.at(10, 13)  # the 12th was missed
    bench = day.read()
    assert "Skua, day 9 at Mon 10:00 am , 24 h ago" in bench
    assert "nothing is lost" in bench
    day.sees("Skua", *LIVELY)  # a warm spell: it stirs sooner than it would at 65 °F
    feed(day)
    for date in range(14, 20):
        day.at(10, date)
        day.sees("Skua", *DOUBLED)
        assert "for pancakes or crackers" in day.read()
        feed(day)
    day.at(10, 20)
    day.sees("Skua", *DOUBLED)
    words = day.read(RAISING)
    assert "Skua, day 16" in words
    assert "It may be trusted by now" in words
    day.looks(RAISING, "It may be trusted by now", "Plan a bake", "Keep it going")


@pytest.mark.long
def test_mould_on_day_four(walk: Callable[[datetime], Walk]) -> None:
    day = begin(walk)
    for date in (6, 7):
        day.at(10, date)
        feed(day)
    day.at(10, 8, "9:50")
    day.sees("Skua", "seen=mould")
    words = day.read(RAISING)
    assert "Now: Throw Skua away" in words
    assert "What do you see?" not in words  # nobody is asked to smell it
    day.looks("/", "Throw Skua away", "Do not taste it or smell it closely", "scald the jar")
    feed_ = day.press("/", "/bench/culture", culture="Skua", event="retired")
    assert feed_.status_code == 303
    day.looks("/", "There is no culture", "Raise a culture", "Skua: retired", "Undo")
    day.looks("/cultures/Skua", "It is retired.", "Another of this name")
    day.at(10, 9)
    day.press(
        "/cultures/raise?name=Skua", "/cultures/raise", flour="wheat-whole", daily="50",
        place="Counter",
    )  # fmt: skip
    assert "Skua, day 2" in day.read()
    assert "Throw" not in day.read()  # what was seen in the one before is not in this one
