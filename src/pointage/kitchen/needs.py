"""What a culture needs next, and when: plain data, so that a page shows it and a week can plan it.

It follows from where the culture stands, how long that surely holds, how it was kept before and
when somebody is there to do it.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from math import floor

from pointage.culture.change import Made, change
from pointage.culture.life import Aimed, Fed, Life, fed_back, is_made
from pointage.culture.rest import MOST_WAKING, WAKING_SHARE
from pointage.culture.upkeep import LEAST_SEED_G, LEAST_STEPS, WeighedFeed, feed_for
from pointage.errors import InputError
from pointage.kitchen.awake import fitted
from pointage.kitchen.kitchen import CultureAtHand, Kitchen, PlaceKind
from pointage.rounding import round_to_step

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
REMIND = timedelta(days=2)
"""Before a rest surely holds no more: ours, so that a busy day is no harm."""
UNSEEN = timedelta(days=3)
"""A culture in the warm that is not seen to rise is looked at and fed after so long: ours."""
LEFT_WARM = timedelta(days=5)
"""After so long in the warm without a feed it was forgotten: ours."""
FORGOTTEN = timedelta(days=28)
"""So long in the cold without a feed, it is brought back over several (common practice, no source).
"""
REVIVED_EVERY = DAY
"""At the latest, while it is brought back: common practice, no source."""
ON_ITS_WAY = 0.6
"""Of the way to its height a culture has risen by half or more: ours."""
CHANGED_G, CHANGED_KEEPS = Fraction(100), Fraction(1, 5)
"""What a feed that changes it over makes, and the share of it that is kept: common practice, no
source."""
AIMED_WARM_H = 2.0
"""In the warm after its last feed, before it is first chilled: common practice, no source."""
LATEST_CHILL = timedelta(hours=6)
"""Into the cold no later than this after its feed: before its height, however it was last done
(ours)."""
LOOKED_BACK = 4
"""Feeds looked back on for how it is kept: those that wake it are none of its habit (ours)."""
SLACK = timedelta(hours=12)
"""So long after its hour a feed in the warm does it no harm: common practice, no source."""
WATER = "water"
FEW_G = 20
"""Grams below which a feed is weighed to the gram: ours."""
REVIVING = 3
"""Feeds that bring back a forgotten culture, more where it does not double: common practice, no
source."""


class NeedKind(StrEnum):
    """What is to be done."""

    RAISE = "raise"  # the next day of a young one
    FEED = "feed"  # fed where it stands
    WAKE = "wake"  # fed again, for it is not yet what it was
    CHILL = "chill"  # into the fridge
    REFRESH = "refresh"  # taken out, fed, and put back
    DISCARD = "discard"  # of one in which mould, or pink or orange, was seen
    STORE = "store"  # of one that was spread to dry: put away once it is dry
    REVIVE = "revive"  # of one that was forgotten or dried: looked at, and fed back to life


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the engine expects of a culture where it stands, as instants; None: not seen, or not so.

    In the warm ripe_from and ripe_until, the middle member's; awake: the share of members that rise
    as in their prime. In the cold surely_until, likely_until and hardly_until: how long one feed
    wakes it, nine times in ten, one in two and one in ten.
    """

    ripe_from: datetime | None = None
    ripe_until: datetime | None = None
    awake: float = 1.0
    surely_until: datetime | None = None
    likely_until: datetime | None = None
    hardly_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class CultureNeed:
    """What one culture needs next.

    at: when, in waking hours. best_by: until when that is as good; later it is late. feed: what is
    weighed, None where nothing is fed; discard_g: what is left over of it. place: where it stands
    after; then, then_at: where it goes from there, "" where it stays. feeds: so many in all,
    `every_h` apart. number: of a young one's day. water_c: of its water, where the
    course of its raising says it. earliest: from when on it is no worse; None: not before `at`.
    """

    culture: str
    kind: NeedKind
    at: datetime
    best_by: datetime
    place: str
    feed: WeighedFeed | None = None
    discard_g: Fraction = Fraction(0)
    then: str = ""
    then_h: float = 0.0
    feeds: int = 1
    every_h: float = 12.0
    number: int = 0
    water_c: float | None = None
    earliest: datetime | None = None


