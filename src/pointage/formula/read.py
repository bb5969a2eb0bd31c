"""Read a formula file (TOML) into a `Formula`; docs/formulas.md describes the file.

It is written in one of two ways: a `[total]` in baker's percentages with what each stage takes of
it, the dough having the rest; or grams in every stage, from which the percentages follow.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from fractions import Fraction

from pointage.errors import InputError, UnitError
from pointage.formula import shape
from pointage.formula.formula import MOST_PIECE_G, Formula, Stage, StageKind
from pointage.formula.ingredients import ingredient
from pointage.formula.process import read_process
from pointage.quantities import (
    parse_duration,
    parse_mass,
    parse_temperature,
    print_number,
    split_number,
)
from pointage.toml import place_of, read_toml

MOST_PERCENT = 500  # of any one ingredient: beyond it a unit was mistaken

Parts = dict[str, Fraction]


def read_formula(text: str, source: str = "formula.toml") -> Formula:
    """The formula described by `text`.

    source: the file's name, for errors. Raises InputError, one line with file and field, for
    anything that cannot be used.
    """
    table = read_toml(shape.FormulaTable, text, source)
    _check_stages(table.stage, source)
    if table.total is not None:
        parts = _from_total(table.total, table.stage, source)
    else:
        parts, mass_g = _from_grams(table.stage, source)
    if table.piece is not None:
        piece_g = _piece(table.piece, source)
    elif table.total is None:
        piece_g = mass_g / table.pieces
    else:
        raise InputError(place_of(source, "piece"), "nothing", "the mass of a piece, such as 900g")
    stages = tuple(
        _stage(each, taken, source) for each, taken in zip(table.stage, parts, strict=True)
    )
    _check_dough(stages, source)
    return Formula(
        name=table.name,
        slug=_slug(table.name),
        about=table.about,
        culture=table.culture,
        pieces=table.pieces,
        piece_g=piece_g,
        stages=stages,
        process=None if table.process is None else read_process(table.process, source),
        cautions=tuple(table.cautions),
    )


def _check_stages(stages: Sequence[shape.StageTable], source: str) -> None:
    """Exactly one dough, at most one levain, each stage with a name of its own."""
    field = place_of(source, "stage")
    doughs = [each for each in stages if each.kind == "dough"]
    if not doughs:
        raise InputError(field, "no dough", "one [[stage]] of kind dough")
    for kind, most in (("dough", doughs), ("levain", [s for s in stages if s.kind == "levain"])):
        if len(most) > 1:
            names = " and ".join(repr(each.name) for each in most)
            raise InputError(field, names, f"one [[stage]] of kind {kind}, not {len(most)}")
    names_seen: set[str] = set()
    for each in stages:
        if each.name.casefold() in names_seen:
            raise InputError(
                place_of(source, f"stage {each.name!r}"), "the name twice", "each its own name"
            )
        names_seen.add(each.name.casefold())


def _from_total(
    total: Mapping[str, str], stages: Sequence[shape.StageTable], source: str
) -> list[Parts]:
    """What each stage has of the total formula; the dough has the rest."""
    whole = _percents(total, place_of(source, "total"))
    flours = {name: part for name, part in whole.items() if ingredient(name).kind == "flour"}
    sum_of_flours = sum(flours.values(), Fraction())
    if sum_of_flours != 100:
        raise InputError(
            place_of(source, "total"),
            f"{_percent(sum_of_flours)} of flour",
            "flours that come to 100 % together",
        )
    taken = [
        {} if each.kind == "dough" else _taken(each, flours, place_of(source, _stage_name(i)))
        for i, each in enumerate(stages)
    ]
    rest = dict(whole)
    for parts in taken:
        for name, part in parts.items():
            rest[name] = rest.get(name, Fraction()) - part
    for name, left in rest.items():
        if left < 0:
            takers = [
                f"{_stage_name(i)} ({each.name})"
                for i, each in enumerate(stages)
                if name in taken[i]
            ]
            takes = "takes" if len(takers) == 1 else "take"
            given = whole.get(name, Fraction())
            raise InputError(
                place_of(source, name),
                _percent(given),
                f"at least {_percent(given - left)}, for {' and '.join(takers)} {takes} that much",
            )
    dough = next(i for i, each in enumerate(stages) if each.kind == "dough")
    _refuse_in_dough(stages[dough], source)
    taken[dough] = {name: left for name, left in rest.items() if left > 0}
    return taken


def _taken(stage: shape.StageTable, flours: Parts, here: str) -> Parts:
    """What a stage before the dough takes, percent of the total flour."""
    if stage.grams is not None:
        raise InputError(
            place_of(here, "grams"), "grams beside [total]", "either percents or grams, not both"
        )
    parts: Parts = {}
    if stage.flour is not None:
        flour = _number(stage.flour, place_of(here, "flour"), "percent of the total flour", 100)
        blend = flours
        if stage.flours is not None:
            blend = _percents(stage.flours, place_of(here, "flours"))
            for name in blend:
                if ingredient(name).kind != "flour":
                    raise InputError(place_of(here, "flours"), repr(name), "kinds of flour alone")
            if sum(blend.values()) != 100:
                given = _percent(sum(blend.values(), Fraction()))
                raise InputError(place_of(here, "flours"), given, "flours that come to 100 %")
        parts = {name: flour * part / 100 for name, part in blend.items()}
        if stage.water is not None:
            water = _number(stage.water, place_of(here, "water"), "percent of the stage's flour")
            parts["water"] = flour * water / 100
    elif stage.water is not None or stage.flours is not None:
        raise InputError(
            place_of(here, "flour"), "nothing", "how much of the total flour it takes, such as 18"
        )
    for name, part in _percents(stage.takes, place_of(here, "takes")).items():
        parts[name] = parts.get(name, Fraction()) + part
    parts = {name: part for name, part in parts.items() if part}
    if not parts:
        raise InputError(here, "nothing in it", "flour and water, or what it takes")
    return parts


def _refuse_in_dough(stage: shape.StageTable, source: str) -> None:
    for key in ("flour", "flours", "water", "grams", "takes"):
        if getattr(stage, key):
            raise InputError(
                place_of(source, f"stage {stage.name!r}", key),
                "an amount beside [total]",
                "none: the dough has what the other stages leave",
            )


def _from_grams(stages: Sequence[shape.StageTable], source: str) -> tuple[list[Parts], Fraction]:
    """Each stage in percent of the flour of all, and the mass of the whole."""
    found: list[Parts] = []
    for i, each in enumerate(stages):
        here = place_of(source, _stage_name(i))
        if each.grams is None:
            raise InputError(
                place_of(here, "grams"), "nothing", "grams in every stage, or a table [total]"
            )
        for key in ("flour", "flours", "water", "takes"):
            if getattr(each, key):
                raise InputError(
                    place_of(here, key), "a percent beside grams", "either percents or grams"
                )
        grams = {
            name: parse_mass(text, place_of(here, "grams", name))
            for name, text in each.grams.items()
        }
        for name in grams:
            ingredient(name, place_of(here, "grams"))
        found.append({name: mass for name, mass in grams.items() if mass})
    flour = sum(
        (g for parts in found for name, g in parts.items() if ingredient(name).kind == "flour"),
        Fraction(),
    )
    if not flour:
        raise InputError(place_of(source, "stage"), "no flour", "flour in one stage at least")
    mass = sum((g for parts in found for g in parts.values()), Fraction())
    return [{name: 100 * g / flour for name, g in parts.items()} for parts in found], mass


def _stage(table: shape.StageTable, parts: Parts, source: str) -> Stage:
    here = place_of(source, f"stage {table.name!r}")
    kind = StageKind(table.kind)
    seed = None
    if table.seed is not None:
        if kind is not StageKind.LEVAIN:
            raise InputError(place_of(here, "seed"), repr(table.seed), "a seed to a levain alone")
        if table.seed.strip().casefold() != "fit":
            expected = 'percent of the stage\'s flour, such as 20, or "fit"'
            seed = _number(table.seed, place_of(here, "seed"), expected) / 100
            if not seed:
                raise InputError(place_of(here, "seed"), repr(table.seed), expected)
    wanted = table.temperature
    stage = Stage(
        name=table.name,
        kind=kind,
        ingredients=parts,
        temperature=None if wanted is None else parse_temperature(wanted, f"{here}, temperature"),
        place=table.place,
        seed=seed,
        least_hours=_hours(table.least, place_of(here, "least")),
        most_hours=_hours(table.most or table.least, place_of(here, "most")),
    )
    if kind is StageKind.LEVAIN and not (stage.flour and stage.water):
        raise InputError(here, "a levain without flour or water", "some of both")
    if stage.most_hours < stage.least_hours:
        raise InputError(place_of(here, "most"), repr(table.most), f"{table.least} or more")
    return stage


def _check_dough(stages: Sequence[Stage], source: str) -> None:
    """The final dough must have flour and water of its own: there is nothing to mix without."""
    dough = next(each for each in stages if each.kind is StageKind.DOUGH)
    for what in ("flour", "water"):
        if getattr(dough, what):
            continue
        takers = [
            f"{_stage_name(i)} ({each.name}) {_percent(getattr(each, what))}"
            for i, each in enumerate(stages)
            if getattr(each, what)
        ]
        why = f": all there is goes to {' and '.join(takers)}" if takers else ""
        raise InputError(
            place_of(source, f"stage {dough.name!r}", what), "nothing left", f"some {what}{why}"
        )


def _stage_name(index: int) -> str:
    return f"stage {index + 1}"


def _percents(table: Mapping[str, str], here: str) -> Parts:
    for name in table:
        ingredient(name, here)
    expected = f"a percentage of the flour, 0 to {MOST_PERCENT}"
    return {name: _number(text, place_of(here, name), expected) for name, text in table.items()}


def _number(text: str, field: str, expected: str, most: int = MOST_PERCENT) -> Fraction:
    number, unit = split_number(text, field, expected)
    if unit not in ("", "%"):
        raise UnitError(field, repr(text), expected)
    if not 0 <= number <= most:
        bounds = "" if "0 to" in expected else f", 0 to {most}"
        raise InputError(field, f"{text} %", expected + bounds)
    return number


def _piece(text: str, source: str) -> Fraction:
    field = place_of(source, "piece")
    grams = parse_mass(text, field)
    if not 0 < grams <= MOST_PIECE_G:
        raise InputError(field, repr(text), "the mass of a piece, above nothing and up to 50kg")
    return grams


def _hours(text: str | None, field: str) -> float:
    return 0.0 if text is None else parse_duration(text, field).total_seconds() / 3600


def _percent(value: Fraction) -> str:
    return f"{print_number(float(value), 2)} %"


def _slug(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "formula"
