"""The daybook's pages in every state that a template tells apart. Invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

from tests.web import fixture_plan as fixture

from pointage.culture.vigour import WINDOW, Vigour, Window
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import replay
from pointage.desk.answers import Bake
from pointage.desk.past.changed import SaidDifference, WhatChanged
from pointage.desk.past.culture import (
    CultureChange,
    CulturePast,
    RipeForecast,
    SeenCourse,
    Wasted,
)
from pointage.desk.past.formula import FormulaPast, PastBake
from pointage.desk.past.outcome import BakeOutcome
from pointage.errors import MISSING, InputError
from pointage.mixture.course import Band
from pointage.timetable.why.causes import BakeCause, Finding
from pointage.timetable.why.signs import BreadSign, CauseKind
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame, Page
from pointage.web.screens.daybook.page import DaybookPage, EntryPage
from pointage.web.screens.daybook.view import (
    about_field,
    days_of,
    line_of,
    log_forms,
)
from pointage.web.screens.outcome.view import outcome_page
from pointage.web.screens.past.view import compare_page, culture_past_page, formula_past_page
from pointage.web.words import asked
from pointage.web.words.clock import Clock

CLOCK = Clock(fixture.skerry_hall().zone, fixture.NOW)


def _entry(kind: EntryKind, **body: object) -> Entry:
    return Entry(str(uuid4()), "k", kind, fixture.NOW, fixture.NOW, "baker", body)


def _came_out(bake: Bake, frame: Frame) -> list[Page]:
    dense = frozenset({BreadSign.DENSE, BreadSign.BURST})
    cold = BakeCause(CauseKind.COLD_DOUGH, 0.6, Finding(20.0, 25.0, 2.0))
    found = (
        BakeOutcome(bake, asked=False),
        BakeOutcome(
            bake, True, {"crumb": 2.0}, dense, (cold, BakeCause(CauseKind.SHORT_PROOF, 0.2))
        ),
        BakeOutcome(bake, True, {}, dense),
        BakeOutcome(bake, True, {}, dense, waits=True),
    )
    error = InputError("signs", MISSING, "a sign")
    return [
        outcome_page(each, before, {}, ["dense"], wrong, clock=CLOCK, frame=frame)
        for each, before, wrong in zip(
            found, (None, bake, bake, bake), (error, *[None] * 3), strict=True
        )
    ]


def daybook_examples(frame: Frame) -> list[Page]:
    rise = _entry(EntryKind.MEASURED, rise=7.2, culture="Gannet")
    note = _entry(EntryKind.NOTE, text="<b>")
    lines = replay(
        [
            rise,
            note,
            _entry(EntryKind.PHOTO, sha256="0" * 64),
            _entry(EntryKind.CORRECTED, entry=rise.id, body={"rise": 7.0}, why="thumb"),
            _entry(EntryKind.WITHDRAWN, entry=note.id),
        ]
    )
    about = about_field(["Gannet"], [], CLOCK)
    only = Field("kind", "Kind", "note", "select", (Choice("note", "Note"),))
    full = DaybookPage(
        frame, log_forms(about, "rise", {"rise": "x"}, {"rise": "no"}), "No.", "At most 8 MB.",
        (only,), "3 lines", days_of(lines, {}, CLOCK), "/newer", "/older",
        (Choice("/daybook/culture/Gannet", "Gannet"),),
    )  # fmt: skip
    empty = replace(full, forms=(), error="", days=(), newer="", older="", histories=())
    history = ((CLOCK.moment(CLOCK.now), "Corrected: thumb"),)
    fields = asked.every_field(EntryKind.MEASURED, rise.body)
    one = EntryPage(
        frame,
        line_of(lines[0], {}, CLOCK),
        history,
        "/daybook/entry/x",
        fields,
        "why",
        False,
        "No",
        2,
    )
    one_day = CLOCK.now - timedelta(days=9)
    course = SeenCourse("Fed", one_day, ((2.0, 1.2), (5.0, 1.8)))
    window = Window(one_day - WINDOW, one_day)
    past = CulturePast(
        "Gannet", (course, course), (Vigour(window, Band(1.4, 1.6, 1.8), 3),), True,
        (RipeForecast("Fed", one_day, -1.0, 2.0, 0.5),), (Wasted(one_day.date(), 60.0),),
        (CultureChange(window.middle, "Another sack"),),
    )  # fmt: skip
    bare = CulturePast("Tern", (), (), False, (), (), ())
    bake = fixture.friday_bake()
    baked = PastBake(bake, course, 0.12, {"crust": 4.0, "crumb": 2.0})
    differences = (SaidDifference("Cooler.", timedelta(hours=-1)), SaidDifference("Hot."))
    changed = WhatChanged(bake, bake, differences)
    looked_back: list[Page] = [
        culture_past_page(past, CLOCK, frame),
        culture_past_page(bare, CLOCK, frame),
        formula_past_page(FormulaPast("Harbour", (baked, baked)), "harbour", CLOCK, frame),
        compare_page([bake], ("a", "b"), changed, "", clock=CLOCK, frame=frame),
        compare_page(
            [bake], ("a", "b"), replace(changed, differences=()), "", clock=CLOCK, frame=frame
        ),
        compare_page([bake], ("a", "a"), None, "No.", clock=CLOCK, frame=frame),
        *_came_out(bake, frame),
    ]
    return [
        *looked_back,
        full,
        empty,
        one,
        replace(one, fields=(), again=True, error="", history=()),
    ]
