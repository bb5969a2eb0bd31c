"""Every form says all that is wrong with what was typed at once, each fault under its own field."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

FEED = {"flour": "rye-whole", "place": "Hall"}
POSTED = [
    ("/cultures/raise", {"flour": "rye-whole", "place": "Hall"}, {"name": "Gannet", "daily": "no"}),
    ("/cultures/Gannet/fed", FEED,
     {"seed_g": "x", "flour_g": "", "water_g": "-1", "happened": "y"}),
    ("/cultures/Gannet/measured", {}, {"rise": "99", "ph": "12", "happened": "soon"}),
    ("/cultures/Gannet/split", {}, {"new_name": "Plover", "grams": "lots"}),
    ("/larder/buy", {"per": "all"},
     {"item": "gold", "mass": "0g", "price": "dear", "best_before": "x"}),
    ("/larder/count", {}, {"item": "gold", "mass": "some"}),
    ("/daybook/told/baked", {}, {"pieces": "none", "oven_c": "900", "happened": "then"}),
    ("/daybook/told/weighed", {}, {"grams": "-1", "pieces": "0"}),
    ("/week/wish", {"formula": "harbour-loaf", "day": "2026-12-01", "clock": "09:00"},
     {"pieces": "few", "day": "2026-12-01"}),
    ("/kitchen/place/change", {"row": "Hall", "name": "Hall", "kind": "room"},
     {"temperature": "warm", "spread": "99"}),
    ("/kitchen/vessel/add", {"use": "tub"}, {"tare": "x", "volume": "y", "material": "jelly"}),
    ("/kitchen/kitchen/change", {"name": "Hall", "tap": "10C"},
     {"zone": "Skerry", "altitude": "high"}),
]  # fmt: skip
ASKED = [
    ("/cultures/raise", {"daily": "no", "vessel": "hat"}),
    ("/cultures/Gannet/change", {"flour": "rye-whole", "hydration": "x", "kept": "0"}),
    ("/cultures/Gannet/weeks", {"days": "2026-12-09", "clock": "x", "grams": "y"}),
    ("/water", {"formula": "", "flour_g": "x", "wanted_c": "99"}),
    ("/oven", {"mass": "x", "from": "99C", "loaves": "0", "steam": "2d"}),
    ("/flour", {"one-grams": "x", "two-ash": "99", "wanted": "y", "value": "z", "type": "q"}),
    ("/formulas/harbour-loaf/label", {"serving": "x", "loss": "all", "may-contain": "gravel"}),
    ("/formulas/harbour-loaf/what-if", {"wish": "flour", "old": "x", "new": "y", "share": "z"}),
    ("/formulas/harbour-loaf", {"pieces": "few", "piece": "big"}),
]
RIGHT = frozenset({"flour", "formula", "wish", "days"})
"""Fields of a question with which nothing is wrong."""


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path, NOW)


def each_has_its_line(answer: httpx.Response, wrong: dict[str, str]) -> None:
    """Each field has what was typed, and a line that describes it."""
    assert answer.status_code == 422
    page = answer.text
    for name, text in wrong.items():
        tags = re.findall(rf'<(?:input|select)[^>]*\bname="{name}"[^>]*>', page)
        described = [
            (tag, found[1])
            for tag in tags
            if (found := re.search(r'aria-describedby="([^"]+)"', tag))
        ]
        assert described, f"{name} has no line of its own"
        for tag, line in described:
            assert re.search(rf'<p class="error" id="{line}"', page), name
            value = re.search(r'value="([^"]*)"', tag)
            assert value is None or unescape(value[1]) == text


@pytest.mark.parametrize(("path", "right", "wrong"), POSTED)
@pytest.mark.soon(4)
def test_a_form_that_was_sent(
    desk: StoredDesk, path: str, right: dict[str, str], wrong: dict[str, str]
) -> None:
    told = {"entry": str(uuid4()), "revision": "1"} | right | wrong
    app = create_app(desk, lambda: NOW + timedelta(minutes=1))
    each_has_its_line(ask(app, "POST", ORIGIN + path, data=told, headers={"Origin": ORIGIN}), wrong)


@pytest.mark.parametrize(("path", "asked"), ASKED)
def test_a_question(desk: StoredDesk, path: str, asked: dict[str, str]) -> None:
    app = create_app(desk, lambda: NOW)
    wrong = {name: text for name, text in asked.items() if name not in RIGHT}
    each_has_its_line(ask(app, "GET", ORIGIN + path, params=asked), wrong)
