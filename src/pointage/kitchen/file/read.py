"""Read a kitchen file (TOML) into a `Kitchen`; docs/kitchen.md describes the file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Any, TypeVar

from pointage.errors import MISSING, Complaint, Faults, InputError
from pointage.kitchen.file import shape
from pointage.kitchen.file.mixer import read_mixer
from pointage.kitchen.file.oven import read_oven
from pointage.kitchen.file.read_place import check_kinds, read_place
from pointage.kitchen.file.read_vessel import read_vessel
from pointage.kitchen.kitchen import CultureAtHand, Hours, Kitchen, Scale
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.toml import names_of, place_of, read_toml, row_of

T = TypeVar("T")


def read_kitchen(text: str, now: datetime, source: str = "kitchen.toml") -> Kitchen:
    """The kitchen described by `text`.

    now: the aware instant from which `fed_days_ago` counts back. source: the file's name, for
    errors. Raises InputError, a line with file and field for each value that cannot be used; where
    each can, a line for each two that cannot both be.
    """
    table = read_toml(shape.KitchenTable, text, source, _check_names, check_kinds)
    faults = Faults()

    def every(kind: str, read: Callable[[Any, str], T]) -> tuple[T, ...]:
        tables = getattr(table, kind)
        alone = kind == "oven" and len(tables) == 1
        return tuple(
            faults.take(
                read, each, place_of(source, kind) if alone else row_of(source, kind, i, each.name)
            )
            for i, each in enumerate(tables)
        )

    kitchen = Kitchen(
        name=table.name,
        zone=table.zone,
        places=every("place", lambda each, here: read_place(each, here, table.zone)),
        vessels=every("vessel", read_vessel),
        scales=every("scale", _scale),
        ovens=every("oven", lambda each, _: read_oven(each)),
        hours=faults.take(_hours, table.hours, place_of(source, "hours")),
        cultures=every("culture", lambda each, here: _culture(each, here, now)),
        tap_c=table.tap,
        friction_k=table.friction,
        altitude_m=table.altitude,
        currency=table.currency,
        mixers=every("mixer", read_mixer),
        mixed_in=table.mixed_in or "",
        shown=table.shown.model_dump(exclude_none=True),
        energy_price=None if table.energy is None else table.energy.price,
    )
    faults.check()
    return kitchen


def _scale(table: shape.ScaleTable, here: str) -> Scale:
    if table.capacity <= table.step:
        given = f"{print_number(float(table.capacity))} g"
        expected = say("more than one step of its display")
        raise InputError(place_of(here, "capacity"), given, expected)
    return Scale(table.name, table.step, table.capacity)


def _hours(table: shape.HoursTable, here: str) -> Hours:
    faults = Faults()
    for number, each in enumerate(table.away):
        if each.until <= each.start:
            field = place_of(row_of(here, "away", number), "until")
            expected = say("a time after {start:%Y-%m-%dT%H:%MZ}", start=each.start)
            faults.found.append(InputError(field, f"{each.until:%Y-%m-%dT%H:%MZ}", expected))
    faults.check()
    return Hours(tuple(table.sleep), tuple((each.start, each.until) for each in table.away))


def _culture(table: shape.CultureTable, here: str, now: datetime) -> CultureAtHand:
    parts = table.flours.values()
    return CultureAtHand(
        name=table.name,
        flours={kind: part / sum(parts) for kind, part in table.flours.items()},
        hydration=table.hydration / 100,
        mass_g=float(table.mass),
        seed_share=table.seed,
        fed=_fed(table, now, here),
        warm_place=table.stood_in,
        warm_hours=table.stood,
        place=table.place,
    )


def _fed(table: shape.CultureTable, now: datetime, here: str) -> datetime:
    days, field = table.fed_days_ago, place_of(here, "fed_days_ago")
    if table.fed is not None and days is not None:
        raise InputError(field, repr(days), say("either fed_days_ago or fed, not both"))
    if days is not None:
        if not days <= 3650:
            raise InputError(field, repr(days), say("at most 3650 days"))
        return now - timedelta(days=days)
    field = place_of(here, "fed")
    if table.fed is None:
        raise InputError(field, MISSING, say("the date and time of its last feed"))
    if table.fed > now:
        raise InputError(field, f"{table.fed:%Y-%m-%dT%H:%MZ}", say("a time in the past"))
    return table.fed


_TWO = {
    "place": mark("two places have this name"),
    "oven": mark("two ovens have this name"),
    "vessel": mark("two vessels have this name"),
    "scale": mark("two scales have this name"),
    "culture": mark("two cultures have this name"),
    "mixer": mark("two mixers have this name"),
}


def _check_names(table: Mapping[str, Any], source: str) -> None:
    """Raises InputError for each second place, oven, vessel … of a name."""
    faults = Faults()
    for kind, two in _TWO.items():
        seen: set[str] = set()
        for number, name in enumerate(names_of(table, kind)):
            if name and name.casefold() in seen:
                field, given = row_of(source, kind, number, name), Complaint(say(two))
                faults.found.append(InputError(field, given, say("unique names")))
            seen.add(name.casefold())
    faults.check()
