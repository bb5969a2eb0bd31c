"""A recipe as text: its name, what it makes, its stages with their lines, and the method."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from pointage.errors import Complaint, InputError
from pointage.formula.formula import StageKind
from pointage.formula.names import NO_FOOD, plain, resolve
from pointage.formula.reading.amounts import WORD_NUMBERS, take_apart
from pointage.formula.reading.headings import (
    INGREDIENTS,
    METHOD,
    OUTSIDE,
    UNKNOWN,
    RecipeHeading,
    read_heading,
)
from pointage.formula.reading.line import RecipeLine, read_line
from pointage.language import say, say_many

LONGEST_RECIPE = 60_000  # characters; a book's longest recipe is a tenth of it
LONGEST_LINE = 200  # of ingredients; beyond it somebody is explaining
LONGEST_ROW = 1000  # of several ingredients
MOST_LINES = 200  # of ingredients
MOST_SAID = 10  # words of a line whose amount does not stand at one of its ends
FEW = 3
FIELD = "recipe"

_MAKES = re.compile(
    r"\b(?:makes|yields?|serves|ergibt|für|pour|per|quantity|makes about|rende"
    r"|recipe makes)\b\D{0,20}?"
    rf"\b(\d{{1,3}}|{'|'.join(WORD_NUMBERS)})\s*"
    r"(?:x\s*\d+\s*g\s*)?(?:\w+\s){0,3}?(?:loaf|loaves|rolls?|baguettes?|pieces?|buns?|boules?"
    r"|b[âa]tards?|bagels?"
    r"|brote?|brötchen|stück|pains?|pagnott[ae]|pani?n?[io]|flatbreads?|pizzas?|focaccias?"
    r"|breads?)",
    re.IGNORECASE,
)
_TIME = re.compile(
    r"^\W*(?:about\s)?\d+(?:[.,]\d+)?(?:\s?[-–]\s?\d+)?\s?(?:min(?:ute)?n?s?|h(?:ours?|rs?)?"
    r"|std\.?|stunden?|heures?"
    r"|or[ae]|days?|tage?|jours?|giorn[io]|°)\b",
    re.IGNORECASE,
)
_VERB = re.compile(
    r"^(?:mix|add|combine|knead|fold|shape|bake|preheat|let|cover|stir|dissolve|whisk|pour"
    r"|place|put|leave|rest|proof|prove"
    r"|score|divide|turn|transfer|remove|cool|autolyse the|refrigerate|retard|stretch|preshape"
    r"|dust|heat|mischen"
    r"|verkneten|kneten|backen|melanger|petrir|laisser|cuire|impastare|mescolare|cuocere|store"
    r"|serve|feed"
    r"|in a|in the|once|when|after|before|while|the next|next)\b"
)
_WHOLE = {
    "all",
    "whole",
    "entire",
    "gesamte",
    "gesamter",
    "gesamtes",
    "tout",
    "toute",
    "tutto",
    "tutta",
}
_SPLITS = re.compile(r"\s*;\s*|\s+/\s+|,\s+(?=\d|½|¼|¾|⅓|⅔|a\s)|\s+•\s+")


@dataclass(slots=True)
class RecipeBlock:
    """A stage as it is written. gaps: the lines that stand after an empty one."""

    kind: StageKind
    name: str
    lines: list[RecipeLine] = field(default_factory=list)
    gaps: list[int] = field(default_factory=list)
    outside: bool = False


@dataclass(slots=True)
class RecipeText:
    """What a text says, before it is a formula. strange: headings that are not understood."""

    title: str = ""
    pieces: int | None = None
    blocks: list[RecipeBlock] = field(default_factory=list)
    method: list[str] = field(default_factory=list)
    strange: list[str] = field(default_factory=list)
    guessed_dough: bool = False


def check_text(text: str) -> None:
    """Raises InputError for what is no recipe at all: too long, or not text."""
    if len(text) > LONGEST_RECIPE:
        given = say_many("{n} character", "{n} characters", len(text))
        raise InputError(
            FIELD, Complaint(given), say("a recipe of {most} at most", most=LONGEST_RECIPE)
        )
    if any(ord(each) < 32 and each not in "\t\n\r\f\v" for each in text):
        raise InputError(FIELD, Complaint(say("this is not text")), say("a recipe as plain text"))


def read_recipe(text: str, country: str = "") -> RecipeText:
    """The parts of a recipe's text. Raises InputError, a line, for what is none."""
    check_text(text)
    found, reader = RecipeText(), _Reader(country)
    for line in text.splitlines():
        reader.take(line.strip(), found)
    reader.close(found)
    return found


