"""One culture's pages in every state that a template tells apart. Invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from markupsafe import Markup
from tests.web import fixture_plan as fixture

from pointage.culture.life import (
    Began,
    Fed,
    Retired,
    Taken,
    lived,
)
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Doubt, Drawing, Frame, Page
from pointage.web.screens.advice.page import CauseNote, TroublePage
from pointage.web.screens.bench.page import CultureAction, LastDone
from pointage.web.screens.culture.page import AdvicePage, CulturePage, RecordForm, Table
from pointage.web.screens.culture.view import culture_page
from pointage.web.screens.raising.page import RaisingPage, Tap, TapRow
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
    retired = lived([Began(AT, "Gannet"), Retired(AT)])
    gone = culture_page(
        retired, None, [retired], [], clock=clock, frame=frame, forms=[FORM],
        last=LastDone("", "", "Gannet: retired", frame.made, withdraws="e"),
    )  # fmt: skip
    return [page, gone, plain, full, *_trouble(frame), *_raising(frame)]


def _trouble(frame: Frame) -> list[Page]:
    """Asked, and answered."""
    cause = CauseNote("Hungry: likely", ("Why.", "Seen."), "Feed it.", "Watch.", "Give up.")
    back, answers = Choice("/cultures/Gannet", "Gannet"), (Choice("?rise=none", "Not at all"),)
    return [
        TroublePage(frame, back, "What is wrong?", "Known.", "Risen?", answers, (), (), ("Mind.",),
                    "No."),
        TroublePage(frame, back, "What is wrong?", "", "", (), answers,
                    (cause, CauseNote("Cold", (), "", "", "")), ("Mind.",)),
    ]  # fmt: skip


def _raising(frame: Frame) -> list[Page]:
    """On its way; and one in which mould was seen."""
    chart = Drawing(Markup("<svg></svg>"), Markup("<svg></svg>"), "Its days.")
    due = CultureAction(
        "Fulmar, day 3", frame.made, "now", True, "Why.", False, ("Do.",), None,
        "/cultures/Fulmar/raising", (("culture", "Fulmar"),), "Done",
    )  # fmt: skip
    taps = (
        TapRow("Bubbles?", "/x", (Tap("Many", "seen=bubbles"),), "Many"),
        TapRow("Smell?", "/x", (Tap("Flour", "smelled=flour"),)),
    )
    doubt = (Doubt("Risen to 7.", "e"),)
    table = (Table("A table", ("", "g"), (("one", "2"),)),)
    whole = RaisingPage(
        frame, Choice("/cultures/Fulmar", "Fulmar"), "Fulmar, day 2", "Lead.", due, taps,
        ("Look.",), ("Day 7.",), ("Day 5 in the oven.",), True, (), chart, table, ("Mind.",),
        FORM, "/cultures/Fulmar/so", "/cultures/Fulmar/undo", doubt,
        LastDone("", "", "Fulmar: fed", frame.made, withdraws="e"),
    )  # fmt: skip
    gone = replace(
        whole, lead="", taps=(), expect=(), ahead=(), warmer=(), ask_warmer=False, doubts=(),
        last=None,
        due=replace(due, due=False, late=True, away="", button=""),
    )  # fmt: skip
    trusted = replace(whole, asks=(Choice("/x", "Plan a bake"),), ask_warmer=False)
    return [whole, trusted, replace(whole, warmer=(), due=replace(due, due=False)), gone]
