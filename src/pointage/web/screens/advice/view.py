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
from pointage.mixture.inverse import OutOfReach
from pointage.quantities import print_number
from pointage.web.screens.culture.page import Table
from pointage.web.screens.cultures.view import flour_words
from pointage.web.words.clock import Clock
from pointage.web.words.words import (
    count,
    lower_first,
    percent,
    warmth,
)

TIGHT = "A lid shut tight on a live culture can burst a glass jar: close it so that gas gets out."


@dataclass(frozen=True, slots=True)
class Said:
    """What stands above a question: its title (with {name}), a sentence, and the button."""

    title: str
    lead: str
    button: str


KEEP = Said(
    "Keep {name} going",
    "How much seed makes it ripe when its next feed is due, and the least that is enough for the "
    "builds.",
    "Calculate",
)
REST = Said(
    "When to chill {name}",
    "How long it keeps in the fridge after some hours in the warm, and the feeds that wake it.",
    "",
)
WEEKS = Said(
    "Bake days ahead for {name}",
    "Give the days. The plan shows when to keep it warm, when to chill it and when to feed it, "
    "with as few jobs as possible.",
    "Plan them",
)
CHANGE = Said(
    "Another flour for {name}",
    "The feeds that change it over, and how much of the old flour is left after each.",
    "Calculate",
)
TROUBLE = Said(
    "What is wrong with {name}?",
    "Answer what you can. The likeliest causes come first, each with a feed that helps.",
    "Find the cause",
)


def keeping(choices: Sequence[WayToKeep]) -> Table:
    rows = []
    for each in choices:
        often = "twice a day" if each.every_h == 12 else "daily"
        if isinstance(each.found, Upkeep):
            found = each.found
            flour = sum(found.flours_g.values(), Fraction())
            rows.append((
                f"{each.place}, {often}",
                _g(found.seed_g),
                f"{_g(flour)} + {_g(found.water_g)}",
                _g(found.flour_a_week_g),
                odds_words(found.odds),
            ))  # fmt: skip
        else:
            rows.append((f"{each.place}, {often}", "–", "–", "–", "–"))
    return Table(
        "Each feed, in grams", ("", "seed", "flour + water", "flour a week", "ripe on time"),
        tuple(rows),
    )  # fmt: skip


def keeping_notes(choices: Sequence[WayToKeep]) -> tuple[str, ...]:
    """Why a rhythm cannot be, a sentence each."""
    return tuple(
        f"{each.place}, every {each.every_h:.0f} h: no seed works; {each.found.reason}."
        for each in choices
        if isinstance(each.found, OutOfReach)
    )


def resting(advice: RestAdvice) -> tuple[Table, ...]:
    rests = Table(
        "Chilled after a feed",
        ("hours warm", "risen to", "safe for", "most likely"),
        tuple(
            (
                f"{print_number(each.warm_h)} h",
                print_number(each.rise, 2),
                _days(each.days.p10),
                _days(each.days.p50),
            )
            for each in advice.rests
        ),
    )
    wakes = Table(
        "Waking it, every twelve hours",
        ("days in the fridge", "feeds"),
        tuple((print_number(days, 0), str(feeds)) for days, feeds in advice.waking.items()),
    )
    return rests, wakes


def resting_notes(advice: RestAdvice) -> tuple[str, ...]:
    best = advice.best
    warm = (
        "at once after a feed" if not best.warm_h
        else f"after a feed and {print_number(best.warm_h)} h in the "
        f"{lower_first(advice.warm_place)}"
    )  # fmt: skip
    return (
        f"It keeps longest when it goes into the {lower_first(advice.cold_place)} {warm}: "
        f"nine times in ten {_days(best.days.p10)}, one time in two {_days(best.days.p50)}.",
        f"Feed it again by day {advice.remind_after_d:.0f}. To wake it, feed one part of it with "
        "two of flour.",
        "No paper we found measured how long a culture lasts in the cold: the range is wide. Your "
        "own records narrow it.",
    )


def chores(found: Sequence[Chore], clock: Clock) -> Table:
    return Table(
        "What to do",
        ("when", "do", "keep", "flour", "water"),
        tuple(
            (
                f"{clock.day(clock.local(each.at).date())}, {clock.time(each.at)}",
                _CHORES[each.kind],
                *(_g(grams) if each.total_g else "" for grams in (each.seed_g, each.flour_g)),
                _g(each.water_g) if each.total_g else "",
            )
            for each in found
        ),
    )


def chores_notes(found: Sequence[Chore]) -> tuple[str, ...]:
    flour = sum((each.flour_g for each in found), Fraction())
    hands = sum(each.kind is not ChoreKind.BUILD for each in found)
    return (f"{count(hands, 'job')} besides the builds, and {_g(flour)} g of flour.",)


_CHORES = {
    ChoreKind.FEED: "feed it",
    ChoreKind.CHILL: "into the fridge",
    ChoreKind.WAKE: "wake it",
    ChoreKind.REFRESH: "feed it, then back to the fridge",
    ChoreKind.BUILD: "build from it",
}


def changing(feeds: Sequence[ChangeFeed]) -> Table:
    kinds = list(feeds[0].flours_g)
    return Table(
        "Feed by feed",
        ("", "keep", *(flour_words(kind) for kind in kinds), "water", "old left", "water of flour"),
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
        f"After {count(len(feeds), 'feed')} {percent(last.old, 1)} of the old culture is left. "
        "Feed it when it is ripe, not by the clock, and keep some of the old culture until the new "
        "one rises well."
    ]
    if not last.reached:
        notes.append("It is still wetter than wanted: give one more dry feed, or keep less.")
    return tuple(notes)


def troubles(found: Sequence[Cause]) -> tuple[Table, ...]:
    rows = tuple((cause.title, percent(cause.odds)) for cause in found)
    return (Table("Likely causes", ("", "odds"), rows),)


def trouble_notes(found: Sequence[Cause]) -> tuple[str, ...]:
    notes = []
    for cause in found[:2]:
        text = f"{cause.title}: {cause.why}"
        if cause.remedy is not None:
            it = cause.remedy
            times = "once" if it.feeds == 1 else f"{it.feeds} times"
            text += (
                f" Feed it {times}: {_g(it.seed_g)} g kept, {_g(it.flour_g)} g flour, "
                f"{_g(it.water_g)} g water, at {warmth(it.celsius)}."
            )
        notes.append(f"{text} {cause.watch}")
    return tuple(notes)


def trouble_cautions(found: Sequence[Cause]) -> tuple[str, ...]:
    if found and found[0].discard:
        return ("Throw all of it away, do not taste or smell it closely, and wash the tub hot.",)
    return ("Fuzzy spots, or pink or orange anywhere: throw all of it away, always.",)


def _days(days: float) -> str:
    return f"over {LONGEST_D} days" if isnan(days) else f"{days:.0f} days"


def _g(grams: Fraction) -> str:
    return print_number(float(grams), 0)
