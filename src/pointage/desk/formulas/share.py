"""A formula as a page for other kitchens: what the page is made of, and the page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from typing import Any

from pointage.desk.bakes.plan import culture_for
from pointage.desk.calculators.water_page import dough_mix
from pointage.desk.formulas.label import NOT_SAFE
from pointage.desk.sheets.linked_data import recipe_of
from pointage.documents.page.courses import handling_h, worked_h
from pointage.documents.page.grid import against, grid_of
from pointage.documents.page.oven import oven_table, warm_share
from pointage.documents.page.write import formula_html
from pointage.errors import MISSING, InputError
from pointage.formula.formula import Formula, Process, Stage
from pointage.formula.ingredients import ingredient, split
from pointage.formula.label.allergens import allergens_of, named, unsaid_allergens, with_gluten
from pointage.formula.swap import swap_flour
from pointage.heat.loaf import LoafShape
from pointage.kitchen.kitchen import CultureAtHand, Kitchen, PlaceKind
from pointage.kitchen.vessel import VesselUse
from pointage.language import language, mark, say
from pointage.mixture.mixture import Mixture, raw
from pointage.science.heat_balance import flour_heat_capacity
from pointage.shown import shown
from pointage.timetable.oven import load_of, oven_bake, ovens_for
from pointage.timetable.problem import Problem
from pointage.timetable.ways.builds import planned_builds

FAMILIES = (
    ("wheat-plain", "wheat-white", "wheat-strong", "wheat-812"),
    ("wheat-whole", "wheat-whole-soft", "wheat-1050", "spelt-whole"),
    ("spelt-white", "spelt-whole", "wheat-white"),
    ("rye-whole", "rye-dark", "rye-1150", "rye-medium"),
)
"""Flours that a reader is likely to have for another."""
CAUTIONS = (
    mark("Raw flour and raw dough are not for tasting; wash hands and tools after them."),
    mark("The oven, its stone and the steam burn: use dry, thick cloths and stand aside."),
)


def share_formula(
    formula: Formula,
    kitchen: Kitchen,
    now: datetime,
    reached: Callable[[float], None] = lambda share: None,
) -> str:
    """The page of a formula for other kitchens, as HTML; the author's is `kitchen`.

    Raises InputError for a formula that cannot be planned, naming the field.
    """
    problem = shared_problem(formula, kitchen, now)
    process = problem.process
    grid = grid_of(problem, lambda part: reached(0.7 * part))
    known = list[str]()
    flours = [_flour(problem, None, known), *_others(problem, known)]
    for other in flours[1:]:
        for stage, first in zip(other["stages"], flours[0]["stages"], strict=True):
            stage["rows"] = _unless_same(stage["rows"], first["rows"])
    reached(0.85)
    what = oven_bake(formula, process, kitchen, formula.piece_g, formula.pieces)
    bake = oven_table(what, process.bake_minutes)
    warm = process.dough_temperature.celsius
    cold = process.retard_place is not None
    facts = {
        "lang": language().tag,
        "shown": {"degrees": shown().degrees, "clock": shown().clock, "ounces": shown().ounces},
        "name": formula.name,
        "grid": grid,
        "builds": [stage.name for stage in problem.build_stages],
        "process": _process(process, problem),
        "soakers": [{"name": stage.name, "hours": stage.least_hours} for stage in formula.soakers],
        "ingredients": _ingredients(known),
        "flours": flours,
        "bake": bake | {"warm": warm_share(what, warm) if cold else 1.0},
        "bakeNote": process.bake_note,
        "seed": say("as fits")
        if problem.build_stages[0].seed is None
        else f"{float(100 * problem.build_stages[0].seed):g} %",
        "pieces": formula.pieces,
        "pieceG": float(formula.piece_g),
        "own": _own(problem, kitchen, now),
    }
    linked = recipe_of(formula, kitchen).as_script()
    return formula_html(formula, facts, cautions=_cautions(formula), linked=linked)


def shared_problem(formula: Formula, kitchen: Kitchen, now: datetime) -> Problem:
    """The formula as its author's kitchen works it. Raises InputError for what has no plan."""
    if formula.process is None:
        field = say("{formula}, process", formula=formula.name)
        raise InputError(field, MISSING, say("a [process] table: how it is worked"))
    placed = _in(formula, formula.process, kitchen)
    culture = _culture(formula, kitchen, now)
    planned_builds(formula)
    return Problem(placed, kitchen, culture, now, now, formula.pieces, formula.piece_g)


