"""What a sheet is asked of: a formula, a culture, the larder, the week; and which kinds it has."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from pointage.errors import InputError
from pointage.language import say

if TYPE_CHECKING:
    from pointage.desk.now.present import Present
    from pointage.formula.formula import Formula

NEW, LARDER, WEEK = "new", "larder", "week"
"""Words that stand for what has no file: a culture to begin, the stores, all planned bakes."""


class SheetKind(StrEnum):
    """What is printed."""

    BENCH = "bench"
    HANDOUT = "handout"
    LABEL = "label"
    CULTURE = "culture"
    TRAVEL = "travel"
    WEEK = "week"
    SHOPPING = "shopping"
    LINKED_DATA = "linked-data"


OF_WEEK = (SheetKind.WEEK, SheetKind.SHOPPING)
OF_FORMULA = (SheetKind.BENCH, SheetKind.HANDOUT, SheetKind.LABEL, SheetKind.LINKED_DATA)


WORDS = {NEW: (SheetKind.CULTURE,), LARDER: (SheetKind.SHOPPING,), WEEK: (SheetKind.WEEK,)}


@dataclass(frozen=True, slots=True)
class SheetSubject:
    """A subject with the kinds it has, the usual first. name: as it stands in the kitchen.

    wishes: the text of a file of wishes, where it is one.
    """

    name: str
    kinds: tuple[SheetKind, ...]
    formula: Formula | None = None
    wishes: str = ""

    def kind(self, wanted: str | None, field: str = "kind") -> SheetKind:
        """The kind that is wanted, or the usual. Raises InputError for one that it has not."""
        if wanted is None:
            return self.kinds[0]
        for kind in self.kinds:
            if kind.value == wanted.strip().casefold():
                return kind
        known = ", ".join(self.kinds)
        expected = say("one of {known}, for {name}", known=known, name=self.name)
        raise InputError(field, repr(wanted), expected)


def is_wishes(text: str) -> bool:
    """Whether a text is a file of wishes, rather than a formula."""
    try:
        return "wish" in tomllib.loads(text)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError):
        return False


def of_text(text: str, source: str) -> SheetSubject:
    """The subject of a formula file's text, or of a file of wishes. Raises InputError."""
    if is_wishes(text):
        return SheetSubject(source, OF_WEEK, wishes=text)
    from pointage.formula.file.read import read_formula

    formula = read_formula(text, source)
    return SheetSubject(formula.name, OF_FORMULA, formula)


def of_name(name: str, present: Present, field: str = "SUBJECT") -> SheetSubject:
    """The subject that a name means in a kitchen. Raises InputError with what would be right."""
    plain = name.strip().casefold()
    if plain in WORDS:
        return SheetSubject(plain, WORDS[plain])
    for culture in present.kitchen.cultures:
        if culture.called(name.strip()):
            return SheetSubject(culture.name, (SheetKind.CULTURE, SheetKind.TRAVEL))
    for slug, formula in present.formulas.items():
        if plain in (slug.casefold(), formula.name.casefold()):
            return SheetSubject(formula.name, OF_FORMULA, formula)
    expected = say(
        "a formula's file or name, a culture's name, {new}, {week} or {larder}",
        new=NEW, week=WEEK, larder=LARDER,
    )  # fmt: skip
    raise InputError(field, repr(name), expected)
