"""The kitchen's pages in every state that a template tells apart. Invented."""

from __future__ import annotations

from markupsafe import Markup
from tests.web.culture_examples import FORM

from pointage.web.forms.field import Choice
from pointage.web.frame import Drawing, Frame, Page
from pointage.web.screens.culture.page import Table
from pointage.web.screens.kitchen.page import (
    KitchenFilePage,
    KitchenPage,
    PlaceLogPage,
    Row,
    Section,
)


def kitchen_examples(frame: Frame) -> list[Page]:
    row = Row(
        "Hall", "room, 17C", FORM, "/kitchen/place/0/remove", Choice("/kitchen/log/Hall", "Log")
    )
    sections = (
        Section("Places", "Where it stands.", (row,), None),
        Section("Oven", "", (), None),
    )
    drawing = Drawing(Markup("<svg></svg>"), Markup("<svg></svg>"), "A drawing")
    hours = Table("By the clock", ("hour", "°C"), (("07:00", "16.0"),))
    log = ("/kitchen/log/Hall", "Hall")
    return [
        KitchenPage(frame, "Skerry Hall", "", sections, (Choice("/kitchen/file", "File"),)),
        KitchenPage(frame, "Skerry Hall", "No.", (), ()),
        KitchenFilePage(frame, 'name = "x"', "No.", (Choice("/kitchen/file?revision=1", "1"),)),
        PlaceLogPage(frame, *log, "No.", (), (), None, None, taken=False),
        PlaceLogPage(frame, *log, "", (("Read", "9"),), ("Line 3.",), drawing, hours, taken=True),
    ]
