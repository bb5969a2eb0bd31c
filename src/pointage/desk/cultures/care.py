"""The care of one culture: how to keep, rest, wake and change it, what ails it, and what is due."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from functools import cache
from typing import Protocol, TypeVar

import numpy as np

from pointage.culture.change import ChangeFeed, Made, change
from pointage.culture.habits import (
    LEAST_COLD_D,
    LEAST_DRIED_D,
    LONGEST_WARM_D,
    Habit,
    dried,
    fed_in_the_warm,
    least_waste_first,
    rested,
)
from pointage.culture.mature import feed, mature
from pointage.culture.rest import (
    LONGEST_D,
    MOST_WAKING,
    Rest,
    Waking,
    longest,
    rests,
    waking,
)
from pointage.culture.trouble import Cause, TroubleQuestion, causes, next_question, questions
from pointage.culture.upkeep import (
    LEAST_SEED_G,
    LEAST_STEPS,
    PARTS,
    Rhythm,
    Unkept,
    Upkeep,
    upkeep,
)
from pointage.culture.weeks import (
    Chore,
    HowKept,
    Use,
    chores,
)
from pointage.errors import Complaint, InputError
from pointage.kitchen.culture_state import FED_AT_C, place_of, remembered
from pointage.kitchen.kitchen import (
    CultureAtHand,
    Kitchen,
    Place,
    PlaceKind,
)
from pointage.kitchen.needs import CHANGED_G
from pointage.language import say
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.traits import Traits

RHYTHMS_H = (12.0, 24.0)
"""Twice a day and daily."""
CUSTOMARY = Fraction(1, 5)
LEAST_KEPT_G = Fraction(20)
TRIED_DAYS = (1.0, 3.0, 7.0, 14.0, 21.0)
"""Rests for which the waking is worked out; between two the longer one's holds."""
LOOKED_BACK_H = 72.0
REMEDY_SEED_G = Fraction(20)
"""Of what there is, kept for a feed that mends it: ours."""
MOVED_FEEDS = 2
"""So many feeds, and a culture is used to another place: common practice, no source."""
LONGEST_RISE_H = 48.0
YOUNG_FOR = timedelta(days=10)
SHORT_REST, WEEK = timedelta(hours=12), timedelta(days=7)
Found = TypeVar("Found")


class Once(Protocol):
    """Gives what was worked out before under a name, else works it out."""

    def __call__(self, what: str, work: Callable[[], Found]) -> Found: ...


@dataclass(frozen=True, slots=True)
class NoWay:
    """A rhythm that does not keep it in one place, and why."""

    place: str
    every_h: float
    why: Unkept


@dataclass(frozen=True, slots=True)
class KeepAdvice:
    """The ways to keep it, the best first, and those that do not. jar_g: what its jar takes.

    rest: what is known of its rest in the cold; None where there is no fridge or nobody asks.
    """

    ways: tuple[Habit, ...]
    failed: tuple[NoWay, ...]
    jar_g: float
    rest: RestAdvice | None