def need_of(
    culture: CultureAtHand, outlook: Outlook, kitchen: Kitchen, now: datetime
) -> CultureNeed | None:
    """What a grown culture needs next; None where nothing is known to be due."""
    life, here = culture.life, kitchen.place(culture.place)
    if life is None or not life.stands:
        return None
    stand = life.stands[-1]
    if here.kind is PlaceKind.FRIDGE:
        found = _in_the_cold(culture, life, outlook, kitchen, now)
    else:
        found = _in_the_warm(culture, life, outlook, kitchen, now)
    return replace(found, at=max(found.at, stand.fed.at))


def revival(name: str, life: Life, kitchen: Kitchen, at: datetime) -> CultureNeed:
    """Bringing back a dried or forgotten one: little of it, fed until it rises as it should."""
    step = min(each.step_g for each in kitchen.scales)
    feed = feed_for(
        Fraction(), round(1 / WAKING_SHARE), life.flours, life.hydration, step_g=step,
        least_g=Fraction(10),
    )  # fmt: skip
    assert feed is not None, "no jar is asked of"
    left = _exact(life.mass_g) - feed.seed_g if life.state == "living" else Fraction()
    return CultureNeed(
        name, NeedKind.REVIVE, at, at + DAY, kitchen.warmest_place.name, feed,
        max(left, Fraction()),
        feeds=REVIVING if life.state == "living" else MOST_WAKING,
    )  # fmt: skip


def _in_the_cold(
    culture: CultureAtHand, life: Life, outlook: Outlook, kitchen: Kitchen, now: datetime
) -> CultureNeed:
    chilled = life.stands[-1].places[-1][0]
    if outlook.hardly_until is not None and outlook.hardly_until <= now:
        return revival(culture.name, life, kitchen, outlook.hardly_until)
    sure = outlook.surely_until or chilled + timedelta(weeks=6)
    due = max(sure - REMIND, chilled + DAY)
    if life.aim is not None and not _is_fridge(kitchen, life.aim.place):
        at = fitted(kitchen, max(life.aim.at, chilled), chilled)
        feed, discard = _weighed(culture, life, kitchen, at)
        place = _fed_in(culture, life, kitchen)
        return CultureNeed(
            culture.name, NeedKind.FEED, at, at + DAY, place, feed, discard, earliest=chilled
        )
    kept = life.kept
    warm = kept.places[0][1] if kept and kept.places else kitchen.warmest_place.name
    warm = warm if kitchen.place(warm).kind is not PlaceKind.FRIDGE else kitchen.warmest_place.name
    stood = (kept.places[-1][0] - kept.fed.at) / HOUR if kept and len(kept.places) > 1 else 2.0
    stood = min(max(stood, 1.0), LATEST_CHILL / HOUR)
    earliest = min(chilled + DAY, due - DAY)
    at = fitted(kitchen, _at_her_hour(kitchen, life, due), earliest)
    at = fitted(kitchen, at, at - DAY, stood * HOUR)
    feed, discard = _weighed(culture, life, kitchen, at)
    return CultureNeed(
        culture.name, NeedKind.REFRESH, at, sure, warm, feed, discard,
        then=culture.place, then_h=stood, earliest=earliest,
    )  # fmt: skip