def _in(formula: Formula, process: Process, kitchen: Kitchen) -> Formula:
    """The formula with places that the kitchen has: a reader has others anyway."""
    known = {place.name.casefold() for place in kitchen.places}
    usual = kitchen.warmest_place.name

    def place(name: str | None) -> str | None:
        return name if name is None or name.casefold() in known else usual

    fridge = next((p.name for p in kitchen.places if p.kind is PlaceKind.FRIDGE), usual)
    stages = tuple(replace(stage, place=place(stage.place)) for stage in formula.stages)
    process = replace(
        process,
        bulk_place=place(process.bulk_place) or usual,
        proof_place=place(process.proof_place) or usual,
        retard_place=None if process.retard_place is None else fridge,
        oven_name="",
    )
    return replace(formula, stages=stages, process=process)


def _culture(formula: Formula, kitchen: Kitchen, now: datetime) -> CultureAtHand:
    """The author's culture; where the kitchen has none of that name, one like the levain."""
    if formula.culture and any(each.called(formula.culture) for each in kitchen.cultures):
        return culture_for(formula, kitchen)
    builds = formula.builds
    if not builds:
        return culture_for(replace(formula, culture=None), kitchen)
    whole, place = formula.whole(builds[0]), kitchen.warmest_place.name
    flours = {n: float(p / whole.flour) for n, p in whole.ingredients.items() if split(n).flour}
    return CultureAtHand("", flours, float(whole.hydration), 100.0, 0.2, now, place, 0.0, place)


def _process(process: Process, problem: Problem) -> dict[str, Any]:
    levain = problem.levain_stage.temperature
    return {
        "workedH": worked_h(process),
        "handlingH": handling_h(process),
        "mixH": process.mix_minutes / 60,
        "folds": process.folds,
        "foldEveryH": process.fold_every_minutes / 60,
        "foldH": process.fold_minutes / 60,
        "divideH": process.divide_minutes / 60,
        "benchH": process.bench_rest_minutes / 60,
        "shapeH": process.shape_minutes / 60,
        "loadH": process.load_minutes / 60,
        "coolH": process.cool_minutes / 60,
        "doughC": process.dough_temperature.celsius,
        "levainC": None if levain is None else levain.celsius,
        "bulkRise": process.bulk_rise,
        "proofRise": process.proof_rise,
        "retardRise": process.retard_rise,
        "bakeFallback": process.bake_minutes or 45.0,
        "ovenC": process.oven.celsius,
        "tin": process.shape == "tin",
    }


def _own(problem: Problem, kitchen: Kitchen, now: datetime) -> dict[str, Any]:
    """The author's kitchen: where a reader's form begins, and what is translated from."""
    stands = problem.bulk_place.mean_c(now, 0.0, 24.0)
    fridge = problem.retard_place
    sleep = kitchen.hours.sleep[0] if kitchen.hours.sleep else None
    return {
        "room": round(kitchen.room.mean_c(now, 0.0, 24.0), 1),
        "stands": round(stands, 1),
        "fridge": 5.0 if fridge is None else round(fridge.mean_c(now, 0.0, 24.0), 1),
        "tap": kitchen.tap_c,
        "friction": round(
            kitchen.gained_k(
                problem.process.mix_minutes, float(problem.pieces * problem.piece_g) / 1000
            ),
            1,
        ),
        "height": kitchen.altitude_m,
        "oven": problem.process.oven.celsius,
        "hydration": problem.culture.hydration,
        "perLoad": _per_load(problem, kitchen),
        "litresPerKg": round(just_mixed(problem.formula.total).volume, 3),
        "tinL": _tin_litres(problem, kitchen),
        "sleep": [23.0, 7.0] if sleep is None else [each.hour + each.minute / 60 for each in sleep],
    }


def _per_load(problem: Problem, kitchen: Kitchen) -> int:
    """Pieces that the author's oven takes at once; all of them where there is none."""
    if not kitchen.ovens:
        return problem.pieces
    oven = ovens_for(kitchen.ovens, problem.process)[0]
    return min(load_of(oven, problem.process), problem.pieces)


def just_mixed(ingredients: Mapping[str, Fraction]) -> Mixture:
    """What ingredients are together, before anything lives in them."""
    flours, water, salt, other = dict[str, float](), 0.0, 0.0, 0.0
    for name, part in ingredients.items():
        it = split(name)
        if it.flour:
            flours[name] = float(part)
        water, salt = water + float(part * it.water), salt + float(part * it.salt)
        other += float(part * it.other)
    return raw(flours, water, salt, other)


def _tin_litres(problem: Problem, kitchen: Kitchen) -> float | None:
    """Of the author's tin; None for a bread without one, or where it is not known."""
    if problem.process.shape != LoafShape.TIN:
        return None
    return next((v.volume_l for v in kitchen.vessels if v.use is VesselUse.TIN), None)


