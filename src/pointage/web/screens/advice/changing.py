"""Changing a culture over, in words: the feeds, and what to expect of each."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pointage.culture.change import ChangeFeed
from pointage.desk.cultures.care import RestAdvice
from pointage.kitchen.needs import AIMED_WARM_H
from pointage.language import mark, say, say_many, written
from pointage.quantities import print_number
from pointage.web.screens.advice.view import Said
from pointage.web.screens.culture.page import Table
from pointage.web.screens.cultures.view import flour_words
from pointage.web.words.words import lower_first, percent

CHANGE = Said(
    mark("Change {name} over"),
    mark(
        "To another flour, more or less water, or another place: the feeds that do it, and what to "
        "expect of each."
    ),
    mark("Calculate"),
)


def changing(feeds: Sequence[ChangeFeed], expected: Sequence[tuple[float, float]]) -> Table:
    """expected: after each feed how far it rises, and in how many hours."""
    kinds = list(feeds[0].flours_g)
    return Table(
        say("Feed by feed"),
        (
            "",
            say("keep"),
            *(flour_words(kind) for kind in kinds),
            say("water"),
            say("rises to"),
            say("at its height after"),
            say("old left"),
        ),
        tuple(
            (
                f"{each.number}",
                _g(each.keep_g),
                *(_g(each.flours_g[kind]) for kind in kinds),
                _g(each.water_g),
                written(print_number(rise, 1)),
                say("{hours:.0f} h", hours=hours),
                percent(each.old, 1),
            )
            for each, (rise, hours) in zip(feeds, expected, strict=True)
        ),
    )


def moving_notes(rest: RestAdvice, place: str) -> tuple[str, ...]:
    """What follows the feeds of one that goes into the cold."""
    return (
        say(
            "Then {hours} h where it was fed, and into the {place}: there one feed wakes it surely "
            "for {days:.0f} days. The first time it comes out it is slower; feed it twice before a "
            "bake (common practice, no source).",
            hours=print_number(AIMED_WARM_H),
            place=lower_first(place),
            days=rest.surely_d,
        ),
    )


def changing_notes(feeds: Sequence[ChangeFeed]) -> tuple[str, ...]:
    last = feeds[-1]
    notes = [
        say_many(
            "After {n} feed {old} of the old culture is left. Feed it when it is ripe, not by the "
            "clock: after the first it rises later and less, for the new is strange to it. Keep "
            "some of the old one until it rises well.",
            "After {n} feeds {old} of the old culture is left. Feed it when it is ripe, not by the "
            "clock: after the first it rises later and less, for the new is strange to it. Keep "
            "some of the old one until it rises well.",
            len(feeds),
            old=percent(last.old, 1),
        )
    ]
    if not last.reached:
        notes.append(say("It is still wetter than wanted: give one more dry feed, or keep less."))
    return tuple(notes)


def _g(grams: Fraction) -> str:
    return print_number(float(grams), 0)
