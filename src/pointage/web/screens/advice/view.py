"""Advice on a culture in words and small tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isnan

from pointage.culture.change import ChangeFeed
from pointage.culture.rest import LONGEST_D
from pointage.culture.trouble import Cause
from pointage.culture.upkeep import Upkeep
from pointage.culture.weeks import Chore, ChoreKind
from pointage.desk.cultures.care import RestAdvice, WayToKeep
from pointage.desk.wording import odds_words
from pointage.language import mark, say, say_many, written
from pointage.mixture.inverse import OutOfReach
from pointage.quantities import print_number
from pointage.web.screens.culture.page import Table
from pointage.web.screens.cultures.view import flour_words
from pointage.web.words.clock import Clock
from pointage.web.words.words import lower_first, percent, warmth

TIGHT = mark(
    "A lid shut tight on a live culture can burst a glass jar: close it so that gas gets out."
)


@dataclass(frozen=True, slots=True)
class Said:
    """What stands above a question: its title (with {name}), a sentence, and the button.

    In English, and translated where they are shown.
    """

    title: str
    lead: str
    button: str


KEEP = Said(
    mark("Keep {name} going"),
    mark(
        "How much seed makes it ripe when its next feed is due, and the least that is "
        "enough for the builds."
    ),
    mark("Calculate"),
)
REST = Said(
    mark("When to chill {name}"),
    mark(
        "How long it keeps in the fridge after some hours in the warm, and the feeds that wake it."
    ),
    "",
)
WEEKS = Said(
    mark("Bake days ahead for {name}"),
    mark(
        "Give the days. The plan shows when to keep it warm, when to chill it and when "
        "to feed it, with as few jobs as possible."
    ),
    mark("Plan them"),
)
CHANGE = Said(
    mark("Another flour for {name}"),
    mark("The feeds that change it over, and how much of the old flour is left after each."),
    mark("Calculate"),
)
TROUBLE = Said(
    mark("What is wrong with {name}?"),
    mark("Answer what you can. The likeliest causes come first, each with a feed that helps."),
    mark("Find the cause"),
)


def keeping(choices: Sequence[WayToKeep]) -> Table:
    rows = []
    for each in choices:
        place = (
            say("{place}, twice a day", place=each.place)
            if each.every_h == 12
            else say("{place}, daily", place=each.place)
        )
        if isinstance(each.found, Upkeep):
            found = each.found
            flour = sum(found.flours_g.values(), Fraction())
            rows.append((
                place,
                _g(found.seed_g),
                f"{_g(flour)} + {_g(found.water_g)}",
                _g(found.flour_a_week_g),
                odds_words(found.odds),
            ))  # fmt: skip
        else:
            rows.append((place, "–", "–", "–", "–"))
    return Table(
        say("Each feed, in grams"),
        ("", say("seed"), say("flour + water"), say("flour a week"), say("ripe on time")),
        tuple(rows),
    )  # fmt: skip


def keeping_notes(choices: Sequence[WayToKeep]) -> tuple[str, ...]:
    """Why a rhythm cannot be, a sentence each."""
    return tuple(
        say(
            "{place}, every {hours:.0f} h: no seed works; {reason}.",
            place=each.place,
            hours=each.every_h,
            reason=each.found.reason,
        )
        for each in choices
        if isinstance(each.found, OutOfReach)
    )


def resting(advice: RestAdvice) -> tuple[Table, ...]:
    rests = Table(
        say("Chilled after a feed"),
        (say("hours warm"), say("risen to"), say("safe for"), say("most likely")),
        tuple(
            (
                say("{hours} h", hours=print_number(each.warm_h)),
                written(print_number(each.rise, 2)),
                _days(each.days.p10),
                _days(each.days.p50),
            )
            for each in advice.rests
        ),
    )
    wakes = Table(
        say("Waking it, every twelve hours"),
        (say("days in the fridge"), say("feeds")),
        tuple((print_number(days, 0), str(feeds)) for days, feeds in advice.waking.items()),
    )
    return rests, wakes


def resting_notes(advice: RestAdvice) -> tuple[str, ...]:
    best = advice.best
    warm_place, cold_place = lower_first(advice.warm_place), lower_first(advice.cold_place)
    hours = print_number(best.warm_h)
    warm = (
        say("after a feed and {hours} h in the {warm_place}", hours=hours, warm_place=warm_place)
        if best.warm_h
        else say("at once after a feed")
    )
    return (
        say(
            "It keeps longest when it goes into the {cold_place} {warm}: nine times in ten "
            "{nearly_sure}, one time in two {likely}.",
            cold_place=cold_place,
            warm=warm,
            nearly_sure=_days(best.days.p10),
            likely=_days(best.days.p50),
        ),
        say(
            "Feed it again by day {day:.0f}. To wake it, feed one part of it with two of flour.",
            day=advice.remind_after_d,
        ),
        say(
            "No paper we found measured how long a culture lasts in the cold: the range is "
            "wide. Your own records narrow it."
        ),
    )


def chores(found: Sequence[Chore], clock: Clock) -> Table:
    return Table(
        say("What to do"),
        (say("when"), say("do"), say("keep"), say("flour"), say("water")),
        tuple(
            (
                f"{clock.day(clock.local(each.at).date())}, {clock.time(each.at)}",
                say(_CHORES[each.kind]),
                *(_g(grams) if each.total_g else "" for grams in (each.seed_g, each.flour_g)),
                _g(each.water_g) if each.total_g else "",
            )
            for each in found
        ),
    )


def chores_notes(found: Sequence[Chore]) -> tuple[str, ...]:
    flour = sum((each.flour_g for each in found), Fraction())
    hands = sum(each.kind is not ChoreKind.BUILD for each in found)
    jobs = say_many("{n} job", "{n} jobs", hands)
    return (say("{jobs} besides the builds, and {flour} g of flour.", jobs=jobs, flour=_g(flour)),)


_CHORES = {
    ChoreKind.FEED: mark("feed it"),
    ChoreKind.CHILL: mark("into the fridge"),
    ChoreKind.WAKE: mark("wake it"),
    ChoreKind.REFRESH: mark("feed it, then back to the fridge"),
    ChoreKind.BUILD: mark("build from it"),
}


def changing(feeds: Sequence[ChangeFeed]) -> Table:
    kinds = list(feeds[0].flours_g)
    return Table(
        say("Feed by feed"),
        (
            "",
            say("keep"),
            *(flour_words(kind) for kind in kinds),
            say("water"),
            say("old left"),
            say("water of flour"),
        ),
        tuple(
            (
                f"{each.number}",
                _g(each.keep_g),
                *(_g(each.flours_g[kind]) for kind in kinds),
                _g(each.water_g),
                percent(each.old, 1),
                percent(each.made.hydration),
            )
            for each in feeds
        ),
    )


def changing_notes(feeds: Sequence[ChangeFeed]) -> tuple[str, ...]:
    last = feeds[-1]
    notes = [
        say_many(
            "After {n} feed {old} of the old culture is left. Feed it when it is ripe, not "
            "by the clock, and keep some of the old culture until the new one rises well.",
            "After {n} feeds {old} of the old culture is left. Feed it when it is ripe, not "
            "by the clock, and keep some of the old culture until the new one rises well.",
            len(feeds),
            old=percent(last.old, 1),
        )
    ]
    if not last.reached:
        notes.append(say("It is still wetter than wanted: give one more dry feed, or keep less."))
    return tuple(notes)


def troubles(found: Sequence[Cause]) -> tuple[Table, ...]:
    rows = tuple((say(cause.title), percent(cause.odds)) for cause in found)
    return (Table(say("Likely causes"), ("", say("odds")), rows),)


def trouble_notes(found: Sequence[Cause]) -> tuple[str, ...]:
    notes = []
    for cause in found[:2]:
        sentences = [say("{cause}: {why}", cause=say(cause.title), why=say(cause.why))]
        if cause.remedy is not None:
            it = cause.remedy
            sentences.append(
                say_many(
                    "Feed it once: {seed} g kept, {flour} g flour, {water} g water, at {warmth}.",
                    "Feed it {n} times: {seed} g kept, {flour} g flour, {water} g water, "
                    "at {warmth}.",
                    it.feeds,
                    seed=_g(it.seed_g),
                    flour=_g(it.flour_g),
                    water=_g(it.water_g),
                    warmth=warmth(it.celsius),
                )
            )
        notes.append(" ".join((*sentences, say(cause.watch))))
    return tuple(notes)


def trouble_cautions(found: Sequence[Cause]) -> tuple[str, ...]:
    if found and found[0].discard:
        return (
            say("Throw all of it away, do not taste or smell it closely, and wash the tub hot."),
        )
    return (say("Fuzzy spots, or pink or orange anywhere: throw all of it away, always."),)


def _days(days: float) -> str:
    if isnan(days):
        return say("over {days} days", days=LONGEST_D)
    return say("{days:.0f} days", days=days)


def _g(grams: Fraction) -> str:
    return print_number(float(grams), 0)