class _Reader:
    """Goes through the lines of a text, knowing under which heading it is."""

    def __init__(self, country: str) -> None:
        self.country = country
        self.block: RecipeBlock | None = None
        self.in_method = False
        self.gap = False
        self.lines = 0

    def take(self, line: str, found: RecipeText) -> None:
        if not line or re.fullmatch(r"[\s|:+=_*-]+", line):
            self.gap = True
            return
        if len(line) > LONGEST_ROW:
            found.method.append(line)
            return
        if not found.pieces and (match := _MAKES.search(line)):
            found.pieces = _whole(match[1])
            if not plain(line[: match.start()] + line[match.end() :]):
                return  # it says nothing else
        # In the method a sentence may begin with the name of a stage.
        says = self.in_method and (line.endswith(".") or _VERB.match(_words_of(line)))
        heading, rest = (None, "") if says else self._heading(line)
        again = [each for each in found.blocks if heading and each.name == heading.name]
        if again and again[0].lines and not line.endswith(":"):
            self._add(line, found)  # the name of a stage among the lines of another
        elif heading is not None:
            self._begin(heading, found)
        if heading is not None and not rest:
            return
        line = rest or line
        if self.in_method:
            found.method.append(line)
        else:
            self._ingredients(line, found)

    def _ingredients(self, line: str, found: RecipeText) -> None:
        """A line of ingredients, of several, or of the method after all."""
        if not (found.title or found.blocks or found.method) and not _has_amount(line):
            found.title = line.strip("#*_ :")[:80]
            return
        parts = _parts(line)
        if len(parts) > 1 and all(_is_ingredient(each, self.country) for each in parts):
            for each in parts:
                self._add(each, found)
        elif (
            _is_ingredient(line, self.country)
            or self._is_stage(line, found)
            or (self.block is not None and _is_no_food(line))
        ):
            self._add(line, found)
        else:
            found.method.append(line)

    def _is_stage(self, line: str, found: RecipeText) -> bool:
        """Whether a line without an amount is the whole of a stage: "all of the soaker"."""
        said = set(plain(line).split())
        names = [set(plain(each.name).split()) for each in found.blocks if each is not self.block]
        return (
            len(said) <= MOST_SAID and bool(said & _WHOLE) and any(n and n <= said for n in names)
        )

    def close(self, found: RecipeText) -> None:
        """Without a dough of its own, what stands alone after a stage is the dough."""
        found.blocks = [each for each in found.blocks if each.lines]
        if any(each.kind is StageKind.DOUGH and not each.outside for each in found.blocks):
            return
        inside = [each for each in found.blocks if not each.outside]
        if inside and 0 < len(inside[-1].gaps) < len(inside[-1].lines) - 1:
            last, at = inside[-1], inside[-1].gaps[0]
            dough = RecipeBlock(StageKind.DOUGH, "", last.lines[at:])
            last.lines = last.lines[:at]
            found.blocks.insert(found.blocks.index(last) + 1, dough)
            found.guessed_dough = True
        elif len(inside) == 1:
            inside[0].kind, found.guessed_dough = StageKind.DOUGH, True

    def _heading(self, line: str) -> tuple[RecipeHeading | None, str]:
        """The heading that a line is or begins with, and what stands behind it."""
        head, colon, rest = line.partition(":")
        if colon and rest.strip() and len(head) < LONGEST_LINE:
            heading = read_heading(f"{head}:")
            if heading is None or heading.over == UNKNOWN or resolve(head, self.country):
                return None, ""
            amounts = take_apart(rest, self.country)
            named = bool(plain(amounts.rest))
            if heading.over == METHOD or (named and amounts.amounts):
                return heading, rest.strip()
            return None, ""
        if take_apart(line, self.country).amounts and not line.endswith(":"):
            return None, ""
        heading = read_heading(line)
        if heading is None or (heading.over == UNKNOWN and resolve(line.strip(" :"), self.country)):
            return None, ""
        return heading, ""

    def _begin(self, heading: RecipeHeading, found: RecipeText) -> None:
        self.gap = False
        if heading.over == UNKNOWN and not found.blocks and not found.title:
            found.title = heading.name
            return
        self.in_method = heading.over == METHOD
        if self.in_method:
            return
        if heading.over == UNKNOWN:
            found.strange.append(heading.name)
            self.block = None
            return
        if heading.over == INGREDIENTS:
            self.block = None
            return
        kind = StageKind.DOUGH if heading.over == OUTSIDE else StageKind(heading.over)
        self.block = RecipeBlock(kind, heading.name, outside=heading.over == OUTSIDE)
        found.blocks.append(self.block)

    def _add(self, line: str, found: RecipeText) -> None:
        if self.block is None:
            self.block = RecipeBlock(StageKind.DOUGH, "")
            found.blocks.append(self.block)
        self.lines += 1
        if self.lines > MOST_LINES:
            raise InputError(
                FIELD,
                Complaint(say("more than {most} lines of ingredients", most=MOST_LINES)),
                say("one recipe"),
            )
        if self.gap and self.block.lines:
            self.block.gaps.append(len(self.block.lines))
        self.block.lines.append(read_line(line, self.country))
        self.gap = False


