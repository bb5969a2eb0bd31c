"""Pages of the sheets in every state that their templates tell apart, for the contract."""

from __future__ import annotations

from tests.web import fixture_plan as fixture
from tests.web.formula_examples import SUMMARIES

from pointage.culture.life import Life
from pointage.documents.paper import Paper
from pointage.errors import InputError
from pointage.web.frame import Frame, Page
from pointage.web.screens.sheets.view import preview_page, sheets_page
from pointage.web.words.clock import Clock


def sheet_pages(frame: Frame) -> list[Page]:
    """The list with a feed, without one, and where there can be none; a sheet, and one refused."""
    clock = Clock(fixture.skerry_hall().zone, fixture.NOW)
    lives = [Life("Plover", fixture.NOW, names=("Plover",), mass_g=100.0)]
    states = (("http://x/calendar/k.ics", True, ""), ("", True, "no room"), ("", False, ""))
    lists = [
        sheets_page(
            SUMMARIES, [fixture.friday_bake()], lives, frame, paper=Paper.A4, clock=clock,
            feed=feed, offered=offered, trouble=trouble,
        )
        for feed, offered, trouble in states
    ]  # fmt: skip
    wrong = InputError("labels", "9", "another"), InputError("salt", "x", "known")
    previews = [
        preview_page("label", "rye", {"paper": "a4"}, frame, title="Rye", error=error)
        for error in (None, *wrong)
    ]
    return [*lists, *previews, preview_page("week", "", {"paper": "letter"}, frame)]
