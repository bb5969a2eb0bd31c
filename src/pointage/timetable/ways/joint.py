"""Builds that several doughs share: made at once in one tub, from which each takes its part."""

from __future__ import annotations

from collections.abc import Sequence

from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.ways.levains import Feeding, Recipe
from pointage.timetable.ways.stands import IN_TUB, LEVAIN_GROWS

BuildKey = tuple[object, ...]


def made_alike(one: Recipe, other: Recipe) -> bool:
    """Whether two builds are of the same flours, as wet and as warm, in the same place."""
    return _made_of(one) == _made_of(other)


def build_keys(builds: Sequence[Recipe], feedings: Sequence[Feeding]) -> list[BuildKey]:
    """What each build at the end of a chain of feeds is, with all that comes before it.

    Builds from one culture whose keys are equal are one build.
    """
    waking = len(feedings) - len(builds)
    made = [None] * waking + [_made_of(each) for each in builds]
    chain = [
        (each.at, each.seed_share, each.chilled, of)
        for each, of in zip(feedings, made, strict=True)
    ]
    return [tuple(chain[: n + 1]) for n in range(waking, len(chain))]


def most_in_a_tub(kitchen: Kitchen) -> float:
    """Grams of levain that the largest of a kitchen's tubs and bowls takes; 0 without one."""
    fit = (each for each in kitchen.vessels if each.use in IN_TUB)
    return max(
        (
            min(each.volume_l / LEVAIN_GROWS * 1000, each.said_most_g or float("inf"))
            for each in fit
        ),
        default=0.0,
    )


def _made_of(recipe: Recipe) -> BuildKey:
    flours = tuple(sorted(recipe.flours.items()))
    return flours, recipe.hydration, recipe.wanted_c, recipe.place.name
