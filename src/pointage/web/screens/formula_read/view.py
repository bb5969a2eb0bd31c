"""A recipe that was read, as a page."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from pointage.desk.formulas.doubts import doubt_words
from pointage.desk.formulas.draft import pack
from pointage.desk.formulas.read import RecipeRead, taken_words
from pointage.desk.sheets.parts.process import own_words
from pointage.formula.reading.draft import ReadLine
from pointage.language import mark, say, written
from pointage.quantities import print_number
from pointage.shown import with_ounces
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame
from pointage.web.screens.formula_read.page import RecipePage, RecipeRow
from pointage.web.words.asked import bread_choices
from pointage.web.words.words import count, mass, percent, upper_first

SENSES = {
    "us": mark("America"),
    "gb": mark("Britain and Ireland"),
    "de": mark("Germany and Austria"),
    "fr": mark("France"),
    "it": mark("Italy"),
    "": mark("no country in particular"),
}


def recipe_page(frame: Frame, text: str, country: str, error: str = "") -> RecipePage:
    """The page before anything is read, or with what is wrong with the text."""
    choices = tuple(Choice(key, say(words)) for key, words in SENSES.items())
    field = Field(
        "country", say("Written in"), country, "select", choices,
        say("flours and spoons go by other names and sizes elsewhere"),
    )  # fmt: skip
    return RecipePage(frame, text, field, error)


def read_page(frame: Frame, text: str, country: str, found: RecipeRead) -> RecipePage:
    """What was taken from a recipe, line by line."""
    formula = found.formula
    bread = Field(
        "method", say("Kind of bread"), "", "select", bread_choices(),
        say("fills in how it is worked; all of it can be changed"),
    )  # fmt: skip
    return replace(
        recipe_page(frame, text, country),
        name=formula.name,
        facts=say(
            "{pieces} of {mass}; water {hydration}; {prefermented} of the flour prefermented",
            pieces=count(formula.pieces, "piece"),
            mass=mass(formula.piece_g),
            hydration=percent(formula.hydration),
            prefermented=percent(formula.prefermented_flour),
        ),
        rows=tuple(map(_row, found.lines)),
        doubts=tuple(map(upper_first, found.doubts)),
        method=own_words(formula),
        draft=pack(found.text),
        bread=None if formula.process else bread,
    )


def _grams(value: Fraction) -> str:
    """To the tenth of a gram, as it will be weighed."""
    number = written(print_number(float(value), 1))
    return with_ounces(say("{number}\u00a0g", number=number), value)


def _row(line: ReadLine) -> RecipeRow:
    return RecipeRow(
        line.typed,
        upper_first(taken_words(line)),
        "" if line.grams is None else _grams(line.grams),
        "" if line.percent is None else written(print_number(float(line.percent), 1)),
        tuple(upper_first(doubt_words(each)) for each in line.doubts),
        next((str(each.about["said"]) for each in line.doubts if each.what == "unknown"), ""),
    )
