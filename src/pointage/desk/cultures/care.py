"""The care of one culture: how to keep, rest, wake and change it, what ails it, and what is due."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from functools import cache

import numpy as np

from pointage.culture.change import ChangeFeed, Made, change
from pointage.culture.mature import feed, mature
from pointage.culture.rest import (
    Rest,
    longest,
    rests,
    waking,
)
from pointage.culture.trouble import Cause, causes
from pointage.culture.upkeep import Rhythm, Upkeep, upkeep
from pointage.culture.weeks import (
    Chore,
    HowKept,
    Use,
    chores,
)
from pointage.errors import Complaint, InputError
from pointage.kitchen.culture_state import FED_AT_C, remembered
from pointage.kitchen.kitchen import (
    CultureAtHand,
    Kitchen,
    Place,
    PlaceKind,
)
from pointage.language import say
from pointage.mixture.hold import hold
from pointage.mixture.inverse import OutOfReach
from pointage.mixture.mixture import Mixture
from pointage.mixture.traits import Traits

RHYTHMS_H = (12.0, 24.0)
"""Twice a day and daily."""
CUSTOMARY = Fraction(1, 5)
LEAST_KEPT_G = Fraction(20)
TRIED_DAYS = (1.0, 3.0, 7.0, 14.0, 21.0)
"""Rests for which the waking is worked out; between two the longer one's holds."""
LOOKED_BACK_H = 72.0


@dataclass(frozen=True, slots=True)
class WayToKeep:
    """One way to keep a culture: where, how often, and how; or why not."""

    place: str
    every_h: float
    found: Upkeep | OutOfReach


@dataclass(frozen=True, slots=True)
class RestAdvice:
    """When to chill it, how long that holds, and the feeds that wake it, by days of rest."""

    warm_place: str
    cold_place: str
    rests: tuple[Rest, ...]
    best: Rest
    waking: Mapping[float, int]

    @property
    def remind_after_d(self) -> float:
        """Days after which a reminder is due: two before it surely holds no more."""
        surely = self.best.days.p10
        return max(1.0, surely - 2.0)