def _in_the_warm(
    culture: CultureAtHand,
    life: Life,
    outlook: Outlook,
    kitchen: Kitchen,
    now: datetime,
) -> CultureNeed:
    stand = life.stands[-1]
    fed = stand.fed.at
    if now - fed >= LEFT_WARM:
        return revival(culture.name, life, kitchen, fed + LEFT_WARM)
    fridge = _rests_in(life, kitchen)
    if life.aim is not None:  # it rests once it is what it is to be
        done, to = is_made(life, life.aim), life.aim.place
        is_aimed = done and bool(to) and _is_fridge(kitchen, to)
        fridge = (kitchen.place(to).name, AIMED_WARM_H) if is_aimed else None
    reviving = _feeds_to_go(life, kitchen) > 0
    is_awake = outlook.awake >= 0.5 and not reviving
    if fridge is not None and is_awake and not stand.fed.for_bake:
        place, hours = fridge
        due = fed + min(timedelta(hours=hours), LATEST_CHILL)
        if outlook.ripe_from is not None:  # chilled before it is on its way it weakens each time
            due = max(due, fed + (outlook.ripe_from - fed) * ON_ITS_WAY)
        latest = max(outlook.ripe_from or fed + LATEST_CHILL, due)
        return CultureNeed(
            culture.name,
            NeedKind.CHILL,
            _soon(kitchen, due, latest, fed),
            latest + SLACK,
            place,
            earliest=fed,
        )
    rhythm = _rhythm(life)
    due = max(outlook.ripe_until or fed + UNSEEN, fed + rhythm if rhythm else fed)
    due = min(due, fed + (REVIVED_EVERY if reviving else UNSEEN))
    earliest = min(outlook.ripe_from or due - SLACK / 2, due)
    at = fitted(kitchen, due, earliest)
    feed, discard = _weighed(culture, life, kitchen, at)
    kind = NeedKind.FEED if is_awake else NeedKind.WAKE
    return CultureNeed(
        culture.name,
        kind,
        at,
        max(at, due) + SLACK,
        _fed_in(culture, life, kitchen),
        feed,
        discard,
        earliest=earliest,
    )


def _fed_in(culture: CultureAtHand, life: Life, kitchen: Kitchen) -> str:
    """Where it stands after its next feed: where it is, out of the fridge, or where it is aimed."""
    wanted = life.aim.place.casefold() if life.aim is not None else ""
    warm = [each for each in kitchen.places if each.kind is not PlaceKind.FRIDGE]
    named = [each.name for each in warm if each.name.casefold() == wanted]
    if named:
        return named[0]
    is_cold = _is_fridge(kitchen, culture.place)
    return kitchen.warmest_place.name if is_cold else culture.place


def _feeds_to_go(life: Life, kitchen: Kitchen) -> int:
    """Feeds that are still to come before one that was brought back is left to itself."""
    count, wanted = len(life.stands), 0
    if life.since is not None:
        count, wanted = sum(each.fed.at >= life.since for each in life.stands), MOST_WAKING
    for number in range(1, len(life.stands)):
        before, fed = life.stands[number - 1], life.stands[number].fed.at
        is_cold = _is_fridge(kitchen, before.places[-1][1]) if before.places else False
        if fed - before.fed.at >= (FORGOTTEN if is_cold else LEFT_WARM):
            count, wanted = len(life.stands) - number, REVIVING
    return max(wanted - count, 0)


def _is_fridge(kitchen: Kitchen, name: str) -> bool:
    known = [each for each in kitchen.places if each.name.casefold() == name.casefold()]
    return bool(known) and known[0].kind is PlaceKind.FRIDGE


def _soon(kitchen: Kitchen, due: datetime, latest: datetime, fed: datetime) -> datetime:
    """At `due`; where nobody is up then, rather after it than before, up to `latest`."""
    after = fitted(kitchen, due, due)
    return after if after <= latest else fitted(kitchen, due, fed)


def _rests_in(life: Life, kitchen: Kitchen) -> tuple[str, float] | None:
    """The fridge in which it was last kept between its feeds, and after how many hours."""
    kept = [each for each in life.stands[:-1] if not each.fed.for_bake and each.places]
    for stand in reversed(kept[-LOOKED_BACK:]):
        at, name = stand.places[-1]
        if _is_fridge(kitchen, name):
            return kitchen.place(name).name, (at - stand.fed.at) / HOUR
    return None


