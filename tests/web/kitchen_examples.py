"""The kitchen's pages in every state that a template tells apart. Invented."""

from __future__ import annotations

from markupsafe import Markup
from tests.web.culture_examples import FORM

from pointage.web.forms.field import Choice
from pointage.web.frame import Drawing, Frame, Page, Side
from pointage.web.screens.culture.page import RecordForm, Table
from pointage.web.screens.kitchen.page import (
    KitchenChangedPage,
    KitchenFilePage,
    KitchenPage,
    PlaceLogPage,
    Row,
    Section,
)


def kitchen_examples(frame: Frame) -> list[Page]:
    sent = (("row", "Hall"), ("revision", "1"))
    remove = RecordForm("/kitchen/place/remove", "Remove", "Yes", (), sent=sent)
    sides = Side("As it is now", (("a", True), ("b", False))), Side("As you typed it", ())
    row = Row("Hall", "room, 17C", FORM, remove, Choice("/kitchen/log?place=Hall", "Log"))
    sections = (
        Section("Places", "Where it stands.", (row,), None),
        Section("Oven", "", (), None),
    )
    drawing = Drawing(Markup("<svg></svg>"), Markup("<svg></svg>"), "A drawing")
    hours = Table("By the clock", ("hour", "°C"), (("07:00", "16.0"),))
    log = ("/kitchen/log?place=Hall", "Hall", "1")
    texts = (Choice("/kitchen/file?revision=1", "1"),)
    return [
        KitchenPage(frame, "Skerry Hall", "", sections, (Choice("/kitchen/file", "File"),)),
        KitchenPage(frame, "Skerry Hall", "No.", (), ()),
        KitchenFilePage(frame, 'name = "x"', "1", "No.", texts),
        KitchenFilePage(frame, 'name = "x"', "2", "No.", texts, sides),
        KitchenChangedPage(frame, "Hall", "No.", sides, FORM),
        KitchenChangedPage(frame, "Hall", "It cannot be read.", (), FORM),
        PlaceLogPage(frame, *log, "No.", (), (), None, None, taken=False),
        PlaceLogPage(frame, *log, "No.", (), (), None, None, taken=False, both=sides),
        PlaceLogPage(frame, *log, "", (("Read", "9"),), ("Line 3.",), drawing, hours, taken=True),
    ]
