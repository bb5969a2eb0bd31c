"""A new culture as a page for whoever raises one in a room of their own."""

from __future__ import annotations

from collections.abc import Callable

from pointage.culture.raising import WARM_C
from pointage.desk.cultures.raising import CAUTIONS, CLOSED, OPEN
from pointage.documents.page.raising import raised_grid
from pointage.documents.page.write import raising_html
from pointage.language import language, say
from pointage.shown import shown, warmth_span


def share_raising(reached: Callable[[float], None] = lambda share: None) -> str:
    """The page, as HTML."""
    facts = {
        "lang": language().tag,
        "shown": {"degrees": shown().degrees, "clock": shown().clock, "ounces": shown().ounces},
        "lids": [say(CLOSED), say(OPEN)],
        "grid": raised_grid(reached),
    }
    return raising_html(facts, cautions=[say(each) for each in CAUTIONS], warm=warmth_span(*WARM_C))
