"""The daybook's pages in every state that a template tells apart. Invented."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

from tests.web import fixture_plan as fixture

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import replay
from pointage.web.pages import Choice, DaybookPage, EntryPage, Field, Frame, Page
from pointage.web.present import asked
from pointage.web.present.clock import Clock
from pointage.web.present.daybook import about_field, days_of, line_of, log_forms

CLOCK = Clock(fixture.skerry_hall().zone, fixture.NOW)


def _entry(kind: EntryKind, **body: object) -> Entry:
    return Entry(str(uuid4()), "k", kind, fixture.NOW, fixture.NOW, "baker", body)


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
        frame, line_of(lines[0], {}, CLOCK), history, "/daybook/entry/x", fields, "why", False, "No"
    )
    return [full, empty, one, replace(one, fields=(), again=True, error="", history=())]
