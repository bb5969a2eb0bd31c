"""Read a formula file (TOML) into a `Formula`; docs/formulas.md describes the file.

Its amounts may be entered from several sides (entered.py); all come to the same formula.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from fractions import Fraction
from functools import partial

from pointage.bounds import PIECE_G
from pointage.errors import InputError
from pointage.formula.file import shape
from pointage.formula.file.entered import (
    Entered,
    Entry,
    from_grams,
    from_percents,
    from_total,
)
from pointage.formula.file.figures import mass, number, percent
from pointage.formula.file.process import read_process
from pointage.formula.flour.figures import read_figures
from pointage.formula.formula import (
    FERMENTED,
    STANDS,
    Formula,
    Process,
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
from pointage.mixture.flours import FIGURES, FlourFigures
from pointage.quantities import parse_duration, parse_temperature
from pointage.toml import place_of, read_toml

MIX = "mix"


def read_formula(text: str, source: str = "formula.toml") -> Formula:
    """The formula described by `text`.

    source: the file's name, for errors. Raises InputError, one line with file and field, for
    anything that cannot be used.
    """
    table = read_toml(shape.FormulaTable, text, source)
    _check_stages(table.stage, source)
    entries, entered = _entered(table, source)
    if table.piece is not None:
        piece_g = _piece(table.piece, source)
    elif entered.mass_g is not None:
        piece_g = entered.mass_g / table.pieces
    else:
        raise InputError(place_of(source, "piece"), "nothing", "the mass of a piece, such as 900g")
    process = None if table.process is None else read_process(table.process, source)
    stages = tuple(
        _stage(entry.table, parts, shares, process, source)
        for entry, parts, shares in zip(entries, entered.parts, entered.parts_of, strict=True)
    )
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
        flours=_flours(table.flour, source),
    )
    _check_contents(formula, entries, source)
    return formula


def _entered(table: shape.FormulaTable, source: str) -> tuple[list[Entry], Entered]:
    """The stages in mixing order, and what is in them."""
    in_percents = table.total is None and any(each.percent for each in table.stage)
    names = {each.name for each in table.stage}
    nodes = []
    for i, each in enumerate(table.stage):
        here = place_of(source, f"stage {i + 1}", "parts_of")
        expected = "percent of that stage, 0 to 100"
        shares = {
            name: number(text, place_of(here, name), expected, 100) / 100
            for name, text in each.parts_of.items()
        }
        if in_percents:
            _refuse_ingredient(each.name, source)
            shares |= {name: Fraction() for name in (each.percent or {}) if name in names}
        nodes.append(Node(each.name, StageKind(each.kind), shares))
    order = mixing_order(nodes, source)
    taken: list[Shares] = [{}] * len(nodes) if in_percents else all_taken(nodes, source)
    entries = [Entry(table.stage[i], f"stage {i + 1}", taken[i]) for i in order]
    if table.total is not None:
        return entries, from_total(table.total, entries, source)
    if in_percents:
        return entries, from_percents(entries, source)
    return entries, from_grams(entries, source)


def _flours(tables: Sequence[shape.FlourTable], source: str) -> dict[str, FlourFigures]:
    """The own figures of flours, each flour once."""
    found: dict[str, FlourFigures] = {}
    for place, table in enumerate(tables, 1):
        here = place_of(source, f"flour {place}")
        field = place_of(here, "ingredient")
        if ingredient(table.ingredient, field).kind != "flour":
            raise InputError(field, repr(table.ingredient), "a flour, such as wheat-white")
        if table.ingredient in found:
            raise InputError(field, f"{table.ingredient!r} twice", "each flour once")
        said = {key: text or "" for key, text in table.model_dump().items()}
        figures = read_figures(said, table.ingredient, partial(place_of, here))
        if not figures:
            raise InputError(here, "no figure", f"at least one of {', '.join(FIGURES)}")
        found[table.ingredient] = figures
    return found


def _refuse_ingredient(name: str, source: str) -> None:
    if name in ingredients():
        raise InputError(
            place_of(source, f"stage {name!r}", "name"), repr(name), "one that is no ingredient's"
        )


def _check_stages(stages: Sequence[shape.StageTable], source: str) -> None:
    """Exactly one dough, each stage with a name of its own."""
    field = place_of(source, "stage")
    doughs = [each for each in stages if StageKind(each.kind) is StageKind.DOUGH]
    if not doughs:
        raise InputError(field, "no dough", "one [[stage]] of kind dough")
    if len(doughs) > 1:
        names = " and ".join(repr(each.name) for each in doughs)
        raise InputError(field, names, f"one [[stage]] of kind dough, not {len(doughs)}")
    names_seen: set[str] = set()
    for each in stages:
        if each.name.casefold() in names_seen:
            raise InputError(
                place_of(source, f"stage {each.name!r}"), "the name twice", "each its own name"
            )
        names_seen.add(each.name.casefold())


def _stage(
    table: shape.StageTable,
    parts: dict[str, Fraction],
    parts_of: Shares,
    process: Process | None,
    source: str,
) -> Stage:
    here = place_of(source, f"stage {table.name!r}")
    kind = StageKind(table.kind)
    wanted = table.temperature
    stage = Stage(
        name=table.name,
        kind=kind,
        ingredients=parts,
        temperature=None if wanted is None else parse_temperature(wanted, f"{here}, temperature"),
        place=table.place,
        seed=_seed(table, here),
        least_hours=_hours(table.least, place_of(here, "least")),
        most_hours=_hours(table.most or table.least, place_of(here, "most")),
        parts_of=parts_of,
        fold=_fold(table, process, here),
    )
    if stage.most_hours < stage.least_hours:
        raise InputError(place_of(here, "most"), repr(table.most), f"{table.least} or more")
    if table.least is not None and kind not in STANDS:
        raise InputError(
            place_of(here, "least"), repr(table.least), "it to a soaker or scald alone"
        )
    return stage


def _seed(table: shape.StageTable, here: str) -> Fraction | None:
    if table.seed is None:
        return None
    field = place_of(here, "seed")
    if StageKind(table.kind) is not StageKind.LEVAIN:
        raise InputError(field, repr(table.seed), "a seed to a levain alone")
    if table.seed.strip().casefold() == "fit":
        return None
    expected = 'percent of the stage\'s flour, such as 20, or "fit"'
    seed = number(table.seed, field, expected) / 100
    if not seed:
        raise InputError(field, repr(table.seed), expected)
    return seed


def _fold(table: shape.StageTable, process: Process | None, here: str) -> int:
    """The fold with which an addition goes in; 0 for the end of the mix."""
    if table.when is None:
        return 0
    field = place_of(here, "when")
    if StageKind(table.kind) is not StageKind.ADDITION:
        raise InputError(field, repr(table.when), "it to an addition alone")
    if table.when.strip().casefold() == MIX:
        return 0
    match = re.fullmatch(r"fold ([1-9]\d?)", table.when.strip().casefold())
    if match is None:
        raise InputError(field, repr(table.when), '"mix", or a fold such as "fold 2"')
    fold = int(match[1])
    if process is not None and fold > process.folds:
        expected = f"a fold that there is: the process has {process.folds}"
        raise InputError(field, repr(table.when), expected)
    return fold


def _check_contents(formula: Formula, entries: Sequence[Entry], source: str) -> None:
    """A levain has flour and water and one source of seed; a dough has both of its own."""
    for stage in formula.stages:
        here = place_of(source, f"stage {stage.name!r}")
        whole = formula.whole(stage)
        if stage.kind in FERMENTED and not (whole.flour and whole.water):
            what = "a levain" if stage.kind is StageKind.LEVAIN else "old dough"
            raise InputError(here, f"{what} without flour or water", "some of both")
        before = [each for each in stage.parts_of if formula.stage(each).kind is StageKind.LEVAIN]
        if stage.seed is not None and before:
            given = f"{percent(100 * stage.seed)} beside {' and '.join(before)}"
            raise InputError(place_of(here, "seed"), given, "one or the other")
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
        why = f": all there is goes to {' and '.join(takers)}" if takers else ""
        raise InputError(
            place_of(source, f"stage {dough.name!r}", what), "nothing left", f"some {what}{why}"
        )


def _piece(text: str, source: str) -> Fraction:
    field = place_of(source, "piece")
    grams = mass(text, field)
    PIECE_G.check(grams, field, repr(text))
    return grams


def _hours(text: str | None, field: str) -> float:
    return 0.0 if text is None else parse_duration(text, field).total_seconds() / 3600


def _slug(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "formula"
