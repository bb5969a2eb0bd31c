"""What the mixes of a bake take out of the stores: as poured once done, else as planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction

from pointage.desk.answers import Bake
from pointage.desk.larder.recorded import exact
from pointage.desk.now.bakes.bake import done_at
from pointage.formula.ladder import PourKind, feed_of
from pointage.kitchen.kitchen import CultureAtHand
from pointage.larder.stock import NONE, Used
from pointage.larder.upkeep import Discard, discard_of, upkeep
from pointage.timetable.plan import Ladder, Step, StepKind

KEPT = "kept"
"""In the place of a step's key: the feed of what a levain leaves of its culture."""


@dataclass(frozen=True, slots=True)
class Taking:
    """What one mix takes, grams by ingredient. at: when it was done, or when it is planned."""

    step: str
    at: datetime
    done: bool
    grams: Mapping[str, Fraction]


@dataclass(frozen=True, slots=True)
class MixedAs:
    """What the daybook says went into a mix, grams by ingredient."""

    at: datetime
    grams: Mapping[str, Fraction]


@dataclass(frozen=True, slots=True)
class Takings:
    """All that a bake takes.

    mixes: its own; kept: of them and not done yet, the feed of what its levain leaves of the
    culture. discard: what that feed will discard; built: when the levain is or was built.
    unknown: names in its ladders that are neither an ingredient nor a mixture of the plan.
    """

    mixes: tuple[Taking, ...] = ()
    kept: Taking | None = None
    discard: Discard | None = None
    built: datetime | None = None
    is_built: bool = False
    unknown: tuple[str, ...] = ()

    @property
    def to_come(self) -> list[Taking]:
        """What is still to be mixed, and fed."""
        mixes = [mix for mix in self.mixes if not mix.done]
        return mixes if self.kept is None else [*mixes, self.kept]


def takings(
    bake: Bake, culture: CultureAtHand | None, mixed: Mapping[str, MixedAs] | None = None
) -> Takings:
    """What a bake takes and discards.

    culture: as it is kept; after the build it is fed up to its mass, which belongs to the bake too.
    What it took once the levain was built, the culture's life says. mixed: by step, what the
    daybook says went in; it is better news than the ladder.
    """
    found = _Reading(bake)
    for step in bake.plan.steps:
        if step.ladder is not None:
            found.read(step, bake.step_news(step.key).ladder or step.ladder)
    mixes = []
    kept, discard, built, is_built = None, None, None, False
    for step, planned in found.mixes:
        recorded = (mixed or {}).get(step.key)
        done = recorded.at if recorded is not None else done_at(bake, step)
        if step.left and done is None:
            continue  # it was taken back, and will not be done
        grams: Mapping[str, Fraction] = planned if recorded is None else recorded.grams
        if step is found.seeded:
            built, is_built = done or step.start, done is not None
            if culture is not None and not is_built:
                fresh, discard_g = _keeping(bake, step, culture, found)
                kept = Taking(KEPT, step.start, False, fresh)
                discard = discard_of(culture, discard_g)
        mixes.append(Taking(step.key, done or step.start, done is not None, grams))
    return Takings(tuple(mixes), kept, discard, built, is_built, tuple(found.unknown))


def uses(bake: Bake, mixes: Iterable[Taking]) -> list[Used]:
    """Mixes of a bake as uses of the stores."""
    return [
        Used(f"{bake.key}/{mix.step}/{name}", name, mix.at, grams, what=bake.plan.formula)
        for mix in mixes
        for name, grams in mix.grams.items()
        if grams
    ]


def added(parts: Iterable[Mapping[str, Fraction]]) -> dict[str, Fraction]:
    """Sums by name."""
    sums: dict[str, Fraction] = {}
    for part in parts:
        for name, grams in part.items():
            sums[name] = sums.get(name, NONE) + grams
    return sums


def _keeping(
    bake: Bake, build: Step, culture: CultureAtHand, found: _Reading
) -> tuple[Mapping[str, Fraction], Fraction]:
    """Fresh grams of the feed after a build, the plan's, else as it is kept; and all discards."""
    keep, left = build.keep, found.left_of(exact(culture.mass_g))
    if keep is None:
        feed = upkeep(culture, left)
        return {**feed.flours, "water": feed.water_g}, feed.discard_g
    seed, flours, water = feed_of(bake.step_news(keep.key).ladder or keep.ladder)
    fresh = {name: exact(grams) for name, grams in (*flours.items(), ("water", water))}
    return fresh, max(left - exact(seed), NONE)


@dataclass
class _Reading:
    """The ladders of a bake while they are read: what each takes, and what the culture gets."""

    bake: Bake
    mixes: list[tuple[Step, dict[str, Fraction]]] = field(default_factory=list)
    unknown: dict[str, None] = field(default_factory=dict)
    fresh_g: Fraction = NONE  # into the culture on the way, its waking feeds
    taken_g: Fraction = NONE  # out of the culture, into the levain
    seeded: Step | None = None  # the build that takes from the culture

    def read(self, step: Step, ladder: Ladder) -> None:
        grams: dict[str, Fraction] = {}
        seed = NONE
        for pour in ladder.pours:
            mass = exact(pour.grams)
            match pour.kind:
                case PourKind.CULTURE:
                    seed += mass
                case PourKind.INGREDIENT:
                    grams[pour.name] = grams.get(pour.name, NONE) + mass
                case PourKind.UNKNOWN:
                    self.unknown[pour.name] = None
                case PourKind.STAGE:
                    pass  # was taken when it was mixed; old dough, with the last batch
        self.mixes.append((step, grams))
        if step.kind is StepKind.FEED:
            self.fresh_g += sum(grams.values(), NONE)
        elif step.kind is StepKind.BUILD and seed:
            self.taken_g += seed
            self.seeded = step

    def left_of(self, jar_g: Fraction) -> Fraction:
        """What is left of a culture of `jar_g` once it has been woken and the levain built."""
        return max(jar_g + self.fresh_g - self.taken_g, NONE)
