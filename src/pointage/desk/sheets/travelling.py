"""The sheet of a grown culture: for someone who was given a piece of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from fractions import Fraction

import numpy as np

from pointage.culture.upkeep import WeighedFeed
from pointage.desk.cultures.given import (
    ON_THE_WAY_D,
    WAKING_PARTS,
    GivenCulture,
    GivenRoom,
    given,
)
from pointage.desk.now.cultures.culture import ensemble
from pointage.desk.now.cultures.young import is_young
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
from pointage.errors import Complaint, InputError
from pointage.formula.formula import Rights
from pointage.formula.ingredients import ingredient
from pointage.kitchen.kitchen import CultureAtHand
from pointage.language import say, within, written
from pointage.quantities import print_number
from pointage.shown import of_degrees, shown, warmth

ROOMS = {"C": (16, 19, 22, 25, 28), "F": (60, 66, 72, 77, 82)}
"""Of a reader's kitchen, in their degrees."""
GIVEN_G = 20
"""Of a piece that is given away."""
REST_D = 7.0
"""In the cold, of the table's second column: a piece that went by post or waited."""


def giveable(name: str, present: Present, now: datetime) -> CultureAtHand:
    """A grown culture at hand. Raises InputError for a young one, which nobody can bake with."""
    culture = present.kitchen.culture(name)
    life = next((each for each in present.lives if culture.name in each.names), None)
    if life is not None and is_young(life, now):
        what = Complaint(say("{name} is not ready yet", name=culture.name))
        raise InputError("culture", what, say("a culture that may raise bread"))
    return culture


def travelling_sheet(
    name: str,
    present: Present,
    now: datetime,
    address: str = "",
    *,
    room_c: float | None = None,
    rights: Rights | None = None,
) -> Sheet:
    """How to wake it, what it eats, its pace by the room, its first week. room_c: of whom it is
    given to, where that is known. Raises InputError."""
    culture = giveable(name, present, now)
    rooms = [of_degrees(each) for each in ROOMS[shown().degrees]] if room_c is None else [room_c]
    found = _given(culture, present, tuple(rooms))
    blocks = tuple(_blocks(found, known=room_c is not None))
    lead = say("For whoever was given a piece of it.")
    return framed(
        culture.name, lead, blocks, present, now,
        facts=culture_facts(found), address=address, rights=rights,
    )  # fmt: skip


def _given(culture: CultureAtHand, present: Present, rooms: tuple[float, ...]) -> GivenCulture:
    """What is known of it in these rooms, kept for the sheet's picture and its file: it takes the
    engine a second."""
    believed = present.learning.beliefs(culture.name)
    return present.jobs.at_once(
        (f"given to rooms of {rooms}", culture.name),
        (culture, present.flours, believed.stamp),
        lambda _: given(
            culture, present.kitchen, ensemble(believed.found), rooms, (ON_THE_WAY_D[0], REST_D)
        ),
    )


def culture_facts(found: GivenCulture) -> list[tuple[str, str]]:
    """What it is made of, its pace, and how long it keeps in the cold."""
    culture = found.culture
    pace = length(timedelta(hours=round(2 * found.to_peak_h) / 2))
    facts = [
        (say("Flour"), flours_words(culture)),
        (say("Hydration"), percent(culture.hydration)),
        (say("Pace"), say("{hours} to its height at {warmth}", hours=pace, warmth=warmth(25))),
    ]
    if (days := _surely_d(found)) >= 1:
        facts.append((say("In the fridge"), say("{days} days and more", days=days)))
    return facts


def flours_words(culture: CultureAtHand) -> str:
    """What it is fed: "Rye, wholemeal", "80 % white wheat and 20 % rye"."""
    labels = []
    for kind, share in culture.flours.items():
        label = say(ingredient(kind).label)
        if len(culture.flours) > 1:
            label = say("{share} {flour}", share=percent(share), flour=within(label))
        labels.append(label)
    return all_of(labels)


def _surely_d(found: GivenCulture) -> int:
    """Whole days in a fridge that nine of ten such cultures bear."""
    surely = found.rest.days.p10
    return int(ON_THE_WAY_D[-1] if np.isnan(surely) else surely)


def _blocks(found: GivenCulture, *, known: bool) -> Iterator[Block]:
    culture = found.culture
    flour_g = WAKING_PARTS * Fraction(GIVEN_G)
    water_g = flour_g * Fraction(culture.hydration).limit_denominator(100)
    yield PrintedTable(
        say("The first feed, of a piece of {mass}", mass=mass(GIVEN_G)),
        (say("pour"), say("add, g"), say("display, g")),
        (
            (say("empty jar, set to zero"), "", "0"),
            (culture.name, str(GIVEN_G), str(GIVEN_G)),
            (say("Water"), _g(water_g), _g(GIVEN_G + water_g)),
            (flours_words(culture), _g(flour_g), _g(GIVEN_G + water_g + flour_g)),
        ),
        "lrr",
        strong=(2,),
        wide=0,
        tick=True,
        under=say("Of more or less, the same in proportion; flour and water as warm as the room."),
    )
    yield room_table(found)
    steps = _in_room(found.rooms[0]) if known else anywhere()
    title = say("The first week")
    if known:
        title = say("The first week, at {warmth}", warmth=warmth(found.rooms[0].celsius))
    yield PrintedSteps(title, (*steps, last_step(found)), say("done at"))
    yield PrintedNotes("", tuple(culture_cautions()), marked=True)
    yield PrintedLines(say("Rise, smell, hours"), 3)