def _words_of(line: str) -> str:
    """A line's words, without the number of a step."""
    return re.sub(r"^(?:step )?\d+ ", "", plain(line))


def _whole(text: str) -> int | None:
    """A count of pieces; None for none of them, and for half of one."""
    number = Fraction(WORD_NUMBERS.get(text.casefold(), text))
    return int(number) if number >= 1 and number.denominator == 1 else None


def _parts(line: str) -> list[str]:
    """The parts of a line that may hold several ingredients: "500 g flour / 350 g water"."""
    return [each.strip() for each in _SPLITS.split(line) if each.strip()]


def _is_ingredient(line: str, country: str) -> bool:
    """Whether a line is of the list of ingredients, not of the method."""
    words = plain(line)
    if len(line) > LONGEST_LINE or _TIME.match(line) or _VERB.match(re.sub(r"^\d+ ", "", words)):
        return False
    parts = take_apart(_unlisted(line), country)
    said = plain(parts.rest).split()
    if not said:
        return False
    if parts.leads and (parts.amounts or parts.percents):
        return len(said) <= 2 * MOST_SAID
    if parts.amounts or parts.percents:
        return len(said) <= MOST_SAID and not line.rstrip().endswith(".")
    if re.search(r"\s\d{1,5}$", parts.rest) and len(said) <= MOST_SAID // 2:
        return resolve(re.sub(r"[\s.:|=-]*\d{1,5}$", "", parts.rest), country) is not None
    taken = read_line(line, country)
    known = taken.name is not None or taken.starter is not None
    return (
        known
        and len(said) <= MOST_SAID // 2 + 2
        and not any(d.what == "rest" for d in taken.doubts)
    )


def _is_no_food(line: str) -> bool:
    """Whether a line of the list is parchment and the like: it is said to be left out."""
    words = plain(line)
    return len(words.split()) <= FEW and NO_FOOD.search(words) is not None


def _has_amount(line: str) -> bool:
    parts = take_apart(_unlisted(line))
    return bool(parts.amounts or parts.percents) or bool(re.search(r"\s\d{1,5}$", line))


def _unlisted(line: str) -> str:
    return re.sub(
        r"^\s*(?:[-*•▢☐□◦‣·–—>]+\s+|\[[ xX]?\]\s*|[▢☐□•‣◦|]\s*|\d{1,2}[.)]\s+)+",
        "",
        line.replace("|", " "),
    )


def ingredient_lines(blocks: Sequence[RecipeBlock]) -> Iterator[RecipeLine]:
    """Every line of ingredients in its order."""
    for block in blocks:
        yield from block.lines