class Care:
    """Advice for one culture of a kitchen, by what is believed of it. Nothing is written down."""

    def __init__(
        self, culture: CultureAtHand, kitchen: Kitchen, now: datetime, traits: Traits
    ) -> None:
        self.culture = culture
        self._kitchen = kitchen
        self._now = now
        self._traits = traits
        self._record = kitchen.record(culture.flours)

    def choices(self, needed_g: Fraction) -> tuple[WayToKeep, ...]:
        """Every place that is no fridge, fed twice a day or daily, with the seed that fits.

        needed_g: the most that the builds of the week take from it at once.
        """
        return tuple(
            WayToKeep(place.name, every_h, self.upkeep(place.name, every_h, needed_g))
            for place in self._kitchen.places
            if place.kind is not PlaceKind.FRIDGE
            for every_h in RHYTHMS_H
        )

    def upkeep(
        self, place: str, every_h: float, needed_g: Fraction, first: datetime | None = None
    ) -> Upkeep | OutOfReach:
        """The seed and the smallest amounts for one rhythm from `first` on, now when left out."""
        stands = self._kitchen.place(place)
        at = first or self._now
        rhythm = Rhythm(every_h, stands.surroundings, at, _celsius(stands, at))
        step = min(scale.step_g for scale in self._kitchen.scales)
        return upkeep(
            self.culture.flours,
            self.culture.hydration,
            rhythm,
            self._traits,
            needed_g=needed_g,
            step_g=max(step, Fraction(1)),
            record=self._record,
        )

    def rest(self) -> RestAdvice:
        """When to chill it and what wakes it. Raises InputError where there is no fridge."""
        warm, cold = self._kitchen.warmest_place, self._fridge()
        found = rests(
            self._fresh(), warm=warm.surroundings, cold=cold.surroundings, start=self._now,
            traits=self._traits, days=TRIED_DAYS,
        )  # fmt: skip
        best = longest(found)
        return RestAdvice(
            warm.name, cold.name, found, best,
            {days: self._waking(rested) for days, rested in best.rested.items()},
        )  # fmt: skip

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
        total = total_g or _exact(self.culture.mass_g)
        return change(now, wanted, keep_share=keep_share, total_g=total, feeds=feeds)

    def trouble(self, answers: Mapping[str, str]) -> tuple[Cause, ...]:
        """Likely causes of what is seen, with the engine's word on its last feed."""
        last = remembered(self.culture)[-1]
        elapsed = (self._now - last.fed.at) / timedelta(hours=1)
        place = self._kitchen.place(last.places[-1][1])
        expected = None
        if 0 < elapsed <= LOOKED_BACK_H and place.kind is not PlaceKind.FRIDGE:
            expected = hold(
                self._fresh(), place.surroundings, last.fed.at, elapsed + 24.0, self._traits
            )
        return causes(
            answers,
            hydration=_exact(self.culture.hydration),
            expected=expected,
            elapsed_h=elapsed,
        )

    def weeks(self, uses: Sequence[Use]) -> tuple[Chore, ...]:
        """What is to be done from now to the last of the builds, with as few chores as may be."""
        advice = self.rest()
        surely = advice.best.days.p10
        daily = self.upkeep(advice.warm_place, 24.0, Fraction(0))
        share = CUSTOMARY
        if isinstance(daily, Upkeep):
            share = Fraction(daily.seed_share).limit_denominator(100)

        def woken(days: float) -> int:
            longer = [feeds for tried, feeds in advice.waking.items() if tried >= days]
            return longer[0] if longer else max(advice.waking.values())

        keeping = HowKept(
            hydration=_exact(self.culture.hydration),
            waking=woken,
            rest_d=surely if np.isfinite(surely) else max(TRIED_DAYS),
            warm_h=advice.best.warm_h,
            daily_share=max(share, Fraction(1, 50)),
            keep_g=LEAST_KEPT_G,
        )
        return chores(self.culture.fed, uses, keeping)

    @cache  # noqa: B019, it lives for one answer
    def _fresh(self) -> Mixture:
        """The culture just fed as it is wont to be, from its prime."""
        culture = self.culture
        record = self._record
        prime = mature(culture.flours, culture.hydration, self._traits, record)
        fresh = {kind: 100 * share for kind, share in culture.flours.items()}
        share = culture.seed_share or float(CUSTOMARY)
        fed = feed(prime, 100 * share, fresh, 100 * culture.hydration, FED_AT_C, record=record)
        return fed.scaled(max(culture.mass_g, float(LEAST_KEPT_G)))

    def _waking(self, rested: Mixture) -> int:
        return waking(
            rested,
            flours=self.culture.flours,
            hydration=self.culture.hydration,
            place=self._kitchen.warmest_place.surroundings,
            start=self._now,
            traits=self._traits,
            record=self._record,
        ).feeds

    def _fridge(self) -> Place:
        for place in self._kitchen.places:
            if place.kind is PlaceKind.FRIDGE:
                return place
        raise InputError(
            "place",
            Complaint(say("no fridge")),
            say("a fridge among the places on the Kitchen screen"),
        )


def care_of(name: str, kitchen: Kitchen, now: datetime, traits: Callable[[str], Traits]) -> Care:
    """Advice for the culture called `name`. Raises InputError with the names there are."""
    culture = kitchen.culture(name)
    return Care(culture, kitchen, now, traits(culture.name))


def _celsius(place: Place, at: datetime) -> float:
    """The place's mean over a day."""
    return float(place.surroundings.temperatures(at, np.linspace(0.0, 24.0, 25)).mean())


def _exact(value: float) -> Fraction:
    return Fraction(value).limit_denominator(1000)
