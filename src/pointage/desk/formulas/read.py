"""A recipe as people write it, read into a formula, with what each line was taken for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from pointage.desk.formulas.doubts import doubt_words, doubts_words
from pointage.desk.formulas.draft import Draft, gram_of
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import WrittenSide, write_formula
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient, ingredients
from pointage.formula.names import COUNTRIES
from pointage.formula.reading.draft import RIPE, ReadLine, RecipeDraft, draft_of
from pointage.formula.reading.linked import is_json, is_page, linked_text
from pointage.formula.reading.method import LONGEST_METHOD, by_step
from pointage.formula.reading.recipe import FIELD, read_recipe
from pointage.formula.reading.typed import LineDoubt, TypedLine
from pointage.language import say


@dataclass(frozen=True, slots=True)
class RecipeRead:
    """A recipe that was read. text: of the formula's file; method: all that is no ingredient."""

    formula: Formula
    text: str
    lines: tuple[ReadLine, ...]
    doubts: tuple[str, ...]
    method: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """formula is TOML; grams of what is typed in grams are those very grams."""
        return {
            "formula": self.text,
            "lines": [_line_json(each) for each in self.lines],
            "doubts": list(self.doubts),
            "method": list(self.method),
        }


def check_country(text: str | None, field: str = "country") -> str:
    """One of COUNTRIES; "" for none. Raises InputError."""
    country = (text or "").strip().casefold()
    if country and country not in COUNTRIES:
        raise InputError(field, repr(text), say("one of {names}", names=", ".join(COUNTRIES)))
    return country


def read_text_of_recipe(text: str, country: str = "", name: str = "") -> RecipeRead:
    """The formula that a recipe says: its text, a page or linked data with one, or a formula file.

    country: one of COUNTRIES, whose sense of a name comes first. name: of the formula where the
    recipe has none. Raises InputError, for the field "recipe", in one line.
    """
    if is_page(text) or is_json(text):
        text = linked_text(text)
    if "[[stage]]" in text:
        return _own(text)
    draft = draft_of(read_recipe(text, country), name or say("A recipe"))
    side = None if draft.only_percents else WrittenSide.GRAMS
    try:
        formula = _with_words(Draft.of_table(draft.table()), draft)
        text = write_formula(formula, side)
        read_formula(text, FIELD)  # a loaf of a milligram can be written, but not read again
    except InputError as error:
        fault = error.faults[0]
        raise InputError(FIELD, fault.value, fault.expected) from None
    doubts = tuple(doubt_words(each) for each in draft.doubts)
    return RecipeRead(formula, text, tuple(draft.lines), doubts, draft.method)


def _with_words(formula: Formula, draft: RecipeDraft) -> Formula:
    """With the method beside its steps, and every line as it was typed."""
    stages = [(each.name, each.kind) for each in formula.stages]
    found = by_step(draft.method, stages)
    if found.cut:
        draft.doubts.append(LineDoubt("long", {"most": LONGEST_METHOD}))
    typed = [each.kept() for each in draft.lines]
    if draft.doubts:
        typed.append(TypedLine("", "", tuple(each.plain() for each in draft.doubts)))
    return replace(
        formula,
        stages=tuple(replace(s, words=found.stages.get(s.name, "")) for s in formula.stages),
        words=found.steps,
        typed=tuple(typed),
    )


def _own(text: str) -> RecipeRead:
    """A formula file as it is, its ingredients as lines."""
    formula = read_formula(text, FIELD)
    gram = gram_of(formula)
    lines = tuple(
        ReadLine(name, name, False, percent * gram, percent, None, ())
        for name, percent in formula.total.items()
    )
    return RecipeRead(formula, text, lines, (), ())


def taken_words(line: ReadLine) -> str:
    """What a line was taken for, in words; empty where it was left out."""
    if line.taken is None:
        return ""
    return taken_label(line.taken)


def taken_label(taken: str) -> str:
    """What stands for a line, in words: an ingredient, ripe levain, or a stage of that name."""
    if taken in ingredients():
        return say(ingredient(taken).label)
    return say(taken) if taken == RIPE else taken


def _line_json(line: ReadLine) -> dict[str, Any]:
    return {
        "typed": line.typed,
        "ingredient": line.taken,
        "grams": None if line.grams is None else float(line.grams),
        "percent": None if line.percent is None else round(float(line.percent), 4),
        "doubt": doubts_words(line.doubts) or None,
        "temperature_c": line.celsius,
    }
