"""What the display must say for each mix of a formula: as planned, or as a formula alone allows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pointage.desk.wording.pours import pour_label
from pointage.documents.blocks import PrintedTable
from pointage.formula.formula import FERMENTED, STANDS, Formula, StageKind
from pointage.formula.ingredients import ingredient
from pointage.formula.ladder import Ladder, Pour, PourKind, PourState
from pointage.formula.scale import AS_THE_LEVAIN, SEED, Scaled, ScaledStage, scale
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.pours import poured_g, pouring
from pointage.kitchen.vessel import Vessel
from pointage.language import say, written
from pointage.mixture.mixture import fresh_volume
from pointage.shown import ounces_text, shown, warmth
from pointage.timetable.ways.stands import IN_TUB, bowls_for, tub_for

USUAL_SEED = Fraction(1, 5)
"""Of a levain's flour, where the formula leaves it to the plan: common practice, no source."""
SOAK_GROWS = 1.3


@dataclass(frozen=True, slots=True)
class NamedLadder:
    """A ladder and the mix that it is of."""

    mix: str
    ladder: Ladder


def of_formula(
    formula: Formula, kitchen: Kitchen, pieces: int, piece_g: Fraction
) -> list[NamedLadder]:
    """The ladders of a batch without a plan, in vessels of the kitchen that hold it.

    The seed of a levain that is left to the plan is USUAL_SEED, and the culture as wet as the
    levain.
    """
    step = kitchen.scale_for(float(pieces * piece_g)).step_g
    seed = USUAL_SEED if seed_is_left(formula) else None
    batch = scale(
        formula, pieces, piece_g, step, seed=seed, culture_hydration=AS_THE_LEVAIN
    )  # fmt: skip
    return [
        NamedLadder(stage.name, pouring(kitchen, vessel, pours, *more))
        for stage in batch.stages
        for pours in [list(_pours(formula, batch, stage))]
        if poured_g(pours) > 0
        for vessel, *more in [_vessels(formula, kitchen, batch, stage, poured_g(pours))]
    ]


def is_too_much(formula: Formula, kitchen: Kitchen, grams: float) -> bool:
    """Whether no bowls of the kitchen together hold so much dough until it has risen."""
    process = formula.process
    if process is None:
        return False
    per_kg = _litres_per_kg(scale(formula, 1, Fraction(1000), Fraction(1, 10)))
    bowls = bowls_for(kitchen, process, grams, per_kg)
    risen = grams / 1000 * per_kg * process.bulk_rise[-1]
    return not all(each.takes(risen / len(bowls), grams / len(bowls)) for each in bowls)


def _litres_per_kg(batch: Scaled) -> float:
    """Of the dough just mixed, by the total formula."""
    grams = {row.name: float(row.grams) for row in batch.rows}
    flour = sum(g for name, g in grams.items() if ingredient(name).kind == "flour")
    water, salt = flour * float(batch.hydration), grams.get("salt", 0.0)
    other = max(float(batch.total_g) - flour - water - salt, 0.0)
    return fresh_volume(flour, water, salt, other)


def seed_is_left(formula: Formula) -> bool:
    """Whether the plan chooses how much seed the first build takes."""
    return bool(formula.builds) and formula.builds[0].seed is None


def _pours(formula: Formula, batch: Scaled, stage: ScaledStage) -> Iterator[Pour]:
    """In pouring order: what was made before and water first, salt last, a soaker's water last."""
    for name, grams in stage.takes.items():
        kind = batch.stage(name).kind
        if kind is StageKind.ADDITION and formula.stage(name).fold:
            continue  # it goes in with a fold
        state = {StageKind.LEVAIN: PourState.RIPE, StageKind.OLD_DOUGH: PourState.KEPT}
        yield Pour(
            PourKind.STAGE, name, float(grams), state=state.get(kind, PourState.PLAIN)
        )  # fmt: skip
    order = {SEED: 0, "water": 3 if stage.kind in STANDS else 1, "salt": 4}
    for row in sorted(stage.rows, key=lambda each: order.get(each.name, 2)):
        if row.name == SEED:
            culture = formula.culture or say("culture")
            yield Pour(PourKind.CULTURE, culture, float(row.grams), state=PourState.RIPE)
        else:
            yield Pour(PourKind.INGREDIENT, row.name, float(row.grams))


def _vessels(
    formula: Formula, kitchen: Kitchen, batch: Scaled, stage: ScaledStage, grams: float
) -> tuple[Vessel, ...]:
    """What a stage is mixed in: a dough that no bowl holds in several, as a plan has it."""
    if stage.kind in FERMENTED:
        return (tub_for(kitchen, grams, last=True),)
    if stage.kind is StageKind.DOUGH and formula.process is not None:
        return bowls_for(kitchen, formula.process, grams, _litres_per_kg(batch))
    return (kitchen.vessel_for(IN_TUB, grams / 1000 * SOAK_GROWS, grams),)


def ladder_tables(ladders: Sequence[NamedLadder]) -> tuple[PrintedTable, ...]:
    """Each bowl of each as a table whose display readings are large."""
    return tuple(
        _table(named, number)
        for named in ladders
        for number in range(len(named.ladder.bowls))
    )  # fmt: skip


def _table(named: NamedLadder, number: int) -> PrintedTable:
    ladder = named.ladder
    warm = any(pour.temperature_c is not None for pour in ladder.pours)
    ounces = shown().ounces == "yes"
    heads = [say("pour"), say("add, g"), *([say("ounces")] if ounces else []), say("display, g")]
    bowl, bowls = ladder.bowls[number], len(ladder.bowls)
    vessel = bowl.vessel or say("empty vessel")
    tare = [vessel, "", *([""] if ounces else []), _grams(bowl.tare_g, ladder.step_g)]
    rows: list[tuple[str, ...]] = [tuple(tare)]
    for pour in ladder.pours[number * ladder.each : (number + 1) * ladder.each]:
        label = pour_label(pour)
        if warm and pour.temperature_c is not None:
            label = say("{name} at {warmth}", name=label, warmth=warmth(pour.temperature_c))
        beside = [ounces_text(pour.grams)] if ounces else []
        added, display = (_grams(g, ladder.step_g) for g in (pour.grams, pour.display_g))
        rows.append((label, added, *beside, display))
    columns = len(heads)
    return PrintedTable(
        named.mix
        if bowls == 1
        else say("{mix}, bowl {n} of {of}", mix=named.mix, n=number + 1, of=bowls),
        tuple(heads),
        tuple(rows),
        "l" + "r" * (columns - 1),
        strong=(columns - 1,),
        wide=0,
        tick=True,
    )


def _grams(grams: float, step_g: float) -> str:
    """In the digits of the display."""
    places = 0 if step_g >= 1 else 1 if step_g >= 0.1 else 2
    return written(f"{grams:.{places}f}")
