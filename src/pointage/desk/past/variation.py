"""A formula with the one change to try next, kept beside the one that it was made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from pointage.daybook.entry import FormulaRecord
from pointage.desk.answers import Bake
from pointage.desk.formulas.book import BookDesk, can_be_read, formula_of
from pointage.desk.now.bakes.watch import problem_of
from pointage.desk.now.texts import formula_of as text_as_formula
from pointage.desk.wording.outcome.variation import because_words, change_words
from pointage.errors import InputError
from pointage.formula.file.write import write_formula
from pointage.formula.formula import Formula, unmarked
from pointage.language import ENGLISH, say, speaking
from pointage.shown import PLAIN, showing
from pointage.timetable.why.causes import BakeCause
from pointage.timetable.why.variation import Variation, variation


def varied(bake: Bake, cause: BakeCause, book: Mapping[str, FormulaRecord]) -> Variation | None:
    """What to change in a bake's formula, as the book has it now; None where no line answers."""
    if bake.wished is None:
        return None
    try:
        formula = _latest(bake, book)
        return variation(formula, cause.kind, problem_of(bake, None).bake_minutes)
    except InputError:  # of a kitchen or a formula that can no longer be read
        return None


def keep_variation(book: BookDesk, bake: Bake, cause: BakeCause) -> str:
    """Keep it as a formula of its own, and give its slug; one that is there already is that.

    Raises InputError where no line of the formula answers the cause.
    """
    found = varied(bake, cause, book.latest())
    if found is None:
        raise InputError(
            "cause", repr(cause.kind.value), say("one that a line of the formula answers")
        )
    parent = bake.plan.formula
    with showing(PLAIN), speaking(ENGLISH):  # it is kept for every reader
        name = say("{name}, {change}", name=parent, change=change_words(found))
        because = because_words(bake, cause)
    named = replace(unmarked(found.formula), name=name, varies=parent, because=because)
    there = _called(name, book)
    if there:
        return there
    try:
        return book.keep(write_formula(named)).slug
    except InputError:
        if there := _called(name, book):  # another tab was first
            return there
        raise


def _called(name: str, book: BookDesk) -> str:
    """The slug of the formula of that name; empty where there is none."""
    known = (each for each in book.latest().values() if can_be_read(each))
    return next((each.slug for each in known if formula_of(each).name == name), "")


def _latest(bake: Bake, book: Mapping[str, FormulaRecord]) -> Formula:
    """The bake's formula as it is now, else as it was."""
    for record in book.values():
        if can_be_read(record) and formula_of(record).name == bake.plan.formula:
            return formula_of(record)
    assert bake.wished is not None
    return text_as_formula(bake.wished.formula, "formula")
