"""The label of a formula's bread for paper; one that lacks what it must say is refused."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pointage.desk.formulas.label import FOOD_LAW, NOT_EATEN, LabelAnswer, label
from pointage.desk.formulas.label import PanelRow as Figure
from pointage.desk.wording.amounts import mass
from pointage.desk.wording.lists import all_of
from pointage.documents.bread_label import (
    SINGLE,
    BreadLabel,
    LabelFigure,
    label_data,
    label_sheet_of,
)
from pointage.documents.paper import Paper, typeset
from pointage.errors import Complaint, Faults, InputError
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient
from pointage.formula.label.rounding import Style
from pointage.language import mark, say, within
from pointage.mixture.flours import Flours
from pointage.quantities import GRAMS_PER, parse_day, print_number
from pointage.shown import dated_text

TOO_SMALL = "label-too-small"  # what the template says when its text has no room
STORED = mark("Keep it dry at room temperature, wrapped in paper or cloth.")
"""How bread with a crust is kept: common practice, no source."""


@dataclass(frozen=True, slots=True)
class LabelWishes:
    """What the figures do not say. maker: name and place; best_before: as it is to be printed;
    storage: None for the usual. labels: how many a sheet of labels has. nutrition: whether the
    panel is printed.
    """

    maker: str = ""
    best_before: str = ""
    storage: str | None = None
    labels: str = SINGLE
    nutrition: bool = True


def read_best_before(text: str, field: str = "best-before") -> str:
    """A day as it is printed on a label. Raises InputError."""
    return dated_text(parse_day(text, field))


def usual_style(paper: Paper) -> str:
    """By whose rules, where nobody says: those of where such paper is used."""
    return (Style.US if paper is Paper.LETTER else Style.EU).value


@dataclass(frozen=True, slots=True)
class LabelPrinter:
    """Prints labels of formulas. flours: the figures of the sacks in use.

    asked, below: as `formulas.label.label` has it, the style by the paper where it is left out. All
    raise InputError, naming what is lacking, and "labels" for those too small.
    """

    flours: Flours
    paper: Paper = Paper.A4
    wishes: LabelWishes = LabelWishes()

    def pdf(self, formula: Formula, **asked: Any) -> bytes:
        """The label of a formula's bread, a PDF."""
        with _large_enough(self.wishes):
            return typeset("label.typ", self._data(formula, asked))

    def pictures(self, formula: Formula, **asked: Any) -> list[bytes]:
        """The same as PNG."""
        with _large_enough(self.wishes):
            return typeset("label.typ", self._data(formula, asked), "png")

    def notes(self, formula: Formula, **asked: Any) -> tuple[str, ...]:
        """What whoever prints it should know: what it does not say, and what to check."""
        return self._label(formula, asked).notes

    def _label(self, formula: Formula, asked: dict[str, Any]) -> BreadLabel:
        style = asked.get("style") or usual_style(self.paper)
        found = label(formula, **{**asked, "style": style}, flours=self.flours)
        return bread_label(found, self.wishes)

    def _data(self, formula: Formula, asked: dict[str, Any]) -> dict[str, Any]:
        on = label_sheet_of(self.paper, self.wishes.labels, "labels")
        return label_data(self._label(formula, asked), self.paper, on)


@contextmanager
def _large_enough(wishes: LabelWishes) -> Iterator[None]:
    try:
        yield
    except InputError:
        raise
    except Exception as error:
        if TOO_SMALL not in str(error):
            raise
        expected = say("fewer and larger labels, for all that must be on each to be readable")
        raise InputError("labels", repr(wishes.labels), expected) from None


