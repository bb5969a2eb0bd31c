"""Irregular weeks: what a culture needs from bake day to bake day, with the fewest chores.

Between two builds it either stands warm and is fed every day, or rests in the cold and is woken in
time; a rest longer than it surely holds is broken by a feed. Whichever asks for fewer chores is
taken, and of equals the rest, which takes less flour.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from math import ceil

from pointage.culture.rest import WAKING_H, WAKING_SHARE
from pointage.culture.upkeep import LEAST_SEED_G, STICKS
from pointage.errors import Complaint, InputError
from pointage.language import say

DAY = timedelta(days=1)
LONGEST = timedelta(days=400)
LEAST_REST = timedelta(days=1)  # less is no rest: it hardly cools and warms again
REMIND = timedelta(days=2)  # before the rest surely held is over: ours


class ChoreKind(StrEnum):
    """What is done to the culture."""

    FEED = "feed"
    CHILL = "chill"
    WAKE = "wake"
    REFRESH = "refresh"
    BUILD = "build"


@dataclass(frozen=True, slots=True)
class Use:
    """A build that takes `grams` of ripe culture at an instant."""

    at: datetime
    grams: Fraction


@dataclass(frozen=True, slots=True)
class Chore:
    """One thing to do; seed_g, flour_g and water_g are 0 where nothing is fed."""

    at: datetime
    kind: ChoreKind
    seed_g: Fraction = Fraction(0)
    flour_g: Fraction = Fraction(0)
    water_g: Fraction = Fraction(0)

    @property
    def total_g(self) -> Fraction:
        """Grams after it."""
        return self.seed_g + self.flour_g + self.water_g


@dataclass(frozen=True, slots=True)
class HowKept:
    """How a culture is kept. waking: feeds that wake it after so many days in the cold.

    rest_d: days it holds there nine times in ten; warm_h: hours it stands warm before it is
    chilled; daily_share: seed over fresh flour of a daily feed in the warm; keep_g: what is kept
    after a feed when nothing is to be built. waking_h: between feeds that wake it. least_g: of
    seed, so that it can be weighed.
    """

    hydration: Fraction
    waking: Callable[[float], int]
    rest_d: float
    warm_h: float
    daily_share: Fraction
    keep_g: Fraction
    waking_h: float = WAKING_H
    least_g: Fraction = LEAST_SEED_G


def chores(last_fed: datetime, uses: Sequence[Use], keeping: HowKept) -> tuple[Chore, ...]:
    """All that is to be done from the last feed to the last build, in order of time.

    What was missed earlier than LONGEST before the first build is not named any more.
    Raises InputError for builds out of order, before the last feed, or none.
    """
    if not uses:
        raise InputError("bake days", Complaint(say("none")), say("at least one"))
    last_fed = max(last_fed, uses[0].at - LONGEST)
    before, found = last_fed, list[Chore]()
    for number, use in enumerate(uses):
        if use.at <= before:
            raise InputError(
                "bake days",
                use.at.isoformat(timespec="minutes"),
                say("a time after the one before"),
            )
        found += _between(before, use, keeping, fed_first=number > 0)
        found.append(Chore(use.at, ChoreKind.BUILD))
        before = use.at
    return tuple(sorted(found, key=lambda chore: chore.at))


def kept_cold(before: datetime, use: Use, keeping: HowKept) -> list[Chore]:
    """The chores from one build to the next where it rests in the cold between."""
    return _cold(before, use, keeping, fed_first=True)


def _between(before: datetime, use: Use, keeping: HowKept, *, fed_first: bool) -> list[Chore]:
    """The chores from one build, or the last feed, to the next build."""
    ways = [_warm(before, use, keeping, fed_first=fed_first)]
    if use.at - before >= LEAST_REST:
        ways.append(_cold(before, use, keeping, fed_first=fed_first))
    return min(reversed(ways), key=_hands)


def _hands(way: Sequence[Chore]) -> int:
    """Times that hands are asked for; to chill what was just fed is the end of that feed."""
    return sum(chore.kind is not ChoreKind.CHILL for chore in way)


def _warm(before: datetime, use: Use, keeping: HowKept, *, fed_first: bool) -> list[Chore]:
    """Fed after the build and every day from then on, the last feed a day before the next."""
    days = max(1, round((use.at - before) / DAY))
    times = [before + DAY * n for n in range(0 if fed_first else 1, days)]
    amounts = _backwards(use.grams, [keeping.daily_share] * len(times), keeping)
    return [Chore(at, ChoreKind.FEED, *grams) for at, grams in zip(times, amounts, strict=True)]


def _cold(before: datetime, use: Use, keeping: HowKept, *, fed_first: bool) -> list[Chore]:
    """Fed, chilled, refreshed when the rest would be too long, and woken in time."""
    found = []
    small = _feed_of(keeping.keep_g, keeping.daily_share, keeping)
    if fed_first:
        found.append(Chore(before, ChoreKind.FEED, *small))
    chilled = before + timedelta(hours=keeping.warm_h if fed_first else 0.0)
    if fed_first:
        found.append(Chore(chilled, ChoreKind.CHILL))
    most = timedelta(days=keeping.rest_d)
    while use.at - chilled > most:
        at = chilled + max(most - REMIND, LEAST_REST)
        found.append(Chore(at, ChoreKind.REFRESH, *small))
        chilled = at + timedelta(hours=keeping.warm_h)
    feeds = keeping.waking((use.at - chilled) / DAY)
    amounts = _backwards(use.grams, [Fraction(WAKING_SHARE)] * feeds, keeping)
    for number, grams in enumerate(amounts):
        at = use.at - timedelta(hours=keeping.waking_h * (feeds - number))
        found.append(Chore(at, ChoreKind.WAKE, *grams))
    return found


def _backwards(
    needed: Fraction, shares: Sequence[Fraction], keeping: HowKept
) -> list[tuple[Fraction, Fraction, Fraction]]:
    """Grams of each feed, so that the last gives what is needed and leaves what is kept."""
    found: list[tuple[Fraction, Fraction, Fraction]] = []
    wanted = needed * STICKS + keeping.keep_g
    for share in reversed(shares):
        grams = _feed_of(wanted, share, keeping)
        found.append(grams)
        wanted = grams[0] * STICKS
    return found[::-1]


def _feed_of(
    total: Fraction, share: Fraction, keeping: HowKept
) -> tuple[Fraction, Fraction, Fraction]:
    """Seed, flour and water, whole grams, of a feed that makes `total`."""
    wet = keeping.hydration
    flour = Fraction(ceil(max(total / (1 + share + wet), keeping.least_g / share)))
    return Fraction(ceil(flour * share)), flour, Fraction(ceil(flour * wet))