def room_table(found: GivenCulture) -> PrintedTable:
    """A row a room: hours to its height, feeds that wake it, and what keeps it there."""
    rows = tuple((warmth(room.celsius), *_room_row(room)) for room in found.rooms)
    heads = (
        say("Your room"),
        say("first at its height"),
        say("from a week's cold"),
        say("then culture : flour"),
        say("and it is ripe"),
    )
    return PrintedTable(
        say("Its pace"), heads, rows, "lllll", wide=3,
        under=say(
            "Its first height comes within these hours eight times in ten; another flour moves "
            "them. Go by its height: it is ripe when it has nearly stopped rising."
        ),
    )  # fmt: skip


def _room_row(room: GivenRoom) -> tuple[str, str, str, str]:
    peak, feeds = room.peak_h[ON_THE_WAY_D[0]], room.feeds[REST_D]
    first = say("{low} to {high} h", low=f"{peak.p10:.0f}", high=f"{peak.p90:.0f}")
    woken = say_feeds(feeds, room.waking_h)
    if room.kept is None:
        return first, woken, say("find it a milder place"), "–"
    return first, woken, kept_words(room), ripe_words(room)


def say_feeds(feeds: int, every_h: float) -> str:
    """ "1 feed", "2 feeds, 12 h apart"."""
    if feeds == 1:
        return say("1 feed")
    return say("{feeds} feeds, {hours} h apart", feeds=feeds, hours=f"{every_h:g}")


def kept_words(room: GivenRoom) -> str:
    """ "1 : 5 once a day", culture to flour."""
    assert room.kept is not None, "a room in which feeds keep it"
    parts = room.kept.parts
    match room.kept.rhythm.every_h:
        case 12.0:
            return say("1 : {parts} twice a day", parts=parts)
        case 24.0:
            return say("1 : {parts} once a day", parts=parts)
    return say("1 : {parts} every other day", parts=parts)


def ripe_words(room: GivenRoom) -> str:
    """ "after 6 to 12 h"."""
    assert room.kept is not None, "a room in which feeds keep it"
    low, high = room.kept.ripe_h
    if high is None:
        return say("from {low} h on", low=f"{low:.0f}")
    return say("after {low} to {high} h", low=f"{low:.0f}", high=f"{high:.0f}")


def _in_room(room: GivenRoom) -> Iterator[PrintedStep]:
    """Day by day, where the room is known; fed as a piece that comes fresh."""
    for hours, number, feed in _by_day(room):
        when = say("Day {first}", first=number)
        if hours:
            when = say("Day {first}, {hours} h later", first=number, hours=hours)
        if feed is None:
            yield PrintedStep(
                when,
                say("Feed it"),
                say(
                    "Feed it as above; cover it loosely. What is not kept at a feed is thrown away."
                ),
            )
        else:
            text = say(
                "Keep {seed}; add {water} of water, then {flour} of flour.",
                seed=mass(feed.seed_g), water=mass(feed.water_g), flour=mass(feed.flour_g),
            )  # fmt: skip
            yield PrintedStep(when, say("Feed it"), text)


def _by_day(room: GivenRoom) -> Iterator[tuple[int, int, WeighedFeed | None]]:
    """Hours into the day, its number, and the feed; None for one that wakes it."""
    for each in room.week(ON_THE_WAY_D[0]):
        day, hours = divmod(round(each.hour), 24)
        if day < 6:
            waking = each.wakes or room.kept is None
            yield hours, day + 1, None if waking or room.kept is None else room.kept.feed


def anywhere() -> Iterator[PrintedStep]:
    """The days before the last, in a room that is not known."""
    wake = say("Feed it as above, cover it loosely, let it stand in the room.")
    yield PrintedStep(say("Day 1"), say("Feed it"), wake)
    again = say(
        "If it did not rise fully: keep one part, feed it two of flour, once or twice more."
    )
    yield PrintedStep(say("Day 2"), say("Feed it again"), again)
    keep = say("As the table has it for your room; throw away what is not kept.")
    yield PrintedStep(say("Days 3 to 6"), say("Let it find its pace"), keep)


def last_step(found: GivenCulture) -> PrintedStep:
    """The seventh day."""
    text = say("Bake with it ripe. Feed what is left, and chill it at once.")
    if (days := _surely_d(found)) >= 1:
        text = say(
            "Bake with it ripe. Feed what is left and chill it at once: it keeps {days} days, and "
            "is then refreshed as on day 1.",
            days=days,
        )
    return PrintedStep(say("Day 7"), say("Bake, or put it in the cold"), text)


def keeping(found: GivenCulture) -> tuple[str, ...]:
    """How it is kept from then on."""
    flours = flours_words(found.culture)
    kept = [
        say("Fed only {flours}, it stays what it is; another flour changes it bit by bit.",
            flours=within(flours)),
        say("Kept in the warm: by the table above, for your room."),
    ]  # fmt: skip
    if (days := _surely_d(found)) >= 1:
        kept.append(
            say("Kept in the cold: fed and chilled at once, it keeps {days} days.", days=days)
        )
    kept.append(
        say("Keep a spare: spread some thinly on paper, dry it in the room, and store it dry.")
    )
    return tuple(kept)


def culture_cautions() -> Sequence[str]:
    """The usual ones."""
    from pointage.desk.cultures.raising import CAUTIONS

    return tuple(map(say, CAUTIONS))


def _g(grams: Fraction | int) -> str:
    return written(print_number(float(grams), 1))
