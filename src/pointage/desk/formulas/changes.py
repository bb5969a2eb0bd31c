"""What changes the shape of a formula: stages and ingredients that come, go and move."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from pointage.desk.formulas.draft import (
    TOTAL,
    Draft,
    TypedCells,
    as_text,
    cell,
    gram_of,
)
from pointage.errors import Faults, InputError
from pointage.formula.adjust import with_dough_yield, with_levain_hydration
from pointage.formula.file.figures import number
from pointage.formula.formula import Formula, StageKind
from pointage.formula.ingredients import split
from pointage.formula.names import find_ingredient
from pointage.formula.reading.line import read_line
from pointage.language import say
from pointage.toml import nearest

NEW_STAGE = ("name", "kind", "flour", "flours", "water", "takes", "parts_of", "seed", "place")
NEW_IN_GRAMS = ("name", "kind", "grams", "parts_of", "seed", "place")
"""What is said of a new stage where each is entered in grams."""


def with_new_stage(formula: Formula, given: Mapping[str, str], country: str = "") -> Formula:
    """The formula with one more stage; what it takes of the total the final dough has less.
    One whose `grams` are given is put to the rest, which stays as it was weighed.

    given: the fields of NEW_STAGE. flour, takes: percent of all flour; water: of the stage's own;
    flours, takes and parts_of are lists such as "rye-whole 60, wheat-white 40"; grams is one such
    as "25 g rye flour, water 25". country: whose sense of an ingredient's name comes first. One
    that there is none of yet is added to the total.
    Raises InputError, its field "new-flour" …
    """
    given = {key: given.get(key, "").strip() for key in {*NEW_STAGE, *NEW_IN_GRAMS}}
    stage: dict[str, Any] = {key: text for key, text in given.items() if text}
    faults = Faults()
    for key in ("flours", "takes"):
        if key in stage:
            stage[key] = faults.take(_amounts, given[key], f"new-{key}", country)
    if "grams" in stage:
        stage["grams"] = faults.take(_grams, given["grams"], country)
    if "parts_of" in stage:
        stage["parts_of"] = faults.take(_shares, formula, given["parts_of"])
    faults.check()
    side = TypedCells.STAGES_GRAMS if "grams" in stage else TypedCells.TOTAL
    table = Draft(formula, side).table({})
    for name, amount in stage.get("takes", {}).items():
        if not split(name).flour:
            table[TOTAL].setdefault(name, amount)
    at = next(i for i, each in enumerate(formula.stages) if each is formula.dough)
    table["stage"].insert(at, stage)
    try:
        return Draft.of_table(table)
    except InputError as error:
        entered = ("grams", "flour", "takes", "parts_of")
        first = next((key for key in entered if key in stage), "name")
        raise error.at(lambda fault: _of_new(fault, at, f"new-{first}")) from None


def without_stage(formula: Formula, i: int) -> Formula:
    """The formula without a stage; what was in it goes into the final dough. Raises InputError."""
    gone = _stage(formula, i)
    if gone is formula.dough:
        raise InputError(
            f"stage-{i}", gone.name, say("another stage; every formula needs its dough")
        )
    table = Draft(formula, TypedCells.TOTAL).table({})
    del table["stage"][i]
    for each in table["stage"]:
        each.get("parts_of", {}).pop(gone.name, None)
        if not each.get("parts_of", True):
            del each["parts_of"]
    return Draft.of_table(table)


def moved(formula: Formula, i: int, by: int) -> Formula:
    """The formula with a stage mixed earlier or later. Raises InputError where it cannot be."""
    stage = _stage(formula, i)
    table = Draft(formula, TypedCells.TOTAL).table({})
    stages = table["stage"]
    j = min(max(i + by, 0), len(stages) - 1)
    stages[i], stages[j] = stages[j], stages[i]
    found = Draft.of_table(table)
    if found.stages == formula.stages:
        raise InputError(
            f"stage-{i}",
            stage.name,
            say("another place; a stage comes before those that take from it"),
        )
    return found


def without_ingredient(formula: Formula, name: str, *, in_grams: bool = False) -> Formula:
    """The formula without an ingredient, its percents calculated anew. Raises InputError.

    in_grams: the rest stays as it was weighed; else a piece is as heavy as before.
    """
    draft = Draft(formula, TypedCells.STAGES_GRAMS)
    blank = {cell(column, name): "" for column in draft.columns[1:]}
    found = draft.read(blank)
    return found if in_grams else replace(found, piece_g=formula.piece_g)


def with_flour_kept(formula: Formula, before: Formula) -> Formula:
    """The formula with as many grams of flour as before: the mass of a piece follows."""
    piece_g = gram_of(before) * sum(formula.total.values(), Fraction()) / formula.pieces
    return replace(formula, piece_g=piece_g)


def settled(formula: Formula, line: int) -> Formula:
    """The formula with nothing left to doubt in one of the lines that it was read from."""
    if not 0 <= line < len(formula.typed):
        raise InputError("form", say("line {number}", number=line + 1), say("one of its lines"))
    typed = list(formula.typed)
    typed[line] = replace(typed[line], doubts=())
    return replace(formula, typed=tuple(each for each in typed if each.line or each.doubts))


def with_hydration(formula: Formula, i: int, text: str) -> Formula:
    """The formula with another hydration, percent, of a levain or of the whole.

    Raises InputError, field "stage-2-hydration".
    """
    field, stage = f"stage-{i}-hydration", _stage(formula, i)
    wanted = number(text, field, say("percent of its flour, such as 60"), says_most=False)
    try:
        if stage is formula.dough:
            return with_dough_yield(formula, 100 + wanted)
        return with_levain_hydration(formula, stage.name, wanted / 100)
    except InputError as error:
        raise error.at(lambda _: field) from None


def has_hydration(formula: Formula, i: int) -> bool:
    """Whether that can be asked of a stage."""
    return formula.stages[i].kind in (StageKind.LEVAIN, StageKind.DOUGH)


def _stage(formula: Formula, i: int) -> Any:
    if not 0 <= i < len(formula.stages):
        raise InputError("form", say("stage {number}", number=i + 1), say("a stage of the formula"))
    return formula.stages[i]


def _amounts(text: str, field: str, country: str) -> dict[str, str]:
    """ "oats 10, water 20" by name."""
    found = {}
    for part in text.split(","):
        name, _, amount = part.strip().rpartition(" ")
        if not name:
            name, amount = part, "100"  # a single flour is all of it
        found[find_ingredient(name, field, country).name] = amount
    return found


def weighed_line(text: str, country: str = "") -> tuple[str, Fraction] | None:
    """The ingredient and grams of "60 g oats"; None where it does not say both."""
    line = read_line(text, country)
    return (line.name, line.grams) if line.name and line.grams and not line.outside else None


def _grams(text: str, country: str) -> dict[str, str]:
    """ "25 g rye flour, water 25" by name, each a line as a recipe has it."""
    found: dict[str, Fraction] = {}
    for part in filter(None, (each.strip() for each in re.split(r",(?!\d)|\n", text))):
        line = read_line(part, country)
        if line.name is None:
            find_ingredient(line.words or part, "new-grams", country)
        weighed = weighed_line(part, country)
        if weighed is None:
            expected = say("an ingredient with its grams, such as rye flour 25")
            raise InputError("new-grams", repr(part), expected)
        name, grams = weighed
        found[name] = found.get(name, Fraction()) + grams
    return {name: as_text(grams) for name, grams in found.items()}


def _shares(formula: Formula, text: str) -> dict[str, str]:
    """ "First build 100" by the name of a stage; all of it where no number is given."""
    names = {each.name.casefold(): each.name for each in formula.stages}
    found = {}
    for part in text.split(","):
        name, _, amount = part.strip().rpartition(" ")
        if part.strip().casefold() in names:
            name, amount = part.strip(), "100"
        if name.casefold() not in names:
            known = [each.name for each in formula.stages]
            raise InputError("new-parts_of", repr(part.strip()), nearest(part.strip(), known))
        found[names[name.casefold()]] = amount
    return found


def _of_new(fault: InputError, at: int, first: str) -> str:
    """The field of the new stage's form that the reader's fault is about: `first` where it is about
    another stage, which this one takes from."""
    match fault.path:
        case ("stage", number, key, *_) if number == at and key in {*NEW_STAGE, *NEW_IN_GRAMS}:
            return f"new-{key}"
        case ("stage", number, *_) if number == at:
            return "new-name"
        case ("total", "water"):
            return "new-water"
    return first
