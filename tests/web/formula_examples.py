"""Pages of the formula book in every state that a template tells apart, for the contract."""

from __future__ import annotations

from dataclasses import replace

from tests.conftest import EVERYTHING
from tests.web import fixture_plan as fixture

from pointage.daybook.entry import FormulaRecord
from pointage.desk.formulas.compare import compare_formulas
from pointage.desk.formulas.draft import Draft, TypedCells
from pointage.desk.formulas.read import read_text_of_recipe
from pointage.desk.formulas.sheets import summary
from pointage.desk.formulas.what_if import Changed, WhatIf
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.web.frame import Frame, Page, Side
from pointage.web.screens.formula_book.page import ImportPage
from pointage.web.screens.formula_book.view import revisions_page, side_by_side_page, what_if_page
from pointage.web.screens.formula_edit.view import edit_page
from pointage.web.screens.formula_read.view import read_page, recipe_page
from pointage.web.words.clock import Clock

SUMMARIES = [
    summary(replace(read_formula(text), slug=slug))
    for slug, text in demonstration_formulas().items()
]
SPELT = read_formula(demonstration_formulas()["sunday-spelt"])
RECORDS = [
    FormulaRecord("k", "sunday-spelt", 1, demonstration_formulas()["sunday-spelt"]),
    FormulaRecord("k", "sunday-spelt", 2, write_formula(SPELT), fixture.NOW),
]
SIDES = Side("Revision 2, as it is now", (("a", True),)), Side("Your draft", (("b", True),))
WRONG = (
    "form", "total", "name", "cell-0-water", "stage-0", "stage-1-seed", "process-mix", "new-flour",
    "row", "about",
)  # fmt: skip


def book_pages(frame: Frame) -> list[Page]:
    """Revisions, two side by side, what if, and a file."""
    kitchen = fixture.skerry_hall()
    wetter = Changed(
        Draft(SPELT, TypedCells.TOTAL).read({"cell-total-water": "80"}), ("So it is.",)
    )
    found = compare_formulas(SPELT, wetter.formula, kitchen, fixture.NOW)
    same = compare_formulas(SPELT, SPELT, kitchen, fixture.NOW)
    choices = [("sunday-spelt@2", "Sunday spelt, revision 2")]
    asked = ("sunday-spelt@2", "sunday-spelt@1")
    clock = Clock(kitchen.zone, fixture.NOW)
    wrong = {"a": "cannot be used"}
    wishes = (
        what_if_page(
            SPELT, "sunday-spelt", 2, frame, wish=wish, error=InputError(field, "x", "another")
        )
        for wish, field in ((WhatIf.FLOUR, "share"), (WhatIf.RIPE, "hours"), (WhatIf.SALT, "wish"))
    )
    return [
        revisions_page(RECORDS, clock, frame),
        side_by_side_page(("", ""), wrong, choices, None, frame),
        side_by_side_page(asked, {}, choices, found, frame),
        side_by_side_page(asked, {}, choices, same, frame),
        what_if_page(SPELT, "sunday-spelt", 2, frame),
        what_if_page(SPELT, "x", 2, frame, wish=WhatIf.YIELD, answer=wetter, found=found),
        *wishes,
        ImportPage(frame, "", "", "", ""),
        ImportPage(frame, "name = 1", "it cannot be read", "", "sunday-spelt", "1"),
        ImportPage(frame, "name = 1", "No.", "", "sunday-spelt", "2", SIDES),
        ImportPage(frame, "name = 1", "cannot be used", "sunday-spelt@2", ""),
    ]


def read_pages(frame: Frame) -> list[Page]:
    """A recipe before it is read, one that is none, and one that is."""
    recipe = "Loaf\n500 g flour\n350 g water\n30 g unicorn dust\nMix."
    found = read_text_of_recipe(recipe, "us")
    own = read_text_of_recipe(demonstration_formulas()["sunday-spelt"])
    return [
        recipe_page(frame, "", ""),
        recipe_page(frame, "350 g water", "us", "recipe: no flour"),
        read_page(frame, recipe, "us", found),
        read_page(frame, "", "", own),
    ]


def formula_examples(frame: Frame) -> list[Page]:
    kitchen = fixture.skerry_hall()
    draft = Draft(SPELT, TypedCells.TOTAL, ["honey"])
    wetter = draft.read({"cell-total-water": "80"})
    found = compare_formulas(SPELT, wetter, kitchen, fixture.NOW)
    read = read_text_of_recipe("Loaf\n500 g flour\n350 g water\n1 g dust\nMix.", "us").formula
    return [
        *book_pages(frame),
        *read_pages(frame),
        replace(
            edit_page(draft, found, kitchen, frame, path="/formulas/x/edit", after=3),
            both=SIDES,
        ),
        edit_page(draft, found, kitchen, frame, path="/formulas/new", is_kept=True),
        edit_page(
            Draft(read, TypedCells.TOTAL), found, kitchen, frame, path="/formulas/new",
            error=InputError("words-mix", "x", "another"),
        ),
        *(
            edit_page(
                Draft(SPELT, side), found, kitchen, frame,
                path="/formulas/new", column="1", typed={name: "x"},
                error=InputError(name, "x", "another"),
            )
            for at, name in enumerate(WRONG)
            for side in (TypedCells if EVERYTHING else [[*TypedCells][at % len(TypedCells)]])
        ),
    ]  # fmt: skip