def bread_label(found: LabelAnswer, wishes: LabelWishes) -> BreadLabel:
    """The label in words. Raises InputError for each figure or name that it must have and lacks."""
    faults = Faults()
    if not found.listed:
        missing = InputError("ingredients", Complaint(say("none")), say("at least one ingredient"))
        faults.found.append(missing)
    if found.bread_g < 1:
        faults.found.append(
            InputError("net mass", f"{float(found.bread_g):g} g", say("at least 1 g"))
        )  # fmt: skip
    if wishes.nutrition:
        for row in found.panel:
            faults.take(_known, found, row)
    faults.check()
    us = found.style is Style.US
    contains = [(say("Contains:"), all_of(map(say, found.contains)))] if found.contains else []
    if found.may_contain:
        contains.append((say("May contain:"), all_of(map(say, found.may_contain))))
    return BreadLabel(
        name=found.name,
        net=(say("Net weight"), _net(found.bread_g, us=us)),
        ingredients_word=say("Ingredients:"),
        ingredients=tuple((within(say(each.label)), bool(each.allergens)) for each in found.listed),
        contains=tuple(contains),
        panel_title=say("Nutrition facts") if us else say("Nutrition declaration"),
        panel_under=_under(found) if us else (),
        panel_head=_head(found, us=us),
        panel=_panel(found, us=us) if wishes.nutrition else (),
        fields=(
            (say("Best before:"), wishes.best_before or None),
            (say("Storage:"), say(STORED) if wishes.storage is None else wishes.storage or None),
            (say("Made by:"), wishes.maker or None),
        ),
        cautions=(),
        style=found.style.value,
        notes=_notes(found, wishes),
    )


def _known(found: LabelAnswer, row: Figure) -> None:
    """Raises InputError where an ingredient's figure is not known: the sum would be too small."""
    missing: Sequence[str] = found.per_100_g.amounts[row.line.figure].missing
    if missing:
        names = all_of(within(say(ingredient(name).label)) for name in missing)
        raise InputError(
            say(row.line.name),
            Complaint(say("not known of {names}", names=names)),
            say("a figure for each ingredient, or the label without its nutrition"),
        )


def _net(grams: Fraction, *, us: bool) -> str:
    """What is in it, rounded down: never more than there is."""
    whole = int(grams)
    metric = say("{number}\u00a0g", number=whole)
    if not us:
        return metric
    tenths = int(grams * 10 / GRAMS_PER["oz"])
    ounces = print_number(tenths / 10)
    if tenths < 160:
        return say("{ounces}\u00a0oz ({metric})", ounces=ounces, metric=metric)
    pounds, rest = divmod(tenths, 160)
    more = print_number(rest / 10)
    pound = say("{pounds}\u00a0lb {more}\u00a0oz", pounds=pounds, more=more)
    return f"{pound} ({metric})"


def _under(found: LabelAnswer) -> tuple[str, ...]:
    size = say("Serving size: {mass}", mass=mass(found.serving_g))
    return (say("About {servings} servings in it", servings=found.servings), size)


def _head(found: LabelAnswer, *, us: bool) -> tuple[str, ...]:
    serving = say("per {mass}", mass=mass(found.serving_g))
    if us:
        return (serving, say("daily value"))
    return (say("per 100 g"), serving)


def _panel(found: LabelAnswer, *, us: bool) -> tuple[LabelFigure, ...]:
    """The rows; a figure in a second unit, as energy in Europe, has its name but once."""
    rows: list[LabelFigure] = []
    before = ""
    for row in found.panel:
        name = say(row.line.name)
        amounts = (row.per_serving, row.share or "") if us else (row.per_100_g, row.per_serving)
        rows.append(LabelFigure("" if name == before else name, row.line.part, amounts))
        before = name
    return tuple(rows)


def _notes(found: LabelAnswer, wishes: LabelWishes) -> tuple[str, ...]:
    """For who prints it, below a label by itself."""
    notes = [say(FOOD_LAW), say(NOT_EATEN)]
    unsure = [
        within(say(it.label)) for it in (ingredient(e.name) for e in found.listed) if not it.seen
    ]
    if unsure:
        said = say(
            "From memory or our own estimate, so check them before you print: {names}.",
            names=", ".join(unsure),
        )
        notes.append(said)
    if not (wishes.maker and wishes.best_before):
        notes.append(say("Write in what is left blank: without it the label is not complete."))
    if not wishes.nutrition:
        notes.append(say("Without nutrition: whether it may be left out, your food law says."))
    return tuple(notes)
