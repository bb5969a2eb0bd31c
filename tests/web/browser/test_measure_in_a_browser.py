"""A rise read off a photograph: the arithmetic against a pinhole camera, and the page by thumb.

The camera is the textbook's: a point at height z on the vessel's axis, seen from distance d and
height h by a camera pitched by t, lies at tan(atan((z - h) / d) - t) of its picture (projective
geometry, any handbook of computer vision).
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from math import atan, cos, radians, sin, sqrt, tan
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Browser, Page, Route, expect
from tests.faults.ids import Ids
from tests.faults.injector import begun, sqlite_url
from tests.timetable.hall import NOW
from tests.web import fixture_plan as fixture
from tests.web.browsers import lent, opened
from tests.web.conftest import Site
from tests.whole.hall import Hall

from pointage.daybook.entry import EntryKind

pytestmark = pytest.mark.browser
FIELD = 0.9  # the tangent that spans half the picture


def seen(z: float, far: float, high: float, pitch: float) -> float:
    """Where a height is in the picture, in shares from its top."""
    return 0.5 - tan(atan((z - high) / far) - radians(pitch)) / (2 * FIELD)


def jar(rise: float, far: float, pitch: float) -> tuple[float, ...]:
    """Top, mark and bottom of a vessel whose mark is at 1, pictured level with its middle."""
    return tuple(seen(z, far, rise / 2, pitch) for z in (rise, 1.0, 0.0))


@pytest.fixture
def page(chromium: Browser, site: Site) -> Iterator[Page]:
    with lent(chromium, now=fixture.NOW) as context:
        page = context.new_page()
        page.goto(site.url)
        yield page


@pytest.mark.long
def test_the_rise_lies_within_its_doubt_up_to_fifteen_degrees(page: Page) -> None:
    rng = np.random.default_rng(5)
    jars = []
    for _ in range(2000):
        rise = float(rng.uniform(1.0, 3.0))
        far = float(rng.uniform(2.5, 6.0)) * max(rise, 1.0)
        jars.append((rise, jar(rise, far, float(rng.uniform(-15, 15)))))
    lines = [each for _, each in jars]
    found = page.evaluate(
        """async (jars) => {
            const { risen } = await import("/static/measure.js");
            return jars.map((each) => risen(...each));
        }""",
        lines,
    )
    off = [each["rise"] - rise for each, (rise, _) in zip(found, jars, strict=True)]
    assert all(abs(by) <= each["doubt"] + 1e-9 for by, each in zip(off, found, strict=True))
    # What tilting costs, up to 15 degrees and no nearer than 2.5 heights.
    assert np.median(np.abs(off)) < 0.03
    assert np.max(np.abs(off)) < 0.22


def corner(z: float, radius: float, far: float, high: float, pitch: float) -> tuple[float, float]:
    """Where a jar's round side is seen at a height: how far down, and half how wide it is there.

    The edge that is seen of a circle is where a line of sight touches it.
    """
    sine, lean = radius / far, radians(pitch)
    away = far - radius * sine
    depth = away * cos(lean) + (z - high) * sin(lean)
    up = (z - high) * cos(lean) - away * sin(lean)
    across = radius * sqrt(1 - sine * sine)
    return 0.5 - up / depth / (2 * FIELD), across / depth / (2 * FIELD)


@pytest.mark.long
def test_a_jar_that_widens_or_narrows_lies_within_its_doubt(page: Page) -> None:
    rng = np.random.default_rng(7)
    jars: list[tuple[float, list[object]]] = []
    for _ in range(1500):
        high, ratio = float(rng.uniform(1.0, 3.0)), float(rng.uniform(0.75, 1.6))
        base, pitch = float(rng.uniform(0.4, 0.6)), float(rng.uniform(-15, 15))
        far = float(rng.uniform(2.5, 6.0)) * high
        radii = [base * (1 + (ratio - 1) * z / high) for z in (high, 1.0, 0.0)]
        (top, level), (mark, _), (bottom, below) = (
            corner(z, radius, far, high / 2, pitch)
            for z, radius in zip((high, 1.0, 0.0), radii, strict=True)
        )
        true = contents(high, radii[2], radii[0]) / contents(1.0, radii[2], radii[1])
        edges = [[0.5 - below, 0.5 + below], [0.5 - level, 0.5 + level]]
        jars.append((true, [top, mark, bottom, edges, [2 * radii[2], 2 * radii[0]]]))
    found = page.evaluate(
        """async (jars) => {
            const { risen, leaning } = await import("/static/measure.js");
            return jars.map(([top, mark, bottom, edges, widths]) => [
                risen(top, mark, bottom, leaning([0, 0], edges, 0.006)),
                risen(top, mark, bottom, leaning(widths, edges, 0.006)),
                risen(top, mark, bottom),
            ]);
        }""",
        [each for _, each in jars],
    )
    for touched, typed in ((0, False), (1, True)):
        off = [each[touched]["rise"] - true for each, (true, _) in zip(found, jars, strict=True)]
        doubts = [each[touched]["doubt"] for each in found]
        assert all(abs(by) <= doubt + 1e-9 for by, doubt in zip(off, doubts, strict=True))
        # What tilting costs at the median; a jar taken for straight is off by three times as much.
        assert np.median(np.abs(off)) < (0.04 if typed else 0.07)
        assert np.median(doubts) < 0.45
    straight = [each[2]["rise"] - true for each, (true, _) in zip(found, jars, strict=True)]
    assert np.median(np.abs(straight)) > 0.12


def contents(height: float, below: float, above: float) -> float:
    """What stands in a round jar between two radii, by slices of it: no formula of ours."""
    radii = np.linspace(below, above, 2001)
    return float(np.trapezoid(np.pi * radii**2, np.linspace(0.0, height, 2001)))


def test_lines_that_cross_are_no_rise(page: Page) -> None:
    found = page.evaluate(
        """async () => {
            const { risen } = await import("/static/measure.js");
            const crossed = [[0.2, 0.8, 0.5], [0.6, 0.3, 0.5], [0.2, 0.5, 0.5], [NaN, 0.5, 1]];
            return crossed.map((each) => risen(...each));
        }"""
    )
    assert found == [None, None, None, None]


@pytest.mark.long
def test_what_is_no_such_jar_is_no_rise(page: Page) -> None:
    found = page.evaluate(
        """async () => {
            const { risen, leaning } = await import("/static/measure.js");
            const jars = [[[3, 9], []], [[9, 3], []], [[0, 0], [[0.5, 0.5], [0.2, 0.8]]]];
            return jars.map(([typed, edges]) => risen(0.2, 0.5, 0.9, leaning(typed, edges, 0.006)));
        }"""
    )
    assert found == [None, None, None]


@pytest.mark.long
def test_marks_upside_down_are_refused_and_a_taper_is_corrected(page: Page) -> None:
    rise = page.locator("details:has(.measure)").first
    rise.locator("summary").click()
    measure, value = rise.locator(".measure"), rise.locator("input[name=value]")
    measure.locator("input[type=file]").set_input_files(
        {"name": "jar.jpg", "mimeType": "image/jpeg", "buffer": picture((0.2, 0.5, 0.8))}
    )
    said = measure.locator("output")
    for name, at in (("Level now", 0.8), ("Level after mixing", 0.5), ("Bottom", 0.2)):
        measure.get_by_label(name, exact=True).fill(str(1000 * at))
    expect(said).to_contain_text("the bottom lowest")
    expect(value).to_have_value("")
    for name, at in (("Level now", 0.2), ("Bottom", 0.8)):
        measure.get_by_label(name, exact=True).fill(str(1000 * at))
    expect(value).to_have_value("2.00")
    measure.get_by_label("wider at the top").check()
    measure.get_by_label("Width at the bottom").fill("8")
    measure.get_by_label("Width at the level now").fill("9,6")
    # By volume: 2 (1 + 1.2 + 1.44) / (1 + 1.1 + 1.21) = 2.199
    expect(value).to_have_value("2.20")
    measure.get_by_label("Width at the level now").fill("30")
    expect(said).to_contain_text("cannot be measured off a photograph")
    expect(value).to_have_value("")
    for field in ("bottom", "level now"):
        measure.get_by_label(f"Width at the {field}").fill("")
    canvas = measure.locator("canvas")
    box = canvas.bounding_box()
    assert box is not None
    for x, y in ((0.1, 0.2), (0.9, 0.2), (0.2, 0.8), (0.8, 0.8)):  # the corners of 0.8 to 0.6
        canvas.click(position={"x": x * box["width"], "y": y * box["height"]})
    # 2 (1 + 4/3 + 16/9) / (1 + 7/6 + 49/36) = 2.331; a tap is a pixel.
    expect(value).to_have_value(re.compile(r"2\.3[1-5]"))


def picture(lines: tuple[float, ...]) -> bytes:
    """A jar as it might be photographed."""
    image = Image.new("RGB", (600, 800), "#cfc6b2")
    top, mark, bottom = (int(800 * each) for each in lines)
    pen = ImageDraw.Draw(image)
    pen.rectangle((200, 60, 400, bottom), outline="#444", width=4)
    pen.rectangle((204, top, 396, bottom - 4), fill="#b98a58")
    pen.line((196, mark, 404, mark), fill="#c00", width=3)
    content = io.BytesIO()
    image.save(content, "JPEG")
    return content.getvalue()


def test_a_photograph_is_measured_and_kept_with_its_reading(page: Page, site: Site) -> None:
    lines = (0.25, 0.5, 0.82)
    sent: list[bytes] = []

    def keep(route: Route) -> None:
        sent.append(route.request.post_data_buffer or b"")
        data = route.request.post_data_buffer or b""
        entry = data.partition(b'name="entry"')[2].split()[0].decode()
        route.fulfill(status=200, headers={"Pointage": "web", "Pointage-Entry": entry})

    page.route("**/daybook/photo", keep)
    rise = page.locator("details:has(.measure)").first
    rise.locator("summary").click()
    measure = rise.locator(".measure")
    measure.locator("input[type=file]").set_input_files(
        {"name": "jar.jpg", "mimeType": "image/jpeg", "buffer": picture(lines)}
    )
    for name, at in zip(("Level now", "Level after mixing", "Bottom"), lines, strict=True):
        measure.get_by_label(name, exact=True).fill(str(1000 * at))
    # (0.82 - 0.25) / (0.82 - 0.5) = 1.78
    expect(measure.locator("output")).to_contain_text("1.78 ± 0.")
    expect(rise.locator("input[name=value]")).to_have_value("1.78")
    with page.expect_response("**/bench/reading"), page.expect_response("**/daybook/photo"):
        rise.get_by_role("button", name="Save").click()
    assert b"1.78" in sent[0]
    assert b"jar.jpg" in sent[0]
    readings = [r.value for news in site.desk.bakes()[0].news.values() for r in news.readings]
    assert 1.78 in readings


@pytest.mark.long
def test_what_is_no_picture_is_said_to_be_none(page: Page) -> None:
    rise = page.locator("details:has(.measure)").first
    rise.locator("summary").click()
    measure = rise.locator(".measure")
    measure.locator("input[type=file]").set_input_files(
        {"name": "jar.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"}
    )
    expect(measure.locator("output")).to_contain_text("no picture")


@pytest.mark.long
def test_a_picture_taken_without_a_network_is_sent_once_after_its_reading(
    chromium: Browser, serve: Callable[..., Site], tmp_path: Path
) -> None:
    with Hall(begun(sqlite_url(tmp_path, "photo")), NOW) as hall, opened(chromium) as page:
        key = Ids.of(hall).bake
        plan = hall.desk.present().every_bake[key].plan
        mix = next(step for step in plan.steps if step.key == "mix")
        hall.now = mix.end + timedelta(hours=1)
        hall.post("/bench/done", {"entry": str(uuid4()), "bake": key, "step": "mix"})
        site = serve(hall.desk, hall.now)
        page.goto(site.url)
        page.context.set_offline(True)
        rise = page.locator("details:has(.measure)").first
        rise.locator("summary").click()
        rise.locator("input[type=file]").set_input_files(
            {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture((0.25, 0.5, 0.82))}
        )
        expect(rise.locator("output")).to_contain_text("±")
        rise.get_by_role("button", name="Save").click()
        expect(page.locator("#waiting div")).to_have_count(2)
        also = page.locator("details.also").first
        also.locator("summary").click()
        also.locator("input[type=file]").set_input_files(
            {"name": "b.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"}
        )
        also.locator("form:has(input[type=file])").get_by_role("button", name="Save").click()
        expect(page.locator("#waiting div")).to_have_count(3)
        page.context.set_offline(False)
        page.evaluate("dispatchEvent(new Event('online'))")
        expect(page.locator("#waiting div")).to_have_count(1)
        expect(page.locator("#waiting")).to_contain_text("Refused")
        page.get_by_role("button", name="Delete").click()
        expect(page.locator("#waiting")).to_be_hidden()
        kinds = {EntryKind.READING, EntryKind.PHOTO}
        said = sorted(hall.store.entries(hall.kitchen, kinds), key=lambda each: each.number)
        assert [each.kind for each in said] == [EntryKind.READING, EntryKind.PHOTO]
        assert hall.desk.records.photo(said[1].body["sha256"]) is not None
        assert "±" in said[1].body["caption"]
        assert said[1].body["step"] == said[0].body["step"]
