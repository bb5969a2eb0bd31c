"""The label's page and the flour page, on the demonstration kitchen in a store of its own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.web.app import create_app

Get = Callable[..., httpx.Response]


@pytest.fixture(scope="module")
def get(tmp_path_factory: pytest.TempPathFactory) -> Get:
    folder: Path = tmp_path_factory.mktemp("hall")
    app = create_app(hall(folder), lambda: NOW)
    return lambda path, **query: ask(app, "GET", ORIGIN + path, params=query)


def test_the_formula_leads_to_its_label(get: Get) -> None:
    assert 'href="/formulas/harbour-loaf/label"' in get("/formulas/harbour-loaf").text


def test_a_label_by_either_law(get: Get) -> None:
    american = get("/formulas/tinned-rye/label")
    assert american.status_code == 200
    assert "Total carbohydrate" in american.text
    assert "no allergen that must be named" in american.text
    european = get("/formulas/tinned-rye/label", style="eu", **{"may-contain": "nuts, sesame"})
    assert "of which saturates" in european.text
    assert "<strong>Whole rye flour</strong>" in european.text
    assert "<b>May contain:</b> sesame, nuts." in european.text
    for page in (american.text, european.text):
        assert page.count("Fermenting does not make gluten grains safe") == 1


@pytest.mark.parametrize(
    ("field", "value", "line"),
    [
        ("style", "uk", "expected us or eu"),
        ("serving", "lots", "expected a mass such as"),
        ("loss", "99%", "99 % cannot be used; expected from 0 to the"),
        ("may-contain", "sesam", "expected an allergen such as"),
    ],
)
def test_what_cannot_be_used_comes_back_as_it_was_typed(
    get: Get, field: str, value: str, line: str
) -> None:
    answer = get("/formulas/harbour-loaf/label", **{field: value})
    assert answer.status_code == 422
    assert line in answer.text
    assert f'id="{field}-error"' in answer.text
    if field != "style":  # the list shows what it has
        assert f'value="{value}"' in answer.text


def test_no_label_of_what_is_not_there(get: Get) -> None:
    assert get("/formulas/stollen/label").status_code == 404


def test_flour_as_it_stands_and_to_a_wish(get: Get) -> None:
    # By hand: 0.55 × 0.7 + 1.6 × 0.3 = 0.865 % of ash; falling numbers 320 and 250 are
    # liquefaction numbers 22.222 and 30, 24.556 together, which is 294 s.
    plain = get("/flour").text
    assert "0.86" in plain
    assert "294\u00a0s" in plain
    assert "13.95\u00a0%" in plain  # 12 % at 14 % moisture, of dry matter
    assert "<b>812</b>" in plain  # what T65 is in Germany, by ash
    # By hand: (1.6 − 0.7) / (1.6 − 0.55) = 85.7 % of the first flour for an ash of 0.7 %.
    assert "85.7\u00a0%" in get("/flour", wanted="0.7").text


@pytest.mark.parametrize(
    ("field", "value", "line"),
    [
        ("wanted", "3", "3 cannot be used; expected between the two flours, 0.55 and 1.6"),
        ("one-ash", "much", "expected an ash in percent of the dry matter, from 0.2 to 4"),
        ("one-falling", "20", "expected a falling number from 62 to 600 s"),
        (
            "one-moisture",
            "50 %",
            "expected a moisture in percent of the flour as bought, from 4 to 20",
        ),
        ("two-protein", "91", "expected a protein in percent of the dry matter, from 0 to 90 %"),
        ("value", "", "Missing; expected something in this field"),
        ("to", "41", "expected a moisture to calculate at from 0 to 40 %"),
        ("type", "T70", "expected one of T45, T55"),
        ("grain", "oat", "expected wheat or rye"),
    ],
)
def test_a_sum_that_cannot_be_used(get: Get, field: str, value: str, line: str) -> None:
    answer = get("/flour", **{field: value})
    assert answer.status_code == 422
    assert line in answer.text
    assert answer.text.count('class="error"') == 1