def _flour(problem: Problem, label: str | None, known: list[str]) -> dict[str, Any]:
    """One way of the formula as to its flour: what goes into each stage, and its heat.

    known: the ingredients named so far, to which those of this way are added.
    """
    formula = problem.formula
    mix = dough_mix(formula, formula.pieces, problem.kitchen.flours)
    whole_kg = float(formula.pieces * formula.piece_g) / 1000
    total = sum(formula.total.values(), Fraction())
    return {
        "label": label or say("as in the formula"),
        "against": None,
        "notes": [],
        "heat": {
            "waterKg": mix.water_kg / whole_kg,
            "groups": {
                group.warmth: [each / whole_kg for each in mix.heat_curve(group)]
                for group in mix.groups
            },
        },
        "percents": float(total),
        "stages": [_stage(formula, stage, total, known) for stage in formula.stages],
        "thermal": [_thermal(problem, stage) for stage in problem.build_stages],
    }


def _stage(formula: Formula, stage: Stage, total: Fraction, known: list[str]) -> dict[str, Any]:
    """A stage in parts of the whole dough; its rows by their places in `known`, in percent of all
    flour, which another flour leaves as they are. flour: the seed's counted."""
    rows = sorted(stage.ingredients.items(), key=lambda row: (not split(row[0]).flour, -row[1]))
    known += [name for name, _ in rows if name not in known]
    return {
        "name": stage.name,
        "kind": stage.kind.value,
        "fold": stage.fold,
        "flour": float(stage.flour / total),
        "seeded": stage in formula.builds[:1],
        "rows": [[known.index(name), _figure(part)] for name, part in rows],
        "takes": [
            {"name": name, "part": _figure(share * formula.whole(formula.stage(name)).mass / total)}
            for name, share in stage.parts_of.items()
        ],
    }


def _figure(value: Fraction) -> float:
    """To nine figures: of the largest batch less than a milligram, and half as long to write."""
    return float(f"{float(value):.9g}")


def _unless_same(rows: Sequence[list[Any]], first: Sequence[list[Any]]) -> list[Any]:
    """The rows of another flour; of one that is as in the formula, as most are, its place alone."""
    return [row[0] if row in first else row for row in rows]


def _ingredients(names: Sequence[str]) -> list[list[Any]]:
    """What each is called, and 1 for flour, 2 for water, 0 for anything else."""
    return [
        [say(ingredient(name).label), 2 if name == "water" else int(bool(split(name).flour))]
        for name in names
    ]


def _thermal(problem: Problem, stage: Stage) -> dict[str, float]:
    """Heat capacities for a build, kJ/(kg·K): of what seeds it, and of its flour."""
    recipe = problem.builds[problem.build_stages.index(stage)]
    prime = problem.prime(problem.culture, problem.likeliest)
    return {
        "seed": prime.heat_capacity / prime.mass,
        "flour": flour_heat_capacity(recipe.record.moisture),
    }


def _others(problem: Problem, known: list[str]) -> Iterator[dict[str, Any]]:
    main = _main_flour(problem.formula)
    for name, other, notes in other_flours(problem):
        label = say(
            "{new} for {old}",
            new=say(ingredient(name).label),
            old=say(ingredient(main).label).lower(),
        )
        found = _flour(other, label, known)
        yield found | {"against": against(problem, other), "notes": list(notes)}


def other_flours(problem: Problem) -> Iterator[tuple[str, Problem, Sequence[str]]]:
    """The same formula with other flours in the place of the one it has most of; what changes."""
    main = _main_flour(problem.formula)
    for name in next((each for each in FAMILIES if main in each), ()):
        if name == main:
            continue
        try:
            swapped = swap_flour(problem.formula, main, name)
            planned_builds(swapped.formula)
        except InputError:
            continue  # a flour that would leave the dough no water of its own
        yield name, replace(problem, formula=swapped.formula), swapped.notes


def _main_flour(formula: Formula) -> str:
    return next(name for name in formula.total if split(name).flour)


def _cautions(formula: Formula) -> Sequence[str]:
    unsaid = unsaid_allergens(formula.total)
    contains = allergens_of(name for name in formula.total if ingredient(name).allergens_known)
    words = [*map(say, CAUTIONS)]
    if unsaid:
        words.append(say("The allergens of {names} are not known.", names=", ".join(unsaid)))
    for sentence, allergens in (
        (mark("Contains: {names}."), contains),
        (mark("May contain: {names}."), formula.may_contain),
    ):
        if allergens:
            words.append(say(sentence, names=", ".join(map(say, named(allergens)))))
    if with_gluten(contains):
        words.append(say(NOT_SAFE))
    return [*words, *formula.cautions]
