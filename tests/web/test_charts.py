"""The chart of a course, read back as SVG."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from datetime import datetime, timedelta

import pytest
from tests.web import fixture_plan as fixture

from pointage.timetable.plan import StepCourse
from pointage.web.drawing.charts import Seen, rise_chart
from pointage.web.drawing.svg import element
from pointage.web.words.clock import Clock

START = fixture.at(fixture.THURSDAY, "18:40")
Drawn = dict[str, list[ET.Element]]


def drawn(standing: StepCourse, now: datetime, seen: Sequence[Seen] = ()) -> Drawn:
    """The elements of the narrow drawing, by their class."""
    chart = rise_chart(standing, Clock(fixture.ZONE, now), seen, "a course")
    ET.fromstring(chart.wide)
    found: Drawn = {}
    for each in ET.fromstring(chart.narrow).iter():
        found.setdefault(each.get("class", ""), []).append(each)
    return found


def course(hours: float = 14.0) -> StepCourse:
    return fixture.standing(START, hours, 2.2, (10.5, 13.5), 26)


def test_now_is_a_line_a_dot_and_words() -> None:
    parts = drawn(course(), START + timedelta(hours=7))
    (line,), (dot,), (words,) = parts["now"], parts["now-dot"], parts["now-label"]
    assert line.get("x1") == line.get("x2") == dot.get("cx")
    # Half the course has gone by: half the width between the labels on the left and the margin.
    assert float(dot.get("cx", "")) == pytest.approx(40 + (350 - 40 - 10) / 2, abs=0.1)
    assert (words.text or "").startswith("now 1.")


def test_near_the_end_the_words_stand_left_of_their_line() -> None:
    (early,) = drawn(course(), START + timedelta(hours=2))["now-label"]
    (late,) = drawn(course(), START + timedelta(hours=13))["now-label"]
    assert (early.get("text-anchor"), late.get("text-anchor")) == ("start", "end")


def test_what_was_left_standing_has_its_now_without_a_rise_and_not_for_ever() -> None:
    left = drawn(course(), START + timedelta(hours=20))
    assert "now" in left
    assert "now-dot" not in left
    assert "now" not in drawn(course(), START + timedelta(hours=60))
    assert "now" not in drawn(course(), START - timedelta(hours=1))


def test_the_ripe_window_is_shaded_twice_where_there_is_one() -> None:
    outer, inner = drawn(course(), START)["ripe"]
    assert float(outer.get("width", "")) > float(inner.get("width", ""))
    assert "ripe" not in drawn(fixture.standing(START, 14, 2.2, None, 26), START)


def test_a_reading_above_the_forecast_stays_within_the_drawing() -> None:
    parts = drawn(course(), START, [Seen(START + timedelta(hours=5), 4.0)])
    (ring,) = parts["seen-ring"]
    assert float(ring.get("cy", "")) >= 12


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        (14, ["21:00", "00:00", "03:00", "06:00"]),
        (120, ["Fri", "Sat", "Sun", "Mon", "Tue"]),
    ],
)
def test_labels_are_full_hours_and_over_days_their_names(hours: float, expected: list[str]) -> None:
    parts = drawn(course(hours), START)
    along = [each.text for each in parts["hour"] if each.get("text-anchor") != "end"]
    assert along[: len(expected)] == expected


def test_what_is_written_into_an_element_is_escaped() -> None:
    assert element("text", "a < b", class_='x" y') == ('<text class="x&#34; y">a &lt; b</text>')
