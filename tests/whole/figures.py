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
    return stands(name, page(hall, name))[0]


def place_of(hall: Hall, name: str) -> str:
    """Where a culture is, by its page."""
    return stands(name, page(hall, name))[1]


def stands(name: str, said: str) -> tuple[float, str]:
    """How much there is of a culture and where it is, as its page says."""
    if EMPTY in said:
        return 0.0, ""
    found = AMOUNT.search(said)
    assert found is not None, f"the page of {name} does not say how much there is and where"
    return float(found[1]) * (1000 if found[2] == "kg" else 1), found[3].casefold()


def stock_of(hall: Hall, ingredient: str) -> float:
    """Grams of an ingredient in the stores."""
    return stocks_of(hall).get(ingredient, 0.0)


def stocks_of(hall: Hall) -> dict[str, float]:
    """Grams of every ingredient in the stores."""
    shelves = hall.desk.larder.look(hall.now).shelves
    return {each.ingredient: float(each.stock_g) for each in shelves}
