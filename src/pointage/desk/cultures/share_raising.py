"""A new culture as a page for whoever raises one in a room of their own."""

from __future__ import annotations

from collections.abc import Callable

from pointage.culture.raising import WARM_C
from pointage.desk.cultures.raising import CAUTIONS, CLOSED, OPEN
from pointage.documents.page.plain import rights_words
from pointage.documents.page.raising import raised_grid
from pointage.documents.page.write import raising_html
from pointage.formula.formula import Rights
from pointage.language import language, say
from pointage.shown import shown, warmth_span

NOBODYS = Rights()


def share_raising(
    rights: Rights = NOBODYS, reached: Callable[[float], None] = lambda share: None
) -> str:
    """The page, as HTML. rights: of who gives it out."""
    facts = {
        "lang": language().tag,
        "shown": {"degrees": shown().degrees, "clock": shown().clock, "ounces": shown().ounces},
        "lids": [say(CLOSED), say(OPEN)],
        "grid": raised_grid(reached),
    }
    cautions = [say(each) for each in CAUTIONS]
    warm = warmth_span(*WARM_C)
    return raising_html(facts, cautions=cautions, rights=rights_words(rights), warm=warm)
