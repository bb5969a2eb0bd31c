"""The culture sheet of one that is grown: for someone who was given a piece of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import numpy as np

from pointage.culture.mature import feed, mature
from pointage.culture.vigour import to_peak_h
from pointage.desk.now.cultures.culture import ensemble
from pointage.desk.now.present import Present
from pointage.desk.sheets.parts.frame import framed
from pointage.desk.wording.amounts import length, mass, percent
from pointage.desk.wording.lists import all_of
from pointage.documents.blocks import (
    Block,
    PrintedLines,
    PrintedNotes,
    PrintedStep,
    PrintedSteps,
    PrintedTable,
    Sheet,
)
from pointage.formula.ingredients import ingredient
from pointage.kitchen.kitchen import CultureAtHand
from pointage.language import say, within, written
from pointage.mixture.course import band
from pointage.mixture.hold import hold
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits
from pointage.quantities import print_number
from pointage.shown import of_degrees, shown, warmth

ROOMS = {"C": (16, 18, 20, 22, 24, 26, 28), "F": (60, 64, 68, 72, 76, 80, 84)}
"""Of a reader's kitchen, in their degrees."""
SHARES = (Fraction(1), Fraction(1, 2), Fraction(1, 5))
"""Seed over flour: one part of seed to one, two and five of flour."""
LOOKED_H = 72.0
EVERY_MIN = 30
GIVEN_G = 20
"""Of a piece that is given away; its first feed has twice its mass of flour, as any waking has."""
ANY_DAY = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Pace:
    """From a feed to ripe and until it is no longer: medians in hours; None beyond LOOKED_H."""

    ripe_from: float | None
    ripe_until: float | None


def travelling_sheet(name: str, present: Present, now: datetime, address: str = "") -> Sheet:
    """How to wake it, what it eats, its pace by the room, its first week. Raises InputError."""
    culture = present.kitchen.culture(name)
    traits = ensemble(present.learning.beliefs(culture.name).found)
    pace = length(timedelta(hours=round(2 * float(np.median(to_peak_h(traits)))) / 2))
    facts = [
        (say("Flour"), _flours(culture)),
        (say("Hydration"), percent(culture.hydration)),
        (say("Pace"), say("{hours} to its height at {warmth}", hours=pace, warmth=warmth(25))),
    ]
    lead = say("For whoever was given a piece of it.")
    blocks = tuple(_blocks(culture, traits, present))
    return framed(culture.name, lead, blocks, present, now, facts=facts, address=address)


def _flours(culture: CultureAtHand) -> str:
    labels = []
    for kind, share in culture.flours.items():
        label = say(ingredient(kind).label)
        if len(culture.flours) > 1:
            label = say("{share} {flour}", share=percent(share), flour=within(label))
        labels.append(label)
    return all_of(labels)


def paces(culture: CultureAtHand, traits: Traits, present: Present) -> list[list[Pace]]:
    """A row a room of ROOMS, a column a share of SHARES, by what is believed of the culture."""
    record = present.kitchen.record(culture.flours)
    prime = mature(culture.flours, culture.hydration, traits, record)
    fresh = {kind: 100 * share for kind, share in culture.flours.items()}
    found = []
    for degrees in ROOMS[shown().degrees]:
        celsius = of_degrees(degrees)
        row = []
        for share in SHARES:
            fed = feed(
                prime, 100 * float(share), fresh, 100 * culture.hydration, celsius, record=record
            )
            course = hold(
                fed, Constant(celsius), ANY_DAY, LOOKED_H, traits, every_min=EVERY_MIN
            )  # fmt: skip
            row.append(Pace(*(_median(band(each).p50) for each in course.ripe())))
        found.append(row)
    return found


def _median(hours: float) -> float | None:
    return None if np.isnan(hours) else hours


def _blocks(culture: CultureAtHand, traits: Traits, present: Present) -> Iterator[Block]:
    flour_g = 2 * Fraction(GIVEN_G)
    water_g = flour_g * Fraction(culture.hydration).limit_denominator(100)
    yield PrintedTable(
        say("The first feed, of a piece of {mass}", mass=mass(GIVEN_G)),
        (say("pour"), say("add, g"), say("display, g")),
        (
            (say("empty jar, set to zero"), "", "0"),
            (culture.name, str(GIVEN_G), str(GIVEN_G)),
            (say("Water"), _g(water_g), _g(GIVEN_G + water_g)),
            (_flours(culture), _g(flour_g), _g(GIVEN_G + water_g + flour_g)),
        ),
        "lrr",
        strong=(2,),
        wide=0,
        tick=True,
        under=say("Of more or less, the same in proportion."),
    )
    yield _pace_table(paces(culture, traits, present))
    yield PrintedSteps(say("The first week"), tuple(_week()), say("done at"))
    yield PrintedNotes("", tuple(_cautions()), marked=True)
    yield PrintedLines(say("Rise, smell, hours"), 5)


def _pace_table(found: Sequence[Sequence[Pace]]) -> PrintedTable:
    heads = (
        say("Your room"),
        *(say("1 : {flour} of flour", flour=_g(1 / share)) for share in SHARES),
    )
    rows = tuple(
        (warmth(of_degrees(degrees)), *map(_pace, row))
        for degrees, row in zip(ROOMS[shown().degrees], found, strict=True)
    )
    return PrintedTable(
        say("From a feed until it is ripe, and how long it stays so"),
        heads,
        rows,
        "lrrr",
        under=say(
            "Hours after the feed, by parts of culture to flour, the middle of the forecast; "
            "another flour moves them. Go by its height: it is ripe when it has nearly stopped "
            "rising."
        ),
        even=(1, 2, 3),
    )


def _pace(pace: Pace) -> str:
    if pace.ripe_from is None:
        return say("over {hours} h", hours=f"{LOOKED_H:g}")
    low = f"{pace.ripe_from:.0f}"
    if pace.ripe_until is None:
        return say("from {low} h on", low=low)
    return say("{low} to {high} h", low=low, high=f"{pace.ripe_until:.0f}")


def _week() -> Iterator[PrintedStep]:
    wake = say("Feed it as above, cover it loosely, let it stand in the room.")
    yield PrintedStep(say("Day 1"), say("Wake it"), wake)
    twice = say("Once it is ripe, keep one part and feed it two of flour; throw the rest away.")
    yield PrintedStep(say("Day 2"), say("Feed it again"), twice)
    twice = say("It should rise as the table says. If it is much slower, keep feeding it so.")
    yield PrintedStep(say("Day 3"), say("Feed it again"), twice)
    once = say("One part to five of flour once a day, or as the table has it.")
    yield PrintedStep(say("Days 4 to 6"), say("Let it find its pace"), once)
    bake = say("Bake with it ripe. What is left: feed it, let it begin to rise, and chill it.")
    yield PrintedStep(say("Day 7"), say("Bake, or put it in the cold"), bake)


def _cautions() -> Iterator[str]:
    from pointage.desk.cultures.raising import CAUTIONS

    yield from map(say, CAUTIONS)


def _g(grams: Fraction | int) -> str:
    return written(print_number(float(grams), 1))
