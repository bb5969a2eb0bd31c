"""The recipe as its author makes it, which needs no script."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from pointage.formula.formula import ALL, Formula, Process, Rights, Stage, StageKind
from pointage.formula.ingredients import ingredient
from pointage.formula.scale import AS_THE_LEVAIN, Scaled, scale
from pointage.language import say, say_many
from pointage.quantities import print_number
from pointage.shown import showing, shown, warmth

USUAL_SEED = Fraction(1, 5)
"""Of the flour of a levain whose file leaves it to the plan."""

Row = tuple[str, str]


@dataclass(frozen=True, slots=True)
class PlainStage:
    """A stage as it is weighed: its name, and (ingredient, grams)."""

    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class PlainRecipe:
    """A formula in words and grams. total: (ingredient, percent, grams)."""

    rights: str
    yields: str
    total: tuple[tuple[str, str, str], ...]
    stages: tuple[PlainStage, ...]
    steps: tuple[str, ...]


def plain_recipe(formula: Formula) -> PlainRecipe:
    """A formula with a process as a recipe, for its own pieces and in its author's kitchen."""
    first = formula.builds[0].seed if formula.builds else None
    seed = (first or USUAL_SEED) if formula.builds else None
    batch = scale(
        formula,
        formula.pieces,
        formula.piece_g,
        Fraction(1),
        seed=seed,
        culture_hydration=AS_THE_LEVAIN,
    )
    assert formula.process is not None, "the page refuses a formula without"
    return PlainRecipe(
        rights=rights_words(formula.rights),
        yields=say_many(
            "{n} piece of {mass} g of dough.",
            "{n} pieces of {mass} g of dough.",
            formula.pieces,
            mass=print_number(float(formula.piece_g)),
        ),
        total=tuple(
            (
                say(ingredient(row.name).label),
                print_number(float(row.percent), 1),
                _grams(row.grams),
            )
            for row in batch.rows
        ),
        stages=tuple(_stages(batch)),
        steps=tuple(filter(None, _steps(formula, formula.process))),
    )


def rights_words(rights: Rights) -> str:
    """Whose it is, in a line; "" where nothing says."""
    return ", ".join(filter(None, (rights.author, rights.year, rights.licence)))


def _stages(batch: Scaled) -> Iterator[PlainStage]:
    for stage in batch.stages:
        taken = tuple((name, _grams(grams)) for name, grams in stage.takes.items())
        rows = tuple(
            (
                say("ripe culture") if row.name == "seed" else say(ingredient(row.name).label),
                _grams(row.grams),
            )
            for row in stage.rows
        )
        yield PlainStage(stage.name, taken + rows)


def _grams(grams: Fraction) -> str:
    return print_number(float(grams), 1)


def _steps(formula: Formula, process: Process) -> Iterator[str]:
    for stage in formula.stages:
        if stage.kind is not StageKind.DOUGH:
            yield _stage(stage)
            yield stage.words
    yield from (formula.words.get(key, "") for key in (ALL, "mix"))
    yield say(
        "Mix the dough, {minutes} minutes; it should be at {warmth} after.",
        minutes=print_number(process.mix_minutes),
        warmth=_both_scales(process.dough_temperature.celsius),
    )
    rise = print_number(process.bulk_rise[1], 2)
    if process.folds:
        yield say_many(
            "Fold it once, after {every} minutes, and leave it until it has risen to {rise} times "
            "its volume.",
            "Fold it {n} times, {every} minutes apart, and leave it until it has risen to {rise} "
            "times its volume.",
            process.folds,
            every=print_number(process.fold_every_minutes),
            rise=rise,
        )
    else:
        yield say("Leave it until it has risen to {rise} times its volume.", rise=rise)
    yield from (formula.words.get(key, "") for key in ("bulk", "fold"))
    yield say(
        "Divide, let it rest for {minutes} minutes, and shape.",
        minutes=print_number(process.bench_rest_minutes),
    )
    yield from (formula.words.get(key, "") for key in ("divide", "rest", "shape"))
    yield say(
        "Proof it until it stands at {rise} times.", rise=print_number(process.proof_rise[1], 2)
    )
    if process.retard_rise is not None:
        yield say("Or leave it overnight in the fridge, and bake it cold.")
    yield from (formula.words.get(key, "") for key in ("proof", "retard"))
    if process.bake_minutes is None:
        yield say(
            "Bake at {warmth} until the core is done.", warmth=_both_scales(process.oven.celsius)
        )
    else:
        yield say(
            "Bake at {warmth} for {minutes} minutes.",
            warmth=_both_scales(process.oven.celsius),
            minutes=print_number(process.bake_minutes),
        )
    yield process.bake_note
    yield formula.words.get("bake", "")
    yield say(
        "Let it cool for {minutes} minutes before cutting.",
        minutes=print_number(process.cool_minutes),
    )
    yield formula.words.get("cool", "")


def _stage(stage: Stage) -> str:
    name, hours = stage.name, print_number(stage.least_hours)
    match stage.kind:
        case StageKind.LEVAIN if stage.temperature is not None:
            found = say(
                "{stage}: mix it, at {warmth}, and leave it until it is at its height.",
                stage=name,
                warmth=_both_scales(stage.temperature.celsius),
            )
        case StageKind.LEVAIN:
            found = say("{stage}: mix it, and leave it until it is at its height.", stage=name)
        case StageKind.SCALD:
            found = say(
                "{stage}: pour boiling water on it and let it cool, {hours} hours.",
                stage=name,
                hours=hours,
            )
        case StageKind.SOAKER:
            found = say("{stage}: soak it for {hours} hours.", stage=name, hours=hours)
        case StageKind.ADDITION if stage.fold:
            found = say("{stage}: with fold {number}.", stage=name, number=stage.fold)
        case StageKind.ADDITION:
            found = say("{stage}: at the end of the mix.", stage=name)
        case _:
            found = say("{stage}: from the last batch.", stage=name)
    return found


def _both_scales(celsius: float) -> str:
    """ "25 °C (77 °F)": as its author has it, then with the other thermometer."""
    here = shown()
    own = warmth(celsius)
    with showing(replace(here, degrees="F" if here.degrees == "C" else "C")):
        return say("{warmth} ({other})", warmth=own, other=warmth(celsius))
