"""The culture sheet of one that is raised: what to do each day, what to see, room to note."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from itertools import groupby
from typing import TYPE_CHECKING

from pointage.culture.raising import RaisedDay
from pointage.desk.cultures.raising import CAUTIONS, TARE_UNKNOWN, RaisingAnswer, Tub, lid
from pointage.desk.now.unrecorded import PlainKitchen
from pointage.desk.sheets.parts.frame import framed
from pointage.desk.sheets.parts.times import day as day_of
from pointage.desk.wording.amounts import mass
from pointage.documents.blocks import (
    Block,
    PrintedLines,
    PrintedMargin,
    PrintedMethod,
    PrintedNotes,
    PrintedTable,
    Sheet,
)
from pointage.formula.ingredients import ingredient
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.vessel import VesselUse
from pointage.language import say, written
from pointage.quantities import print_number
from pointage.shown import warmth, warmth_number

if TYPE_CHECKING:
    from pointage.culture.life import Life
    from pointage.desk.now.present import Present

RAISED_IN = (VesselUse.JAR, VesselUse.TUB)
LEAST_L = 1.0
"""A smaller vessel runs over by the second day with the usual flour (ours)."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A culture on its way: its days from the first planned on. name: "" for a new one."""

    days: Sequence[RaisedDay]
    tub: Tub
    kind: str
    place: str
    name: str = ""
    vessel: str = ""
    dated: bool = False


def of_answer(answer: RaisingAnswer, vessel: str = "") -> Begun:
    """A culture that is yet to begin."""
    kind = next(iter(answer.wish.flours))
    return Begun(answer.days, answer.tub, kind, answer.place, vessel=vessel)


def usual_tub(kitchen: Kitchen) -> tuple[Tub, str]:
    """The kitchen's smallest jar or tub that has room, with its name; else one of two litres."""
    fit = [v for v in kitchen.vessels if v.use in RAISED_IN and v.volume_l >= LEAST_L]
    if not fit:
        return Tub(2.0), ""
    found = min(fit, key=lambda each: each.volume_l)
    return Tub(found.volume_l, Fraction(found.tare_g).limit_denominator(10)), found.name


def last_vessel(life: Life, present: Present) -> tuple[Tub, str]:
    """What a culture was last fed in, with its name; of no tare where that is not known."""
    from pointage.daybook.entry import EntryKind

    fed = [each for each in present.about_culture(life) if each.kind is EntryKind.FED]
    into = next((str(each.body["into"]) for each in reversed(fed) if each.body.get("into")), "")
    for vessel in present.kitchen.vessels:
        if vessel.name == into:
            tare = Fraction(vessel.tare_g).limit_denominator(10)
            return Tub(vessel.volume_l, tare), vessel.name
    return Tub(LEAST_L), ""


def raising_sheet(begun: Begun, present: PlainKitchen, now: datetime, address: str = "") -> Sheet:
    """The days, with readings of the display."""
    title = begun.name or say("A new culture")
    flour = sum((day.flour_g for day in begun.days), Fraction())
    facts = [
        (say("Flour"), say(ingredient(begun.kind).label)),
        (say("Place"), begun.place),
        (say("Flour in all"), mass(flour)),
    ]
    if begun.tub.tare_g is not None:
        vessel = begun.vessel or say("vessel")
        tare = say("{vessel}, {mass} g", vessel=vessel, mass=_g(begun.tub.tare_g))
        facts.insert(2, (say("Tare"), tare))
    lead = say(
        "From flour and water, in one or two weeks, by its signs rather than by the calendar."
    )
    blocks = tuple(_blocks(begun, present))
    return framed(title, lead, blocks, present, now, facts=facts, address=address)


def _blocks(begun: Begun, present: PlainKitchen) -> Iterator[Block]:
    yield _days(begun, present)
    yield _signs(begun.days)
    notes = [
        say(
            "Ready when pH has been below 4.2 and it has risen fully at three feeds in a row, "
            "after at least seven days (our own rule)."
        )
    ]
    if begun.tub.tare_g is None:
        notes.append(say(TARE_UNKNOWN))
    yield PrintedNotes("", tuple(notes))
    yield PrintedNotes("", tuple(map(say, CAUTIONS)), marked=True)
    yield PrintedLines(say("Notes"), 4)


def _days(begun: Begun, present: PlainKitchen) -> PrintedTable:
    zone = present.kitchen.zone
    rows = []
    tare = begun.tub.tare_g or Fraction()
    for day in begun.days:
        name = str(day.number)
        if begun.dated:
            name = say("{number}, {date}", number=day.number, date=day_of(day.at, zone))
        low, _, high = day.rise()
        seen = (
            say("{low} to {high}", low=_one(low), high=_one(high)),
            written(f"{day.ph()[1]:.1f}"),
        )
        if not day.feeds:
            rows.append((name, "–", say("stir"), "–", "–", *seen, None, None, None))
            continue
        wet = tare + day.keep_g + day.water_g
        rows.append((
            name,
            _g(tare + day.keep_g) if day.pour_off_g else "–",
            warmth_number(day.water_c),
            _g(wet),
            _g(wet + day.flour_g),
            *seen,
            None,
            None,
            None,
        ))  # fmt: skip
    heads = (
        say("day"),
        say("discard down to, g"),
        say("water at, {degrees}", degrees=warmth(20.0)[-2:]),
        say("water up to, g"),
        say("flour up to, g"),
        say("rises to"),
        "pH",
        say("fed at"),
        say("rose to"),
        say("pH, smell"),
    )
    return PrintedTable(
        "",
        heads,
        tuple(rows),
        "lrrrrrrlll",
        strong=(1, 3, 4),
        tick=True,
        even=(7, 8, 9),
        under=say("The display's readings, the tare counted; rise and pH by the next feed.")
        if begun.tub.tare_g is not None
        else say("The display's readings from zero; rise and pH by the next feed."),
    )


def _signs(days: Sequence[RaisedDay]) -> PrintedMethod:
    rows = []
    for _, group in groupby(days, key=lambda day: day.phase):
        same = list(group)
        words = same[0].signs()
        first, last = same[0].number, same[-1].number
        when = say("Day {first}", first=first)
        if last > first:
            when = say("Days {first} to {last}", first=first, last=last)
        text = say(
            "Look: {see} Smell: {smell} Stir: {feel} Lid: {lid}.",
            see=words["see"], smell=words["smell"], feel=words["feel"], lid=lid(same[0]),
        )  # fmt: skip
        title = say("{when}: {phase}", when=when, phase=words["title"])
        rows.append(PrintedMargin(title, text, words["unless"]))
    return PrintedMethod(say("What to look for"), tuple(rows), say("If not"))


def _g(grams: Fraction) -> str:
    return written(print_number(float(grams), 1))


def _one(value: float) -> str:
    return written(print_number(value, 1))
