"""A culture on its way: begun in the daybook from flour and water, followed by what was seen."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.culture.life import Life
from pointage.culture.raising import RaisedDay, Raising, Sign, raise_days
from pointage.daybook.bodies import Measured
from pointage.daybook.entry import Entry, EntryKind
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen

DAY = timedelta(days=1)
AHEAD = 10
"""Days looked ahead of today."""
GROWN_AT = 28  # days after which nobody calls it young any more: ours


def is_young(life: Life, now: datetime) -> bool:
    """Whether it was begun from flour and water and is not four weeks old."""
    begun = bool(life.stands) and life.stands[0].fed.seed_g == 0
    return begun and life.state == "living" and now - life.began < GROWN_AT * DAY


def on_its_way(
    life: Life, entries: Iterable[Entry], kitchen: Kitchen, now: datetime
) -> tuple[RaisedDay, ...]:
    """Its days from the first, as far as some days ahead of `now`; what was seen is weighed in.

    Raises InputError for a culture that was not begun from flour and water.
    """
    if not life.stands or life.stands[0].fed.seed_g:
        raise InputError("culture", life.name, "one that was begun from flour and water")
    first = life.stands[0].fed
    where = life.place or kitchen.warmest_place.name
    flours = {kind: grams / first.flour_g for kind, grams in first.flours_g.items()}
    wish = Raising(
        flours=flours,
        hydration=Fraction(first.water_g / first.flour_g).limit_denominator(100),
        daily_flour_g=Fraction(first.flour_g).limit_denominator(100),
        place=kitchen.place(where).surroundings,
        start=first.at,
        room_c=_room_c(kitchen, first.at),
        record=kitchen.record(flours),
    )
    names = {name.casefold() for name in life.names}
    signs = [
        sign
        for entry in entries
        if entry.kind is EntryKind.MEASURED and str(entry.body.get("culture")).casefold() in names
        if (sign := _sign(entry, first.at)) is not None
    ]
    today = max((now - first.at) // DAY + 1, 1)
    return raise_days(wish, min(today + AHEAD, GROWN_AT), signs)


def _sign(entry: Entry, start: datetime) -> Sign | None:
    told = Measured.model_validate(dict(entry.body))
    rises = told.rises()
    if not rises and told.ph is None:
        return None
    number = (entry.happened - start) // DAY + 1
    return Sign(number, max(rises) if rises else None, told.ph) if number >= 1 else None


def _room_c(kitchen: Kitchen, at: datetime) -> float:
    import numpy as np

    rooms = [place for place in kitchen.places if place.kind == "room"] or list(kitchen.places)
    return float(rooms[0].surroundings.temperatures(at, np.linspace(-12.0, 0.0, 13)).mean())
