"""The question put to the timetable, as plain frozen data, and what the searches need of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from functools import cache, cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import mature
from pointage.errors import MISSING, InputError
from pointage.formula.formula import Formula, Process, Stage
from pointage.formula.ingredients import split
from pointage.heat.baking import LoafInOven
from pointage.kitchen.culture_state import culture_at
from pointage.kitchen.kitchen import (
    CultureAtHand,
    Kitchen,
    Oven,
    Place,
)
from pointage.language import say
from pointage.mixture.flours import FlourRecord, Flours, blend
from pointage.mixture.many import hold_from, stacked
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import S
from pointage.mixture.temperature.temper import Tempered, temper
from pointage.mixture.traits import Traits, draw_traits, median_traits
from pointage.shown import warmth
from pointage.timetable.calendar import Calendar
from pointage.timetable.occupied import Occupied, Span
from pointage.timetable.oven import (
    bake_minutes,
    load_of,
    oven_bake,
    ovens_for,
    reaches,
)
from pointage.timetable.ways.builds import planned_builds, seed_shares, without_levain
from pointage.timetable.ways.doughs import DoughSearch
from pointage.timetable.ways.levains import (
    LONGEST_HOLD_H,
    Build,
    LevainSearch,
    Recipe,
    RipeInHand,
)
from pointage.timetable.ways.stands import KitchenStands

_HOUR, _MINUTE = timedelta(hours=1), timedelta(minutes=1)
HORIZON = timedelta(hours=96)
TURN_MINUTES = 5.0  # from one load out to the next one in
COLDEST_WORK_C = 8.0  # "none below 8 °C" for the yeast: rules of thumb of 1998
FLOUR_SINCE_H = 12.0
MEMBERS = 160
SEED = 1
TEN_STEPS = 10  # of the scale at hand, the least seed: half a step is then a twentieth (ours)
WAKING_G = 400.0  # of a waking feed, as far as how it follows its place goes


@dataclass(frozen=True, eq=False)
class Problem:
    """One bake: what, from which culture, in which kitchen, by when.

    occupied: what of the kitchen's capacities is at other bakes, and when. believed: what has been
    learned of the culture, as an ensemble; None for the priors. warming: what its members believe
    of how a vessel warms in a place, by the name of the stand. in_oven: the name of the oven that
    was chosen for it, "" while any that is fit for it serves.
    """

    formula: Formula
    kitchen: Kitchen
    culture: CultureAtHand
    now: datetime
    ready: datetime
    pieces: int
    piece_g: Fraction
    occupied: tuple[Occupied, ...] = ()
    believed: Traits | None = None
    warming: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)
    in_oven: str = ""

    def occupied_spans(self, capacity: str) -> tuple[Span, ...]:
        """When any of the capacity called so is at other bakes."""
        return tuple((each.start, each.end) for each in self.occupied if each.capacity == capacity)

    @cached_property
    def traits(self) -> Traits:
        """The ensemble that gives the odds of the plan."""
        return draw_traits(MEMBERS, SEED) if self.believed is None else self.believed

    @cached_property
    def likeliest(self) -> Traits:
        """The single member that the search goes by."""
        return median_traits() if self.believed is None else self.believed.median()

    @cached_property
    def process(self) -> Process:
        if self.formula.process is None:
            raise InputError(
                say("{formula}, process", formula=self.formula.name),
                MISSING,
                say("a [process] table: how it is worked"),
            )
        if self.lacks_fridge:
            return replace(self.formula.process, retard_place=None, retard_rise=None)
        return self.formula.process

    @property
    def lacks_fridge(self) -> bool:
        """Whether the formula is for retarding and there is nowhere to: it is proofed warm."""
        process = self.formula.process
        retards = process is not None and process.retard_place is not None
        return retards and not self.kitchen.has_fridge

    @cached_property
    def stands(self) -> KitchenStands:
        """The vessels that its mixtures stand in."""
        return KitchenStands(self.kitchen, self.process, self.warming)

    @cached_property
    def build_stages(self) -> tuple[Stage, ...]:
        """The builds of the levain, first first. Raises InputError for what cannot be planned."""
        return planned_builds(self.formula)

    @property
    def levain_stage(self) -> Stage:
        """The last build, which goes into the dough."""
        return self.build_stages[-1]

    @cached_property
    def ovens(self) -> tuple[Oven, ...]:
        """The ovens it can be baked in, the one to be taken first."""
        chosen = [each for each in self.kitchen.ovens if each.name == self.in_oven]
        return tuple(chosen) or ovens_for(self.kitchen.ovens, self.process)

    @property
    def oven(self) -> Oven:
        """The oven it is baked in unless another is chosen."""
        return self.ovens[0]

    def baked_in(self, oven: str) -> Problem:
        """The same bake with the oven chosen, by its name; "" leaves it as it is."""
        return self if oven in ("", self.oven.name) else replace(self, in_oven=oven)

    @cached_property
    def in_each_oven(self) -> tuple[Problem, ...]:
        """The same bake in each oven that it can be baked in."""
        return tuple(self.baked_in(each.name) for each in self.ovens)

    @property
    def loads(self) -> int:
        """How many loads the oven needs."""
        return -(-self.pieces // load_of(self.oven, self.process))

    @cached_property
    def oven_bake(self) -> LoafInOven:
        """One load as the oven meets it."""
        what = (self.formula, self.process, self.kitchen, self.piece_g, self.pieces)
        return oven_bake(*what, oven=self.oven)

    @cached_property
    def bake_minutes(self) -> float:
        """Minutes that a load is in the oven: the formula's own, else by the oven's physics."""
        what = (self.formula, self.process, self.kitchen, self.piece_g, self.pieces)
        return bake_minutes(*what, oven=self.oven)

    def place(self, name: str | None, field: str) -> Place:
        """The kitchen's place for a step of the formula, the warmest when none is named."""
        if name is None:
            return self.kitchen.warmest_place
        return self.kitchen.place(name, f"{self.formula.slug}, {field}")

    def build_place(self, stage: Stage) -> Place:
        """Where a build of the levain stands."""
        return self.place(stage.place, say("stage {name}, place", name=stage.name))

    @cached_property
    def bulk_place(self) -> Place:
        return self.place(self.process.bulk_place, say("process, bulk place"))

    @cached_property
    def proof_place(self) -> Place:
        return self.place(self.process.proof_place, say("process, proof place"))

    @cached_property
    def retard_place(self) -> Place | None:
        if self.process.retard_place is None or self.process.retard_rise is None:
            return None
        return self.place(self.process.retard_place, say("process, retard place"))

    @cached_property
    def fridge(self) -> Place | None:
        """Where the shaped pieces or a levain may wait in the cold; None where nothing is cold."""
        return self.retard_place or self.kitchen.fridge

    def last_place(self, *, retarded: bool) -> Place:
        """Where the shaped pieces wait for the oven."""
        place = self.fridge if retarded else self.proof_place
        assert place is not None, "only where there is a fridge is a dough retarded"
        return place

    @cached_property
    def room(self) -> Place:
        """Where the flour stands."""
        return self.kitchen.room

    def room_c(self, at: datetime) -> float:
        """The temperature of flour that has stood in the room: the room's mean before `at`."""
        return _flour_c(self.room, at)

    @cached_property
    def waking(self) -> Recipe:
        """A feed of the culture as it is kept."""
        culture, place = self.culture, self.kitchen.warmest_place
        record = self.kitchen.record(culture.flours)
        return self._recipe(culture.flours, culture.hydration, None, place, record=record)

    @cached_property
    def flours(self) -> Flours:
        """The figures of its flours: the formula's own, else those of the sacks in use."""
        return {**self.kitchen.flours, **self.formula.flours}

    def prime(self, made: CultureAtHand | Recipe, traits: Traits) -> Mixture:
        """A culture, or a build, in its prime."""
        if isinstance(made, Recipe):
            return mature(made.flours, made.hydration, traits, made.record)
        return mature(made.flours, made.hydration, traits, self.kitchen.record(made.flours))

    @cached_property
    def builds(self) -> tuple[Recipe, ...]:
        """The builds of the formula's levain, first first."""
        return tuple(self._build(stage) for stage in self.build_stages)

    def _build(self, stage: Stage) -> Recipe:
        fresh = {name: part for name, part in stage.ingredients.items() if split(name)[0] == 1}
        whole = self.formula.whole(stage)
        wanted = stage.temperature.celsius if stage.temperature else None
        shares = {kind: float(part / stage.flour) for kind, part in fresh.items()}
        grams = float(whole.mass) * self.flour_g() / 100
        place = self.build_place(stage)
        record = blend(shares, self.flours)
        hydration = float(whole.hydration)
        return self._recipe(shares, hydration, wanted, place, record=record, build_g=grams)

    def _recipe(
        self,
        flours: Mapping[str, float],
        hydration: float,
        wanted: float | None,
        place: Place,
        *,
        record: FlourRecord,
        build_g: float | None = None,
    ) -> Recipe:
        flour_g = (WAKING_G if build_g is None else build_g) / (1 + hydration)
        grams = {kind: flour_g * x for kind, x in flours.items()}
        like = raw(grams, hydration * flour_g, record=record)
        return Recipe(
            flours=flours,
            hydration=hydration,
            wanted_c=wanted_c(wanted, place, self.now),
            place=place,
            stand=self.stands.fed(like, place, last=build_g is not None),
            record=record,
            cold=None if self.fridge is None else self.stands.fed(like, self.fridge, last=True),
        )

    def recipes(self, feeds: int) -> list[Recipe]:
        """What each of so many feeds is made of: the builds last, waking feeds before them."""
        return [self.waking] * (feeds - len(self.builds)) + list(self.builds)

    def flour_g(self) -> float:
        """Total flour of the batch, in grams."""
        return self._flour_g

    @cached_property
    def _flour_g(self) -> float:
        total = sum(self.formula.total.values(), Fraction(0))
        return float(self.pieces * self.piece_g * 100 / total)

    def dough(
        self, levain: Mixture, room: float | NDArray[np.float64], *, each: bool = False
    ) -> Tempered:
        """The final dough of the batch from this levain and flour at `room` °C, its water tempered.

        each: every state of the levain is a levain of its own, with its own water.
        """
        grams = self.flour_g() / 100
        formula = self.formula
        at_once, late = without_levain(formula)
        water = formula.dough.ingredients.get("water", Fraction(0))
        loose = dict(at_once.ingredients)
        loose["water"] = loose.get("water", Fraction(0)) - water
        levain_g = float(formula.whole(self.levain_stage).mass) * grams
        mixed = temper(
            [levain.scaled(levain_g), _raw(loose, grams, room, self.flours)],
            float(water) * grams,
            self.process.dough_temperature.celsius,
            self.kitchen.gained_k(
                self.process.mix_minutes, float(self.pieces * self.piece_g) / 1000
            ),
            each=each,
        )
        if not late.ingredients:
            return mixed
        # They go in within the hour, at the dough's temperature: as if in it from the start.
        warm = mixed.mixture.states[:, S.TEMPERATURE]
        added = _raw(late.ingredients, grams, warm, self.flours)
        return replace(mixed, mixture=mix([mixed.mixture, added]))

    def awake_rise(self, traits: Traits) -> float:
        """Peak rise of the formula's levain when built from a seed in its prime."""
        *before, last = self.builds
        seed = before[-1] if before else self.culture
        prime = self.prime(seed, traits)
        for share in seed_shares(self.formula)[-1] if before else (0.2, 0.1, 0.5, 1.0):
            fresh = last.fresh(prime.scaled(100 * share), 100.0)
            if fresh is not None:
                dry, water = fresh
                parts = [
                    prime.scaled(100 * share),
                    raw(dry, celsius=self.room_c(self.now), record=last.record),
                ]
                mixed = temper(parts, water, last.wanted_c).mixture
                courses = hold_from(
                    mixed,
                    last.place.surroundings,
                    [self.now],
                    LONGEST_HOLD_H,
                    last.stand.traits(traits),
                    follow_h=last.stand.follow.hours,
                )
                return float(courses.rise.max())
        raise InputError(
            say(
                "{formula}, stage {stage}, water",
                formula=self.formula.slug,
                stage=self.levain_stage.name,
            ),
            f"{last.hydration:.0%}",
            say("more: the culture {name} brings more water than that", name=self.culture.name),
        )

    def levain_search(self, calendar: Calendar) -> LevainSearch:
        """The search for a ripe levain over `calendar`."""
        traits = self.likeliest
        at_first = max(self.now, calendar.first)
        first_flour_g = self.flour_g() * float(self.build_stages[0].flour) / 100
        grams = (first_flour_g, *[None] * (len(self.builds) - 1))
        return LevainSearch(
            culture=culture_at(self.culture, self.kitchen, at_first, traits),
            since=at_first,
            stands=self.kitchen.place(self.culture.place),
            waking=self.waking,
            builds=tuple(map(Build, self.builds, self._seed_shares(first_flour_g), grams)),
            room_c=cache(self.room_c),
            traits=traits,
            awake_rise=self.awake_rise(traits),
            calendar=calendar,
            most_seed_g=self.culture.mass_g,
            keep_g=self.culture.mass_g,
        )

    def _seed_shares(self, first_flour_g: float) -> list[tuple[float, ...]]:
        """The seed shares that may be tried: of the first build those that can be weighed."""
        first, *others = seed_shares(self.formula)
        step = self.kitchen.scale_for(float(self.pieces * self.piece_g)).step_g
        weighed = [x for x in first if x * first_flour_g >= TEN_STEPS * step]
        return [tuple(weighed) or (max(first),), *others]

    def dough_search(self, calendar: Calendar) -> DoughSearch:
        """The search for the dough over `calendar`."""

        def mixed(levains: Sequence[RipeInHand]) -> Mixture:
            room = np.array([self.room_c(levain.at) for levain in levains])
            ripe = stacked([levain.mixture for levain in levains])
            return self.dough(ripe, room, each=True).mixture

        return DoughSearch(
            process=self.process,
            bulk_place=self.bulk_place,
            proof_place=self.proof_place,
            retard_place=self.retard_place,
            mixed=mixed,
            stands=self.stands,
            pieces=self.pieces,
            piece_g=float(self.piece_g),
            traits=self.likeliest,
            calendar=calendar,
            soaks=[(stage.least_hours, stage.most_hours) for stage in self.formula.soakers],
        )

    def check_oven(self) -> None:
        """Refuse an oven that is not there or does not get hot enough. Raises InputError."""
        process, slug = self.process, self.formula.slug
        self.kitchen.check_oven()
        if process.oven_name and self.kitchen.oven_called(process.oven_name) is None:
            known = ", ".join(each.name for each in self.kitchen.ovens)
            expected = say("an oven of {name}: {known}", name=self.kitchen.name, known=known)
            field = say("{formula}, process, oven_name", formula=slug)
            raise InputError(field, repr(process.oven_name), expected)
        if not reaches(self.oven, process):
            expected = say(
                "at most {hottest:g}C, which is the most of {name}",
                hottest=self.oven.hottest_c,
                name=self.oven.name,
            )
            field = say("{formula}, process, oven", formula=slug)
            raise InputError(field, f"{process.oven.celsius:g}C", expected)

    def check_pieces(self) -> None:
        """Refuse more pieces than any of its ovens could bake however it is planned.

        Raises InputError.
        """
        most = max(each.most_pieces for each in self.in_each_oven)
        if self.pieces > most:
            expected = say(
                "at most {most}, which is what the oven can bake in {hours} hours",
                most=most,
                hours=HORIZON // _HOUR,
            )
            raise InputError("pieces", self.pieces, expected)

    @property
    def most_pieces(self) -> int:
        """What the oven bakes, load after load, in all the time that is planned for."""
        each = self.process.load_minutes + self.bake_minutes + TURN_MINUTES
        return int((HORIZON / _MINUTE + TURN_MINUTES) // each) * load_of(self.oven, self.process)

    def check_warmth(self) -> None:
        """Refuse a kitchen colder than the culture can work in. Raises InputError."""
        steps = {
            **{each.place.name: say("the levain") for each in self.builds},
            self.bulk_place.name: say("the bulk"),
            self.proof_place.name: say("the proof"),
            self.kitchen.warmest_place.name: say("refreshing the culture"),
        }
        hours = np.linspace(0.0, 24.0, 25)
        for name, what in steps.items():
            place = self.kitchen.place(name)
            mean = float(place.surroundings.temperatures(self.now, hours).mean())
            if mean < COLDEST_WORK_C:
                raise InputError(
                    say(
                        "{kitchen}, place {place}, temperature",
                        kitchen=self.kitchen.name,
                        place=place.name,
                    ),
                    say("{mean} for {what}", mean=warmth(mean, tenths=True), what=what),
                    say(
                        "a place of {least} or more, as yeast hardly works below",
                        least=warmth(COLDEST_WORK_C),
                    ),
                )


@lru_cache(maxsize=4096)  # asked again for each way of a bake, and each bake of a week
def _flour_c(room: Place, at: datetime) -> float:
    return room.mean_c(at, -FLOUR_SINCE_H, 0.0)


def wanted_c(wanted: float | None, place: Place, at: datetime) -> float:
    """The mix temperature wanted of a levain: as given, else that of its place, 20 to 28 °C."""
    if wanted is not None:
        return wanted
    mean = float(place.surroundings.temperatures(at, np.linspace(0, 24, 25)).mean())
    return min(max(mean, 20.0), 28.0)


def _raw(
    ingredients: Mapping[str, Fraction],
    scale: float,
    celsius: float | NDArray[np.float64],
    own: Flours,
) -> Mixture:
    """Ingredients in percent of the flour as an untouched mixture."""
    flours: dict[str, float] = {}
    water = salt = other = 0.0
    for name, percent in ingredients.items():
        grams = float(percent) * scale
        as_flour, as_water, as_salt, as_other = (float(part) for part in split(name))
        if as_flour:
            flours[name] = flours.get(name, 0.0) + as_flour * grams
        water += as_water * grams
        salt += as_salt * grams
        other += as_other * grams
    record = blend(flours, own) if flours else None
    return raw(flours, water, salt, other, celsius, record=record)