@dataclass(frozen=True, slots=True)
class RestAdvice:
    """When to chill it, how long that holds, and the feeds that wake it, by days of rest."""

    warm_place: str
    cold_place: str
    rests: tuple[Rest, ...]
    best: Rest
    waking: Mapping[float, int]
    waking_h: float

    @property
    def surely_d(self) -> float:
        """Days that it holds nine times in ten; LONGEST_D where that is not seen to end."""
        surely = self.best.days.p10
        return surely if np.isfinite(surely) else float(LONGEST_D)

    def woken(self, days: float) -> int:
        """Feeds that wake it after so many days."""
        longer = [feeds for tried, feeds in self.waking.items() if tried >= days]
        return longer[0] if longer else max(*self.waking.values(), MOST_WAKING)

    @property
    def remind_after_d(self) -> float:
        """Days after which a reminder is due: two before it surely holds no more."""
        return max(1.0, self.surely_d - 2.0)


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Likely causes, what to ask next (None: nothing more), and all that is known by now."""

    causes: tuple[Cause, ...]
    ask: TroubleQuestion | None
    known: Mapping[str, str]


class Care:
    """Advice for one culture of a kitchen, by what is believed of it. Nothing is written down."""

    def __init__(
        self,
        culture: CultureAtHand,
        kitchen: Kitchen,
        now: datetime,
        traits: Traits,
        once: Once = lambda what, work: work(),
    ) -> None:
        """once: gives what was worked out before for the same culture, kitchen and beliefs."""
        self.culture = culture
        self._kitchen = kitchen
        self._now = now
        self._traits = traits
        self._once = once
        self._record = kitchen.record(culture.flours)

    def ways(self, every_d: float, needed_g: Fraction, *, away: bool = False) -> KeepAdvice:
        """The ways to keep it where a bake takes `needed_g` of it every so many days.

        In each place that is no fridge twice a day or daily, and in the cold. away: nobody is there
        to feed it in between.
        """
        found, failed = list[Habit](), list[NoWay]()
        if every_d <= LONGEST_WARM_D:
            for place in self._kitchen.places:
                for every_h in RHYTHMS_H:
                    if place.kind is PlaceKind.FRIDGE or every_h > 24 * every_d:
                        continue
                    kept = self.upkeep(place.name, every_h, needed_g)
                    if isinstance(kept, Upkeep):
                        found.append(fed_in_the_warm(place.name, every_d, needed_g, kept))
                    else:
                        failed.append(NoWay(place.name, every_h, kept))
        rest = self.rest() if every_d >= LEAST_COLD_D and self._fridges() else None
        if rest is not None:
            keeping = self._how_kept(rest)
            if not away:
                found.append(rested(rest.warm_place, every_d, needed_g, keeping))
            if away or every_d > rest.surely_d:
                found.append(rested(rest.warm_place, every_d, needed_g, keeping, left=True))
            if every_d >= LEAST_DRIED_D:
                found.append(dried(rest.warm_place, every_d, needed_g, keeping))
        return KeepAdvice(least_waste_first(found), tuple(failed), self.jar_g, rest)

    @property
    def jar_g(self) -> float:
        """Grams that its jar takes: the one called after it, else the largest jar there is."""
        return self._kitchen.jar_of(self.culture.name).most_g

    def upkeep(self, place: str, every_h: float, needed_g: Fraction) -> Upkeep | Unkept:
        """The proportions and the least amounts for one rhythm, from its last feed on."""
        stands = self._kitchen.place(place)
        at = self.culture.fed
        rhythm = Rhythm(every_h, stands.surroundings, at, _celsius(stands, at))
        return self._once(
            f"upkeep {place} {every_h:g} {needed_g}",
            lambda: upkeep(
                self.culture.flours,
                self.culture.hydration,
                rhythm,
                self._traits,
                needed_g=needed_g,
                step_g=self._step_g,
                most_g=_exact(self.jar_g),
                record=self._record,
            ),
        )

    @property
    def _step_g(self) -> Fraction:
        """Of the finest scale: what is little is weighed on that."""
        return min(scale.step_g for scale in self._kitchen.scales)

    def rest(self) -> RestAdvice:
        """When to chill it and what wakes it. Raises InputError where there is no fridge."""
        return self._once("rest", self._rest)

    def _rest(self) -> RestAdvice:
        warm, cold = self._kitchen.warmest_place, self._fridge()
        found = rests(
            self._fresh(), warm=warm.surroundings, cold=cold.surroundings, start=self.culture.fed,
            traits=self._traits, days=TRIED_DAYS,
        )  # fmt: skip
        best = longest(found)
        woken = {days: self._waking(rested) for days, rested in best.rested.items()}
        most, feeds = 0, dict[float, int]()
        for days, each in woken.items():
            most = max(most, each.feeds)  # after a longer rest never fewer than after a shorter one
            feeds[days] = most
        every_h = max(each.every_h for each in woken.values())
        return RestAdvice(warm.name, cold.name, found, best, feeds, every_h)

    def change(
        self,
        flours: Mapping[str, Fraction],
        hydration: Fraction,
        keep_share: Fraction,
        feeds: int | None = None,
        total_g: Fraction | None = None,
    ) -> tuple[ChangeFeed, ...]:
        """The feeds that turn it into a culture on other flours or of another hydration."""
        whole = sum(flours.values(), Fraction())
        if whole <= 0:
            raise InputError("flours", Complaint(say("none")), say("at least one flour"))
        now = Made(
            {kind: _exact(share) for kind, share in self.culture.flours.items()},
            _exact(self.culture.hydration),
        )
        wanted = Made({kind: part / whole for kind, part in flours.items()}, hydration)
        total = total_g or min(CHANGED_G, _exact(self.jar_g))
        if feeds is None and now == wanted:
            feeds = MOVED_FEEDS  # to another place: by then it keeps to the warmth there
        return change(now, wanted, keep_share=keep_share, total_g=total, feeds=feeds)

    def expected(self, feeds: Sequence[ChangeFeed], place: str) -> tuple[tuple[float, float], ...]:
        """After each feed on the way, how far it rises and after how many hours: the middle
        member's, each fed at the height of the one before."""
        surroundings = self._kitchen.place(place).surroundings
        culture, at = self._fresh(), self._now
        found = []
        for each in feeds:
            flours = {kind: float(grams) for kind, grams in each.flours_g.items()}
            record = self._kitchen.record(flours)
            fed = feed(
                culture, float(each.keep_g), flours, float(each.water_g), FED_AT_C, record=record
            )
            course = hold(fed, surroundings, at, LONGEST_RISE_H, self._traits, every_min=30)
            hours = float(np.median(np.nan_to_num(course.peak_h(), nan=LONGEST_RISE_H)))
            found.append((float(np.median(course.rise.max(axis=1))), hours))
            culture = hold(fed, surroundings, at, hours, self._traits, every_min=30).final
            at += timedelta(hours=hours)
        return tuple(found)

    @property
    def questions(self) -> dict[str, TroubleQuestion]:
        """What may be asked when something is wrong, by its key."""
        return {each.key: each for each in questions()}

    def trouble(self, answers: Mapping[str, str]) -> Diagnosis:
        """Likely causes of what is seen, with the engine's word on its last feed, and what to ask
        next. What is known of it is not asked: its age, and how long it was in the cold."""
        known = {**self._known(), **answers}
        expected, elapsed = self._last_feed()
        feed_g = min(_exact(self.culture.mass_g), REMEDY_SEED_G)
        found = causes(
            known,
            hydration=_exact(self.culture.hydration),
            seed_g=Fraction(round(feed_g)),
            most_g=_exact(self.jar_g),
            expected=expected,
            elapsed_h=elapsed,
        )
        return Diagnosis(found, next_question(known, expected, elapsed), known)

    def _last_feed(self) -> tuple[Course | None, float]:
        """What its last feed should do where it stands in the warm, and the hours since."""
        last = remembered(self.culture)[-1]
        elapsed = (self._now - last.fed.at) / timedelta(hours=1)
        place = place_of(self._kitchen, last.places[-1][1])
        if not 0 < elapsed <= LOOKED_BACK_H or place.kind is PlaceKind.FRIDGE:
            return None, elapsed
        course = hold(self._fresh(), place.surroundings, last.fed.at, elapsed + 24.0, self._traits)
        return course, elapsed

    def _known(self) -> dict[str, str]:
        """What the records say of it already, in the words of the questions."""
        life = self.culture.life
        if life is None or not life.stands:
            return {}
        young = life.stands[0].fed.seed_g == 0 and self._now - life.began < YOUNG_FOR
        spells = []
        for stand in life.stands[-2:]:
            ends = [at for at, _ in stand.places[1:]] + [self._now]
            spells += [
                end - at
                for (at, name), end in zip(stand.places, ends, strict=True)
                if place_of(self._kitchen, name).kind is PlaceKind.FRIDGE
            ]
        longest_spell = max(spells, default=timedelta())
        rest = "no" if longest_spell < SHORT_REST else "short" if longest_spell <= WEEK else "long"
        return {"age": "young" if young else "grown", "rest": rest}

    def weeks(self, uses: Sequence[Use]) -> tuple[Chore, ...]:
        """What is to be done from now to the last of the builds, with as few chores as may be."""
        return chores(self.culture.fed, uses, self._how_kept(self.rest()))

    def _how_kept(self, advice: RestAdvice) -> HowKept:
        daily = self.upkeep(advice.warm_place, 24.0, Fraction(0))
        parts = daily.parts if isinstance(daily, Upkeep) else PARTS[4]
        return HowKept(
            hydration=_exact(self.culture.hydration),
            waking=advice.woken,
            rest_d=advice.surely_d,
            warm_h=advice.best.warm_h,
            daily_share=Fraction(1, parts),
            keep_g=LEAST_KEPT_G,
            waking_h=advice.waking_h,
            least_g=max(LEAST_SEED_G, LEAST_STEPS * self._step_g),
        )

    @cache  # noqa: B019, it lives for one answer
    def _fresh(self) -> Mixture:
        """The culture just fed as it usually is, from its prime."""
        culture = self.culture
        record = self._record
        prime = mature(culture.flours, culture.hydration, self._traits, record)
        fresh = {kind: 100 * share for kind, share in culture.flours.items()}
        share = culture.seed_share or float(CUSTOMARY)
        fed = feed(prime, 100 * share, fresh, 100 * culture.hydration, FED_AT_C, record=record)
        return fed.scaled(max(culture.mass_g, float(LEAST_KEPT_G)))

    def _waking(self, rested: Mixture) -> Waking:
        return waking(
            rested,
            flours=self.culture.flours,
            hydration=self.culture.hydration,
            place=self._kitchen.warmest_place.surroundings,
            start=self.culture.fed,
            traits=self._traits,
            record=self._record,
        )

    def _fridges(self) -> list[Place]:
        return [place for place in self._kitchen.places if place.kind is PlaceKind.FRIDGE]

    def _fridge(self) -> Place:
        for place in self._fridges():
            return place
        raise InputError(
            "place",
            Complaint(say("no fridge")),
            say("a fridge among the places on the Kitchen screen"),
        )


def _celsius(place: Place, at: datetime) -> float:
    """The place's mean over a day."""
    return float(place.surroundings.temperatures(at, np.linspace(0.0, 24.0, 25)).mean())


def _exact(value: float) -> Fraction:
    return Fraction(value).limit_denominator(1000)
