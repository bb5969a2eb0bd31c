"""Builds that several doughs share: made at once in one tub, from which each takes its part.

Each bake's plan has its own part of it, as a build of its own. What is one build is seen from the
plans: hands are at one thing at a time, so what begins at the same minute, from one culture and
with the same share of seed, is one build.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from pointage.formula.ladder import PourKind
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.pours import pouring
from pointage.timetable.plan import Plan, Pour, Step, StepKind
from pointage.timetable.ways.levains import Feeding, Recipe
from pointage.timetable.ways.stands import IN_TUB, LEVAIN_GROWS, tub_for

BuildKey = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class BuildPart:
    """What one plan, by its number, has of a build, and the key of the step there."""

    plan: int
    key: str
    grams: float


@dataclass(frozen=True, slots=True)
class JointBuild:
    """One build for several plans. step: all of it as one step, with one ladder."""

    parts: tuple[BuildPart, ...]
    step: Step

    @property
    def grams(self) -> float:
        return sum(each.grams for each in self.parts)


def joint_builds(kitchen: Kitchen, plans: Sequence[Plan | None]) -> tuple[JointBuild, ...]:
    """The builds that several of some plans share, in order."""
    found: dict[object, list[tuple[int, Step]]] = defaultdict(list)
    for number, plan in enumerate(plans):
        for step in plan.fed if plan else ():
            if step.kind is StepKind.BUILD and step.ladder and plan and plan.thread:
                share = plan.thread.feeds[step.number - 1].seed_share
                fresh = frozenset(p.name for p in step.ladder.pours if _is_fresh(p))
                found[plan.culture, step.start, step.place, share, fresh].append((number, step))
    return tuple(
        JointBuild(
            tuple(BuildPart(number, step.key, step.grams) for number, step in group),
            _as_one(kitchen, [step for _, step in group]),
        )
        for group in found.values()
        if len(group) > 1
    )


def _as_one(kitchen: Kitchen, steps: Sequence[Step]) -> Step:
    first = steps[0]
    assert first.ladder is not None
    every = [each.ladder.pours for each in steps if each.ladder]
    pours = [
        replace(pour, grams=float(_sum(p.grams for own in every for p in own if _alike(p, pour))))
        for pour in first.ladder.pours
    ]
    grams = float(_sum(each.grams for each in steps))
    litres = grams / 1000 * LEVAIN_GROWS
    named = (each for each in kitchen.vessels if each.name == first.ladder.vessel)
    vessel = next((each for each in named if each.takes(litres, grams)), None)
    return replace(
        first,
        grams=grams,
        ladder=pouring(kitchen, vessel or tub_for(kitchen, grams, last=True), pours),
        keeping=next((each.keeping for each in steps if each.keeping), None),
    )


def _is_fresh(pour: Pour) -> bool:
    return pour.kind is PourKind.INGREDIENT


def _alike(one: Pour, other: Pour) -> bool:
    """Whether they are the same ingredient, or both the seed, whatever a formula calls it."""
    return one.name == other.name if _is_fresh(other) else not _is_fresh(one)


def _sum(grams: Iterable[float]) -> Fraction:
    """Tenths of a gram add up to tenths of a gram."""
    return sum((Fraction(str(each)) for each in grams), Fraction(0))


def made_alike(one: Recipe, other: Recipe) -> bool:
    """Whether two builds are of the same flours, as wet and as warm, in the same place."""
    return _made_of(one) == _made_of(other)


def build_keys(
    builds: Sequence[Recipe], feedings: Sequence[Feeding], now: datetime
) -> list[BuildKey | None]:
    """What each build at the end of a chain of feeds is, with all that comes before it.

    Builds from one culture whose keys are equal are one build. What was done before `now` was done,
    whenever that was; a build that was, has none.
    """
    waking = len(feedings) - len(builds)
    made = [None] * waking + [_made_of(each) for each in builds]
    chain = [
        None if each.at < now else (each.at, each.seed_share, each.chilled, each.warmed, of)
        for each, of in zip(feedings, made, strict=True)
    ]
    ahead = range(waking, len(chain))
    return [None if chain[n] is None else tuple(chain[: n + 1]) for n in ahead]


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
