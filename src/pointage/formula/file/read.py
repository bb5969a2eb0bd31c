"""Read a formula file (TOML) into a `Formula`; docs/formulas.md describes the file.

Its amounts may be entered from several sides (entered.py); all come to the same formula.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from functools import partial
from typing import Any

from pointage.errors import MISSING, At, Complaint, Faults, InputError
from pointage.formula.file import shape
from pointage.formula.file.entered import (
    EnteredAmounts,
    EnteredStage,
    check_amounts,
    from_grams,
    from_percents,
    from_total,
)
from pointage.formula.file.figures import number, percent
from pointage.formula.file.named import name_records
from pointage.formula.file.process import read_process
from pointage.formula.flour.figures import read_figures
from pointage.formula.formula import (
    FERMENTED,
    STANDS,
    WORDS,
    Formula,
    Process,
    Rights,
    Stage,
    StageKind,
)
from pointage.formula.graph import (
    Node,
    Shares,
    all_taken,
    mixing_order,
)
from pointage.formula.ingredients import ingredient, ingredients
from pointage.formula.label.allergens import checked
from pointage.formula.reading.typed import LineDoubt, TypedLine
from pointage.language import mark, say
from pointage.mixture.flours import FIGURES, FlourFigures
from pointage.quantities import print_number
from pointage.toml import names_of, place_of, read_toml, row_of, rows_of


def read_formula(text: str, source: str = "formula.toml") -> Formula:
    """The formula described by `text`.

    source: the file's name, for errors. Raises InputError, a line with file and field for each
    value that cannot be used; where each can, a line for each that does not fit the others.
    """
    table = read_toml(shape.FormulaTable, text, source, _check_stages, name_records, check_amounts)
    faults = Faults()
    process = faults.take(_process, table.process, source)
    flours = faults.take(_flours, table.flour, source)
    for i, each in enumerate(table.stage):
        faults.take(_check_stage, each, process, row_of(source, "stage", i, each.name))
    with faults:
        entries, entered = _entered(table, source)
        piece_g = _piece(table, entered, source)
    faults.check()
    stages = tuple(map(_stage, entries, entered.parts, entered.parts_of))
    formula = Formula(
        name=table.name,
        slug=_slug(table.name),
        about=table.about,
        culture=table.culture,
        pieces=table.pieces,
        piece_g=piece_g,
        stages=stages,
        process=process,
        cautions=tuple(table.cautions),
        may_contain=checked(table.may_contain, place_of(source, "may_contain")),
        flours=flours,
        rights=Rights(table.author, str(table.year or ""), table.licence),
        put_away=table.put_away,
        removed=table.removed,
        favourite=table.favourite,
        words={} if table.words is None else _words(table.words),
        typed=tuple(map(_typed, table.typed)),
        varies=table.varies,
        because=table.because,
    )
    _check_contents(formula, entries, source)
    return formula


def _words(table: shape.WordsTable) -> dict[str, str]:
    return {key: text for key in WORDS if (text := getattr(table, key))}


def _typed(table: shape.TypedTable) -> TypedLine:
    doubts = (
        LineDoubt(str(each.get("what", "")), {k: v for k, v in each.items() if k != "what"})
        for each in table.doubts
    )
    return TypedLine(table.line, table.taken, tuple(doubts))


def _process(table: shape.ProcessTable | None, source: str) -> Process | None:
    return None if table is None else read_process(table, source)


def _piece(table: shape.FormulaTable, entered: EnteredAmounts, source: str) -> Fraction:
    if table.piece is None and entered.mass_g is None:
        raise InputError(
            place_of(source, "piece"), MISSING, say("the mass of a piece, such as 900g")
        )
    return table.piece or (entered.mass_g or 0) / Fraction(table.pieces)


def _entered(table: shape.FormulaTable, source: str) -> tuple[list[EnteredStage], EnteredAmounts]:
    """The stages in mixing order, and what is in them."""
    in_percents = table.total is None and any(each.percent for each in table.stage)
    names = {each.name for each in table.stage}
    nodes, faults = [], Faults()
    for i, each in enumerate(table.stage):
        here = place_of(row_of(source, "stage", i), "parts_of")
        expected = say("percent of that stage, 0 to 100")
        shares = {
            name: faults.take(number, text, place_of(here, name), expected, 100)
            for name, text in each.parts_of.items()
        }
        if in_percents and each.name in ingredients():
            field = place_of(row_of(source, "stage", i, each.name), "name")
            faults.found.append(
                InputError(field, repr(each.name), say("a name that no ingredient has"))
            )
            shares |= {name: Fraction() for name in (each.percent or {}) if name in names}
        nodes.append(Node(each.name, StageKind(each.kind), shares))
    faults.check()
    nodes = [Node(n.name, n.kind, {k: v / 100 for k, v in n.parts_of.items()}) for n in nodes]
    order = mixing_order(nodes, source)
    taken: list[Shares] = [{}] * len(nodes) if in_percents else all_taken(nodes, source)
    entries = [EnteredStage(table.stage[i], i, taken[i]) for i in order]
    if table.total is not None:
        return entries, from_total(table.total, entries, source)
    if in_percents:
        return entries, from_percents(entries, source)
    return entries, from_grams(entries, source)


def _flours(tables: Sequence[shape.FlourTable], source: str) -> dict[str, FlourFigures]:
    """The own figures of flours, each flour once."""
    found: dict[str, FlourFigures] = {}
    faults = Faults()
    for i, table in enumerate(tables):
        here = row_of(source, "flour", i)
        if table.ingredient in found:
            given = say("{ingredient!r} twice", ingredient=table.ingredient)
            field = place_of(here, "ingredient")
            faults.found.append(InputError(field, given, say("each flour once")))
        found[table.ingredient] = faults.take(_own_figures, table, here)
    faults.check()
    return found


def _own_figures(table: shape.FlourTable, here: At) -> FlourFigures:
    field = place_of(here, "ingredient")
    if ingredient(table.ingredient, field).kind != "flour":
        raise InputError(field, repr(table.ingredient), say("a flour, such as wheat-white"))
    said = {key: text or "" for key, text in table.model_dump().items()}
    figures = read_figures(said, table.ingredient, partial(place_of, here))
    if not figures:
        expected = say("at least one of {figures}", figures=", ".join(FIGURES))
        raise InputError(here, Complaint(say("no figure")), expected)
    return figures


def _check_stages(table: Mapping[str, Any], source: str) -> None:
    """Exactly one dough, each stage with a name of its own. Raises InputError."""
    faults, field = Faults(), place_of(source, "stage")
    names, stages = names_of(table, "stage"), rows_of(table, "stage")
    doughs = [name for name, each in zip(names, stages, strict=True) if each.get("kind") == "dough"]
    known = all(each.get("kind") in [*StageKind] for each in stages)  # a list cannot be in a set
    if not doughs and stages and known:
        faults.found.append(
            InputError(field, Complaint(say("no dough")), say("one [[stage]] of kind dough"))
        )
    if len(doughs) > 1:
        expected = say("one [[stage]] of kind dough, not {count}", count=len(doughs))
        faults.found.append(InputError(field, say(" and ").join(map(repr, doughs)), expected))
    seen: set[str] = set()
    for i, name in enumerate(names):
        if name and name.casefold() in seen:
            here = row_of(source, "stage", i, name)
            faults.found.append(
                InputError(here, Complaint(say("two stages have this name")), say("unique names"))
            )
        seen.add(name.casefold())
    faults.check()


def _check_stage(table: shape.StageTable, process: Process | None, here: At) -> None:
    faults = Faults()
    least, most = table.least or 0.0, table.most
    if most is not None and most < least:
        given, expected = (f"{print_number(each, 2)}h" for each in (most, least))
        faults.found.append(
            InputError(
                place_of(here, "most"), repr(given), say("{expected} or more", expected=expected)
            )
        )
    for key, kinds, expected in _FOR_SOME:
        if getattr(table, key) is not None and table.kind not in kinds:
            faults.found.append(
                InputError(
                    place_of(here, key),
                    say("this in a {kind}", kind=say(table.kind)),
                    say(expected),
                )
            )
    if table.when and process is not None and table.when > process.folds:
        expected = say("a fold of the process, which has {folds}", folds=process.folds)
        faults.found.append(
            InputError(place_of(here, "when"), say("fold {number}", number=table.when), expected)
        )
    faults.check()


def _stage(entry: EnteredStage, parts: dict[str, Fraction], parts_of: Shares) -> Stage:
    table = entry.table
    return Stage(
        name=table.name,
        kind=StageKind(table.kind),
        ingredients=parts,
        temperature=table.temperature,
        place=table.place,
        seed=table.seed or None,
        least_hours=table.least or 0.0,
        most_hours=table.most or table.least or 0.0,
        parts_of=parts_of,
        fold=table.when or 0,
        words=table.words,
    )


_FOR_SOME: tuple[tuple[str, Collection[StageKind], str], ...] = (
    ("seed", (StageKind.LEVAIN,), mark("it in a levain only")),
    ("when", (StageKind.ADDITION,), mark("it in an addition only")),
    ("least", STANDS, mark("it in a soaker or scald only")),
)
"""What stages of some kinds alone may have."""


def _check_contents(formula: Formula, entries: Sequence[EnteredStage], source: str) -> None:
    """A levain has flour and water and one source of seed; a dough has both of its own."""
    faults = Faults()
    for entry, stage in zip(entries, formula.stages, strict=True):
        here = row_of(source, "stage", entry.number, stage.name)
        whole = formula.whole(stage)
        if stage.kind in FERMENTED and not (whole.flour and whole.water):
            if stage.kind is StageKind.LEVAIN:
                given = say("a levain without flour or water")
            else:
                given = say("old dough without flour or water")
            faults.found.append(InputError(here, given, say("some of both")))
        before = [each for each in stage.parts_of if formula.stage(each).kind is StageKind.LEVAIN]
        if stage.seed is not None and before:
            given = say(
                "{percent} beside {levains}",
                percent=percent(100 * stage.seed),
                levains=say(" and ").join(before),
            )
            faults.found.append(InputError(place_of(here, "seed"), given, say("one or the other")))
    labels = {each.table.name: each.label for each in entries}
    dough = formula.dough
    for what in ("flour", "water"):
        if getattr(dough, what):
            continue
        takers = [
            f"{labels[each.name]} ({each.name}) {percent(getattr(each, what))}"
            for each in formula.stages
            if getattr(each, what)
        ]
        why = say(": all there is goes to {takers}", takers=" and ".join(takers)) if takers else ""
        i = next(each.number for each in entries if each.is_dough)
        field = place_of(row_of(source, "stage", i, dough.name), what)
        faults.found.append(
            InputError(
                field, Complaint(say("nothing left")), say("some {what}{why}", what=what, why=why)
            )
        )
    faults.check()


def _slug(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    plain = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    # A name in another script has an address too, and each its own.
    return plain or f"formula-{hashlib.sha256(name.encode()).hexdigest()[:6]}"
