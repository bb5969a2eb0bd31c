"""Figures as the pages show them: the one place that knows how they are worded."""

from __future__ import annotations

import re
from urllib.parse import quote

from tests.whole.hall import Hall
from tests.whole.pages import words

AMOUNT = re.compile(r"Amount ([\d.]+) (k?g), (.+?) (?:Now|Keeps|Next|Vigour|Planned|Record)")

EMPTY = "Nothing is left in it."


def page(hall: Hall, name: str) -> str:
    """What the page of a culture says."""
    answer = hall.get(f"/cultures/{quote(name, safe='')}")
    assert answer.status_code == 200
    return words(answer.text)


def grams_of(hall: Hall, name: str) -> float:
    """How much there is of a culture, by its page."""
    return _stands(hall, name)[0]


def place_of(hall: Hall, name: str) -> str:
    """Where a culture is, by its page."""
    return _stands(hall, name)[1]


def _stands(hall: Hall, name: str) -> tuple[float, str]:
    said = page(hall, name)
    if EMPTY in said:
        return 0.0, ""
    found = AMOUNT.search(said)
    assert found is not None, f"the page of {name} does not say how much there is and where"
    return float(found[1]) * (1000 if found[2] == "kg" else 1), found[3].casefold()


def stock_of(hall: Hall, ingredient: str) -> float:
    """Grams of an ingredient in the stores."""
    shelves = hall.desk.larder.look(hall.now).shelves
    return next((float(each.stock_g) for each in shelves if each.ingredient == ingredient), 0.0)
