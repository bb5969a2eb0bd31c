"""Grams for every mix of a plan: feeds as small as the next allows, the batch to the step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pointage.formula.ladder import Ladder, Pour, ladder
from pointage.formula.rounding import round_to_total
from pointage.formula.scale import Scaled, ScaledStage, scale
from pointage.kitchen.kitchen import Kitchen, VesselUse
from pointage.timetable.levains import Feeding
from pointage.timetable.problem import Problem

STICKS = 1.05  # what clings to tub and spoon
IN_TUB = (VesselUse.TUB, VesselUse.BOWL)
IN_BOWL = (VesselUse.BOWL, VesselUse.TUB)
CULTURE_GROWS = 3.0  # room in the vessel: litres for each kilogram
LEVAIN_GROWS = 2.6


@dataclass(frozen=True)
class Amounts:
    """The batch to the scale's step, and the grams of each feed before it (seed, then fresh)."""

    batch: Scaled
    feeds: tuple[dict[str, Fraction], ...]  # waking feeds: "seed", "water" and flours by kind

    def feed_g(self, number: int) -> float:
        """Grams in all of waking feed `number`."""
        return float(sum(self.feeds[number].values()))


def amounts(problem: Problem, feedings: Sequence[Feeding]) -> Amounts:
    """The grams of a chosen chain of feeds, worked back from the batch."""
    build = feedings[-1]
    heaviest = float(problem.pieces * problem.piece_g)
    batch = scale(
        problem.formula,
        problem.pieces,
        problem.piece_g,
        problem.kitchen.scale_for(heaviest).step_g,
        seed=Fraction(build.seed_share).limit_denominator(1000),
        culture_hydration=Fraction(problem.culture.hydration).limit_denominator(1000),
    )
    needed = float(seed_grams(levain_of(batch)))
    feeds: list[dict[str, Fraction]] = []
    for i, feeding in reversed(list(enumerate(feedings[:-1]))):
        keep = problem.culture.mass_g if i == len(feedings) - 2 else 0.0
        total = STICKS * needed + keep
        hydration = feeding.recipe.hydration
        flour = total / (1.0 + hydration)
        seed = feeding.seed_share * flour
        fresh_flour = flour - seed / (1.0 + hydration)
        exact = {
            "seed": Fraction(seed).limit_denominator(10**6),
            **{
                kind: Fraction(fresh_flour * part).limit_denominator(10**6)
                for kind, part in feeding.recipe.flours.items()
            },
        }
        exact["water"] = Fraction(total).limit_denominator(10**6) - sum(exact.values())
        tub = problem.kitchen.vessel_for(IN_TUB, total / 1000 * CULTURE_GROWS)
        step = problem.kitchen.scale_for(total + tub.tare_g).step_g
        feeds.append(round_to_total(exact, step))
        needed = seed
    return Amounts(batch, tuple(reversed(feeds)))


def levain_of(batch: Scaled) -> ScaledStage:
    """The levain among the stages of a batch."""
    return next(stage for stage in batch.stages if stage.kind == "levain")


def seed_grams(stage: ScaledStage) -> Fraction:
    """Grams of seed in a stage."""
    return next((row.grams for row in stage.rows if row.name == "seed"), Fraction(0))


def pouring(
    kitchen: Kitchen,
    uses: tuple[VesselUse, ...],
    pours: Sequence[tuple[str, Fraction, float | None]],
    grows: float,
) -> Ladder:
    """A ladder in a vessel with `grows` litres for each kilogram, on the scale for it."""
    total = float(sum(grams for _, grams, _ in pours))
    vessel = kitchen.vessel_for(uses, total / 1000 * grows)
    weighed = kitchen.scale_for(total + vessel.tare_g)
    named = [Pour(name, float(grams), 0.0, celsius) for name, grams, celsius in pours if grams]
    return ladder(vessel.name, vessel.tare_g, float(weighed.step_g), named)
