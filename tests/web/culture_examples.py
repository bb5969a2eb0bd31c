"""One culture's pages in every state that a template tells apart. Invented."""

from __future__ import annotations

from datetime import UTC, datetime

from tests.web import fixture_plan as fixture

from pointage.culture.life import (
    Began,
    Fed,
    Taken,
    lived,
)
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame, Page
from pointage.web.screens.culture.page import AdvicePage, CulturePage, RecordForm, Table
from pointage.web.screens.culture.view import culture_page
from pointage.web.words.clock import Clock

AT = datetime(2026, 12, 1, 8, tzinfo=UTC)
FIELDS = (
    Field("place", "Place", "Hall", "select", (Choice("Hall", "Hall"),)),
    Field("grams", "How much", "x", "decimal", hint="grams", error="x cannot be used"),
    Field("happened", "When", "", "datetime-local"),
)
FORM = RecordForm("/cultures/Gannet/fed", "Record a feed", "Save", FIELDS, True, "Mind.")


def culture_examples(frame: Frame) -> list[Page]:
    life = lived([
        Began(AT, "Gannet", "Old Gannet"),
        Fed(AT, 20.0, {"rye-whole": 50.0}, 50.0, place="Hall"),
        Taken(AT, 900.0, "Tinned rye"),
    ])  # fmt: skip
    clock = Clock(fixture.skerry_hall().zone, fixture.NOW)
    page: CulturePage = culture_page(
        life, None, [life], [], clock=clock, frame=frame, forms=[FORM], error="No."
    )
    plain = AdvicePage(frame, None, "/x", "Ask", "Lead.", (), "", "", (), (), ())
    full = AdvicePage(
        frame, Choice("/cultures", "All"), "/x", "Ask", "Lead.", FIELDS, "Go", "No.",
        (Table("A table", ("", "g"), (("one", "2"),)),), ("A note.",), ("Mind.",), FORM,
    )  # fmt: skip
    return [page, plain, full]