def _rhythm(life: Life) -> timedelta | None:
    """From feed to feed as it was last fed in the warm, one that was early or late for once left
    out; None where that is no rhythm."""
    kept = [stand.fed.at for stand in life.stands if not stand.fed.for_bake][-LOOKED_BACK:]
    apart = [later - earlier for earlier, later in pairwise(kept)]
    if not apart or not 6 * HOUR <= apart[-1] <= 36 * HOUR:
        return None
    known = sorted(each for each in apart if 6 * HOUR <= each <= 36 * HOUR)
    return known[len(known) // 2]


def _at_her_hour(kitchen: Kitchen, life: Life, due: datetime) -> datetime:
    """On that day at the hour of its last feed, where that is no later than it is due."""
    last = life.stands[-1].fed.at.astimezone(kitchen.zone)
    local = due.astimezone(kitchen.zone)
    usual = local.replace(hour=last.hour, minute=last.minute, second=0, microsecond=0)
    usual = usual if usual <= local else usual - DAY
    return usual.astimezone(due.tzinfo)


def _weighed(
    culture: CultureAtHand, life: Life, kitchen: Kitchen, at: datetime
) -> tuple[WeighedFeed | None, Fraction]:
    """The feed that keeps it as it is kept, as it is weighed; within what its jar holds."""
    kept = life.kept
    if kept is None:
        return None, Fraction()
    if life.aim is not None and not is_made(life, life.aim):
        with suppress(InputError):  # of what no feed leads to it is fed as it is kept
            feed = changed(life, life.aim, kitchen, _exact(kitchen.jar_of(culture.name).most_g))
            return feed, max(_exact(life.mass_g) - feed.seed_g, Fraction())
    fed = fed_back(life, kept, at)
    feed = weighed(fed, kitchen, _exact(kitchen.jar_of(culture.name).most_g))
    seed = min(feed.seed_g, _exact(life.mass_g))
    return replace(feed, seed_g=seed), max(_exact(life.mass_g) - seed, Fraction())


def changed(life: Life, aim: Aimed, kitchen: Kitchen, most_g: Fraction) -> WeighedFeed:
    """The next feed on the way to what it is to be: a fifth is kept, within what its jar takes."""
    now = Made({kind: _exact(s) for kind, s in life.flours.items()}, _exact(life.hydration))
    flours = {kind: _exact(share) for kind, share in (aim.flours or life.flours).items()}
    wanted = Made(flours, _exact(aim.hydration or life.hydration))
    least = max(LEAST_SEED_G, LEAST_STEPS * min(each.step_g for each in kitchen.scales))
    keep = _exact(aim.keep) or CHANGED_KEEPS
    total = min(max(CHANGED_G, least / keep), most_g)
    (feed,) = change(now, wanted, keep_share=keep, total_g=total, feeds=1)
    return WeighedFeed(feed.keep_g, feed.flours_g, feed.water_g)


def weighed(fed: Fed, kitchen: Kitchen, most_g: Fraction) -> WeighedFeed:
    """A feed in about the proportions of `fed` and about as much, but no more than `most_g`: by
    fives, below FEW_G by whole grams, no seed below ten steps of the finest scale."""
    total = min(_exact(fed.mass_g), most_g)
    coarse = max(kitchen.scale_for(float(total) + 500.0).step_g, Fraction(1))
    least = max(LEAST_SEED_G, LEAST_STEPS * min(each.step_g for each in kitchen.scales))
    seed = max(_by_fives(_exact(fed.seed_g) * total / _exact(fed.mass_g), coarse), least)
    share = max(total - seed, Fraction()) / _exact(fed.flour_g + fed.water_g)
    exact = {**fed.flours_g, WATER: fed.water_g}
    parts = {name: _by_fives(_exact(grams) * share, coarse) for name, grams in exact.items()}
    if seed + sum(parts.values()) > most_g:
        parts = {name: Fraction(floor(_exact(g) * share)) for name, g in exact.items()}
    water = Fraction(parts.pop(WATER))
    return WeighedFeed(seed, {kind: Fraction(grams) for kind, grams in parts.items()}, water)


def _by_fives(grams: Fraction, step_g: Fraction) -> Fraction:
    """Grams to the nearest five, to the scale's step where they are few."""
    return round_to_step(grams, step_g if grams < FEW_G else max(step_g, Fraction(5)))


def _exact(grams: float) -> Fraction:
    return Fraction(grams).limit_denominator(1000)
