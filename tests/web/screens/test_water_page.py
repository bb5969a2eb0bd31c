"""The water page: what the server calculates, in words and in time, and what the phone does."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.web.browser.looks import assert_sound
from tests.web.browsers import SIZES, lent, opened
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, friday_to_read, hall

from pointage.desk.calculators.water_page import Warmths, question
from pointage.desk.desk import StoredDesk
from pointage.formula.water import answer
from pointage.web.app import create_app

Get = Callable[..., httpx.Response]


@pytest.fixture(scope="module")
def get(tmp_path_factory: pytest.TempPathFactory) -> Get:
    folder: Path = tmp_path_factory.mktemp("hall")
    app = create_app(hall(folder), lambda: NOW)
    return lambda path, **query: ask(app, "GET", ORIGIN + path, params=query)


def shown(html: str, id_: str) -> str:
    found = re.search(rf'id="{id_}"[^>]*>([^<]*)<', html)
    assert found is not None, id_
    return found[1]


def test_a_formula_leads_to_the_water_of_its_dough(get: Get) -> None:
    assert "/water?formula=harbour-loaf&amp;pieces=8" in get("/formulas/harbour-loaf").text
    page = get("/water", formula="harbour-loaf", pieces="12")
    assert page.status_code == 200
    assert "Harbour loaf, 12 pieces" in page.text
    assert re.search(r'name="flour_c"[^>]* value="17.2"', page.text)
    assert "the kitchen’s own figure" in page.text


def test_pieces_scale_the_water_and_leave_its_temperature(get: Get) -> None:
    few, many = (get("/water", formula="harbour-loaf", pieces=n).text for n in ("8", "16"))
    assert shown(few, "water") == shown(many, "water")
    assert "2.53\u00a0kg of water" in few
    assert "5.06\u00a0kg of water" in many


def test_a_mix_by_hand(get: Get) -> None:
    """1 kg of flour at 18 °C, 600 g of water, 25 °C: 25 + 1.84·7/(0.6·4.18) = 30.1; factors 39.

    To the half degree that is 30.
    """
    page = get(
        "/water", formula="", flour_g="1kg", water_g="600", levain_g="0", wanted_c="25",
        flour_c="18", room_c="18", friction_c="0", tap_c="10",
    ).text  # fmt: skip
    assert shown(page, "water") == "30"
    assert shown(page, "factor") == "39"
    assert "9\u00a0°C colder here" in shown(page, "why")


def test_ice_and_what_cannot_be(get: Get) -> None:
    usual = {"formula": "", "levain_g": "0", "flour_g": "1kg", "water_g": "600", "friction_c": "0"}
    iced = get("/water", **usual, wanted_c="20", flour_c="33", room_c="30", tap_c="25").text
    assert re.search(r'id="ice"[^>]*>\d+ g of it as ice, \d+ g from the tap.<', iced)
    hot = get("/water", **usual, wanted_c="40", flour_c="15").text
    assert shown(hot, "water") == "–"
    assert shown(hot, "unreachable").startswith("Not possible: it would take water at 58 °C")
    nearest = re.search(r"can be is ([\d.]+) °C", shown(hot, "unreachable"))
    assert nearest is not None
    there = get("/water", **usual, wanted_c=nearest[1], flour_c="15").text
    assert shown(there, "water") in ("49.5", "50")


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("wanted_c", "95", "from 5 to 40"),
        ("flour_c", "warm", "such as 25C or 77F"),
        ("friction_c", "-2", "from 0 to 30"),
        ("flour_g", "-600", "not negative"),
        ("water_g", "0", "above 0 and up to 1000 kg"),
    ],
)
def test_what_cannot_be_used_stays_typed_with_its_error(
    get: Get, field: str, text: str, said: str
) -> None:
    page = get("/water", **{"formula": "", field: text})
    assert page.status_code == 422
    error = re.search(rf'id="{field}-error" role="alert">([^<]*)<', page.text)
    assert error is not None
    assert said in error[1]
    assert f'value="{text}"' in page.text


def test_pieces_that_are_none(get: Get) -> None:
    page = get("/water", formula="harbour-loaf", pieces="0")
    assert page.status_code == 422
    assert 'id="pieces-error"' in page.text
    assert get("/water", formula="no-such").status_code == 404


def test_the_server_calculates_in_a_few_milliseconds(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    mix, warmths = desk.water.mix("seeded-rolls"), Warmths(25.0, 17.0, 23.0, 17.0, 10.0, 2.0)
    answer(question(mix, warmths))
    best = min(_seconds(lambda: answer(question(mix, warmths))) for _ in range(5))
    assert best < 0.003


def _seconds(work: Callable[[], object]) -> float:
    """Of processor time: another program on the machine is no fault of ours."""
    start = time.process_time()
    work()
    return time.process_time() - start


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    with lent(chromium) as context:
        yield context


# Dials at the ends, between, at a half degree, where ice is wanted, and where nothing will do.
SETTINGS = (
    {"wanted_c": "24.5", "flour_c": "12", "room_c": "16.5", "friction_c": "3.1"},
    {"wanted_c": "20", "flour_c": "33", "room_c": "31", "tap_c": "24.5"},
    {"wanted_c": "35", "flour_c": "2", "room_c": "7.5", "levain_c": "4"},
    {"wanted_c": "15", "flour_c": "35", "room_c": "35", "levain_c": "35", "friction_c": "15"},
    {"wanted_c": "31", "flour_c": "10", "room_c": "14", "tap_c": "1"},
)
IDS = ("water", "ice", "unreachable", "factor", "why")


def lines(page: Page) -> dict[str, str]:
    def text(id_: str) -> str:
        line = page.locator(f"#{id_}")
        return line.inner_text() if line.is_visible() else ""

    return {id_: text(id_) for id_ in IDS} | {"care": str(page.locator("#care").is_visible())}


@pytest.mark.browser
@pytest.mark.parametrize("formula", ["seeded-rolls", "harbour-loaf", ""])
@pytest.mark.soon(1)
def test_the_phone_calculates_as_the_server_does_also_without_a_network(
    chromium: Browser,
    phone: BrowserContext,
    serve: Callable[[StoredDesk], Site],
    formula: str,
) -> None:
    site = serve(friday_to_read())
    page = phone.new_page()
    said = []
    with opened(chromium, java_script_enabled=False) as asked:
        for setting in SETTINGS:
            query = "&".join(f"{name}={value}" for name, value in setting.items())
            asked.goto(f"{site.url}/water?formula={formula}&{query}")
            said.append(lines(asked))
    assert len({each["water"] for each in said}) > 2
    page.goto(f"{site.url}/water?formula={formula}")
    usual = {
        field.get_attribute("name") or "": field.input_value()
        for field in page.locator(".dial input[name]").all()
    }
    phone.set_offline(True)
    for setting, expected in zip(SETTINGS, said, strict=True):
        for name, value in (usual | setting).items():
            if name in usual:
                page.fill(f"[name={name}]", value)
        assert lines(page) == expected


@pytest.mark.browser
def test_moving_the_slider_moves_the_numeral(
    phone: BrowserContext, serve: Callable[[StoredDesk], Site]
) -> None:
    page = phone.new_page()
    page.goto(serve(friday_to_read()).url + "/water?formula=harbour-loaf&flour_c=17")
    before = page.locator("#water").inner_text()
    slider = page.get_by_role("slider", name="Flour")
    slider.focus()
    for _ in range(4):  # the numeral is to half a degree
        page.keyboard.press("ArrowRight")
    expect(page.locator("[name=flour_c]")).to_have_value("19")
    expect(page.locator("#water")).not_to_have_text(before)
    for _ in range(4):
        page.keyboard.press("ArrowLeft")
    expect(page.locator("#water")).to_have_text(before)


@pytest.mark.browser
@pytest.mark.long
def test_the_page_is_accessible(page: Page, serve: Callable[[StoredDesk], Site]) -> None:
    site = serve(friday_to_read())
    for query in ("formula=seeded-rolls", "formula=&wanted_c=40", "formula=&flour_g=x&flour_c=x"):
        page.goto(f"{site.url}/water?{query}")
        assert_sound(page, *SIZES)
