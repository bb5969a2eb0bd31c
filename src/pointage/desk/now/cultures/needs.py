"""What the cultures need next, beside what the bakes in hand do to them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.culture.life import Life
from pointage.culture.raising import EVERY, SOONEST_H, Phase, RaisedDay, calendar_day
from pointage.culture.upkeep import WeighedFeed
from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import done_at
from pointage.desk.now.cultures.lives import is_of
from pointage.desk.now.cultures.young import fed_days, raised_in
from pointage.kitchen.awake import fitted
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.needs import SLACK, CultureNeed, NeedKind, Outlook, need_of, revival

HOUR = timedelta(hours=1)
SOONEST = SOONEST_H * HOUR
EARLY = (Phase.QUIET, Phase.FALSE_START)
RENEWED_BEFORE = timedelta(days=14)
DRIES = timedelta(days=2)
"""Thinly spread: common practice, no source."""
KEEPS = {"dried": timedelta(days=365), "frozen": timedelta(days=90)}
"""Dried flakes, and portions in a freezer: common practice, no source."""


def grown_need(
    culture: CultureAtHand,
    outlook: Outlook,
    kitchen: Kitchen,
    bakes: Iterable[Bake],
    now: datetime,
) -> CultureNeed | None:
    """What a grown culture needs next; None where a bake in hand sees to it in time."""
    found = need_of(culture, outlook, kitchen, now)
    if found is None or culture.life is None:
        return found
    taken = _next_taken(culture.life, bakes)
    return None if taken is not None and taken <= found.best_by else found


def young_need(
    life: Life, days: Sequence[RaisedDay], kitchen: Kitchen, now: datetime
) -> CultureNeed:
    """The next day of one that is being raised."""
    fed = fed_days(life)
    last, day = fed[-1].fed, days[len(fed)]
    due, before = last.at + EVERY, days[len(fed) - 1]
    if not day.feeds:  # to stir it and to say what is seen is all there is to do
        looked = max((each.hours or 0.0 for each in before.seen), default=0.0)
        while due - EVERY + SOONEST <= last.at + timedelta(hours=looked):
            due += EVERY
    if not day.feeds or before.phase in EARLY:  # it was waited on, and no harm is done
        while due + SLACK < now:
            due += EVERY
    return _day_need(life, day, due, kitchen, now)


def young_ahead(
    life: Life, days: Sequence[RaisedDay], kitchen: Kitchen, now: datetime, until: datetime
) -> list[CultureNeed]:
    """Its days from the next one on, each a day after the one before, as they are expected."""
    found = [young_need(life, days, kitchen, now)]
    for day in days[len(fed_days(life)) + 1 :]:
        due = max(found[-1].at, now) + EVERY
        if due > until:
            break
        found.append(_day_need(life, day, due, kitchen, now))
    return found


def _day_need(
    life: Life, day: RaisedDay, due: datetime, kitchen: Kitchen, now: datetime
) -> CultureNeed:
    fed = fed_days(life)
    last = fed[-1].fed
    at = fitted(kitchen, due, due - EVERY + SOONEST)
    shares = {kind: Fraction(grams / last.flour_g) for kind, grams in last.flours_g.items()}
    flours = {kind: round(day.flour_g * share) for kind, share in shares.items()}
    feed = None
    if day.feeds:
        feed = WeighedFeed(
            day.keep_g, {kind: Fraction(grams) for kind, grams in flours.items()}, day.water_g
        )
    return CultureNeed(
        life.name, NeedKind.RAISE, at, max(at, due) + SLACK, raised_in(life, kitchen).name, feed,
        day.pour_off_g, number=calendar_day((max(at, now) - fed[0].fed.at) / HOUR),
        water_c=day.water_c if day.feeds else None, earliest=due - EVERY + SOONEST,
    )  # fmt: skip


def spoiled_need(culture: str, seen: datetime) -> CultureNeed:
    """One in which mould, or pink or orange, was seen goes away at once, whatever was planned."""
    return CultureNeed(culture, NeedKind.DISCARD, seen, seen + SLACK, "")


def backup_needs(lives: Iterable[Life], kitchen: Kitchen, now: datetime) -> list[CultureNeed]:
    """Of those dried, frozen or drying: put away once dry; brought back where no other lives, else
    renewed before it is too old, which nobody need know much before."""
    every = list(lives)
    alone = not any(life.state == "living" and life.stands and not life.is_empty for life in every)
    needs = (
        backup_need(life, kitchen, now if alone else None)
        for life in every
        if life.state in ("drying", *KEEPS) and life.stands and life.flours
    )
    return [need for need in needs if need.at <= now + RENEWED_BEFORE]


def backup_need(life: Life, kitchen: Kitchen, wanted: datetime | None = None) -> CultureNeed:
    """What a backup needs next. wanted: when it is to be brought back, where that is known."""
    since = life.since or life.stands[-1].fed.at
    if life.state == "drying":
        dry = fitted(kitchen, since + DRIES, since + DRIES / 2)
        return CultureNeed(life.name, NeedKind.STORE, dry, dry + 5 * DRIES, "")
    return revival(life.name, life, kitchen, wanted or since + KEEPS[life.state])


def _next_taken(life: Life, bakes: Iterable[Bake]) -> datetime | None:
    """When a bake in hand next feeds or takes from it."""
    starts = [
        step.start
        for bake in bakes
        if is_of(bake, life)
        for step in bake.plan.fed
        if done_at(bake, step) is None
    ]
    return min(starts, default=None)
