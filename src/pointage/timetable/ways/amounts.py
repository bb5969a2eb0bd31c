"""Grams for every mix of a plan: feeds as small as the next allows, the batch to the step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from pointage.formula.scale import Scaled, ScaledStage, scale
from pointage.rounding import round_to_total
from pointage.timetable.plan import Feed
from pointage.timetable.problem import TEN_STEPS, Problem
from pointage.timetable.ways.levains import STAYS, STICKS, Feeding
from pointage.timetable.ways.stands import tub_for


@dataclass(frozen=True)
class Amounts:
    """The batch to the scale's step, and the grams of each feed before it (seed, then fresh).

    besides_g: seed that other bakes take of the culture before it is fed to be kept.
    """

    batch: Scaled
    feeds: tuple[dict[str, Fraction], ...]  # waking feeds: "seed", "water" and flours by kind
    builds: tuple[ScaledStage, ...]
    besides_g: float = 0.0

    @property
    def masses(self) -> list[float]:
        """Grams in all of each feed, the levain last."""
        waking = [float(sum(feed.values())) for feed in self.feeds]
        return [*waking, *(float(build.whole_g) for build in self.builds)]


def amounts(problem: Problem, chain: Sequence[Feed], besides_g: float = 0.0) -> Amounts:
    """The grams of a chain of feeds, the builds last, worked back from the batch.

    A seed of a waking feed is never less than TEN_STEPS of the scale it is weighed on, as far as
    there is so much of the culture. besides_g: seed that other bakes take of it once it is woken.
    """
    first = len(chain) - len(problem.build_stages)
    batch = _batch(problem, chain[first].seed_share)
    builds = tuple(batch.stage(each.name) for each in problem.build_stages)
    needed = float(seed_grams(builds[0])) + besides_g
    keep = problem.culture.mass_g
    feeds: list[dict[str, Fraction]] = []
    for feed in reversed(chain[:first]):
        recipe = problem.waking
        total = STICKS * needed + keep
        keep = 0.0
        tub = tub_for(problem.kitchen, total, last=False)
        step = problem.kitchen.scale_for(total + tub.tare_g).step_g
        least_g = min(
            float((TEN_STEPS + Fraction(1, 2)) * step), (1 - STAYS) * problem.culture.mass_g
        )
        total = max(total, least_g / feed.seed_share * (1.0 + recipe.hydration))
        flour = total / (1.0 + recipe.hydration)
        needed = feed.seed_share * flour
        fresh = flour - needed / (1.0 + recipe.hydration)
        exact = {"seed": _fraction(needed)}
        exact |= {kind: _fraction(fresh * part) for kind, part in recipe.flours.items()}
        exact["water"] = _fraction(total) - sum(exact.values())
        tub = tub_for(problem.kitchen, total, last=False)
        step = problem.kitchen.scale_for(total + tub.tare_g).step_g
        feeds.append(round_to_total(exact, step))
    return Amounts(batch, tuple(reversed(feeds)), builds, besides_g)


@lru_cache(maxsize=64)  # asked again and again for ways of one bake
def _batch(problem: Problem, seed_share: float) -> Scaled:
    return scale(
        problem.formula,
        problem.pieces,
        problem.piece_g,
        problem.kitchen.scale_for(float(problem.pieces * problem.piece_g)).step_g,
        seed=_fraction(seed_share, 1000),
        culture_hydration=_fraction(problem.culture.hydration, 1000),
    )


def _fraction(value: float, denominator: int = 10**6) -> Fraction:
    return Fraction(value).limit_denominator(denominator)


def seed_grams(stage: ScaledStage) -> Fraction:
    """Grams of seed in a stage."""
    return next((row.grams for row in stage.rows if row.name == "seed"), Fraction(0))


def seed_from_jar(problem: Problem, feedings: Sequence[Feeding]) -> float:
    """Grams that a chain of feeds takes of its culture at rest, about (`amounts` rounds them)."""
    *waking, first = feedings[: 1 - len(problem.builds) or None]
    needed = first.seed_share * problem.flour_g() * float(problem.build_stages[0].flour) / 100
    keep = problem.culture.mass_g
    for feed in reversed(waking):
        needed = feed.seed_share * (STICKS * needed + keep) / (1 + problem.waking.hydration)
        keep = 0.0
    return needed
