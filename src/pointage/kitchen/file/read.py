"""Read a kitchen file (TOML) into a `Kitchen`; docs/kitchen.md describes the file."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from datetime import datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

from pointage.bounds import ALTITUDE_M, HYDRATION
from pointage.errors import InputError, UnitError
from pointage.kitchen.file import shape
from pointage.kitchen.file.heater import read_energy_price
from pointage.kitchen.file.mixer import read_mixed_in, read_mixers
from pointage.kitchen.file.oven import read_ovens
from pointage.kitchen.file.read_place import read_places
from pointage.kitchen.file.read_vessel import read_vessel
from pointage.kitchen.kitchen import (
    CultureAtHand,
    Hours,
    Kitchen,
    Place,
    Scale,
)
from pointage.mixture.flours import flour_record
from pointage.money import parse_currency
from pointage.quantities import (
    parse_clock,
    parse_difference,
    parse_duration,
    parse_instant,
    parse_mass,
    parse_temperature,
    parse_zone,
    split_number,
)
from pointage.toml import nearest, place_of, read_toml

# What a kitchen can be, common practice with no source: outside these a unit was mistaken.


def read_kitchen(text: str, now: datetime, source: str = "kitchen.toml") -> Kitchen:
    """The kitchen described by `text`.

    now: the aware instant from which `fed_days_ago` counts back. source: the file's name, for
    errors. Raises InputError, one line with file and field, for anything that cannot be used.
    """
    table = read_toml(shape.KitchenTable, text, source)
    zone = parse_zone(table.zone, place_of(source, "zone"))
    _refuse_twins("place", (each.name for each in table.place), source)
    places = read_places(table.place, zone, source)
    _refuse_twins("oven", (each.name for each in table.oven), source)
    _refuse_twins("vessel", (each.name for each in table.vessel), source)
    _refuse_twins("scale", (each.name for each in table.scale), source)
    _refuse_twins("culture", (each.name for each in table.culture), source)
    _refuse_twins("mixer", (each.name for each in table.mixer), source)
    mixers = read_mixers(table.mixer, source)
    friction = parse_difference(table.friction, place_of(source, "friction"))
    currency = parse_currency(table.currency, place_of(source, "currency"))
    tap = parse_temperature(table.tap, place_of(source, "tap")).celsius
    if not 0 < tap < 40:
        raise InputError(place_of(source, "tap"), repr(table.tap), "cold tap water, 0 to 40 °C")
    return Kitchen(
        name=table.name,
        zone=zone,
        places=places,
        vessels=tuple(read_vessel(each, source) for each in table.vessel),
        scales=tuple(_scale(each, source) for each in table.scale),
        ovens=read_ovens(table.oven, source),
        hours=_hours(table.hours, zone, source),
        cultures=tuple(_culture(each, places, zone, now, source) for each in table.culture),
        tap_c=tap,
        friction_k=friction.kelvin,
        altitude_m=ALTITUDE_M.read(table.altitude, place_of(source, "altitude")),
        currency=currency,
        mixers=mixers,
        mixed_in=read_mixed_in(table.mixed_in, mixers, source),
        energy_price=read_energy_price(table.energy, currency, source),
    )


def _scale(table: shape.ScaleTable, source: str) -> Scale:
    here = place_of(source, f"scale {table.name!r}")
    step = _some_mass(table.step, place_of(here, "step"))
    capacity = _some_mass(table.capacity, place_of(here, "capacity"))
    if capacity <= step:
        raise InputError(
            place_of(here, "capacity"), repr(table.capacity), "more than one step of its display"
        )
    return Scale(table.name, step, capacity)


def _hours(table: shape.HoursTable, zone: ZoneInfo, source: str) -> Hours:
    away = []
    for number, spell in enumerate(table.away, start=1):
        here = place_of(source, "hours", f"away {number}")
        start = parse_instant(spell.start, zone, place_of(here, "from"))
        until = parse_instant(spell.until, zone, place_of(here, "until"))
        if until <= start:
            raise InputError(place_of(here, "until"), spell.until, f"a time after {spell.start}")
        away.append((start, until))
    return Hours(
        sleep=tuple(_span(each, place_of(source, "hours", "sleep")) for each in table.sleep),
        away=tuple(away),
    )


def _culture(
    table: shape.CultureTable,
    places: Sequence[Place],
    zone: ZoneInfo,
    now: datetime,
    source: str,
) -> CultureAtHand:
    here = place_of(source, f"culture {table.name!r}")
    parts = table.flours.values()
    if not all(math.isfinite(part) and part > 0 for part in parts):
        raise InputError(
            place_of(here, "flours"), repr(table.flours), "parts of flour that are above nothing"
        )
    hydration = HYDRATION.read(table.hydration, place_of(here, "hydration")) / 100
    seed = _percent(table.seed, place_of(here, "seed"))
    if seed <= 0:
        raise InputError(place_of(here, "seed"), repr(table.seed), "a percentage above nothing")
    for kind in table.flours:
        flour_record(kind, field=place_of(here, "flours"))
    known = [place.name for place in places]
    return CultureAtHand(
        name=table.name,
        flours={kind: part / sum(parts) for kind, part in table.flours.items()},
        hydration=hydration,
        mass_g=float(_some_mass(table.mass, place_of(here, "mass"))),
        seed_share=seed,
        fed=_fed(table, zone, now, here),
        warm_place=_known_place(table.stood_in, known, place_of(here, "stood_in")),
        warm_hours=parse_duration(table.stood, place_of(here, "stood")).total_seconds() / 3600,
        place=_known_place(table.place, known, place_of(here, "place")),
    )


def _fed(table: shape.CultureTable, zone: ZoneInfo, now: datetime, here: str) -> datetime:
    if table.fed is not None and table.fed_days_ago is not None:
        raise InputError(
            place_of(here, "fed_days_ago"), repr(table.fed_days_ago), "either it or fed, not both"
        )
    if table.fed_days_ago is not None:
        if not table.fed_days_ago <= 3650:
            raise InputError(
                place_of(here, "fed_days_ago"), repr(table.fed_days_ago), "at most 3650 days"
            )
        return now - timedelta(days=table.fed_days_ago)
    if table.fed is None:
        raise InputError(place_of(here, "fed"), "nothing", "the date and time of its last feed")
    fed = parse_instant(table.fed, zone, place_of(here, "fed"))
    if fed > now:
        raise InputError(place_of(here, "fed"), repr(table.fed), "a time that is past")
    return fed


def _refuse_twins(kind: str, names: Iterable[str], source: str) -> None:
    seen: set[str] = set()
    for name in names:
        if name.casefold() in seen:
            raise InputError(
                place_of(source, f"{kind} {name!r}"),
                f"a name that two {kind}s have",
                "each its own name; names must be unique",
            )
        seen.add(name.casefold())


def _known_place(name: str, known: Sequence[str], field: str) -> str:
    if name not in known:
        raise InputError(field, repr(name), nearest(name, known))
    return name


def _some_mass(text: str, field: str) -> Fraction:
    grams = parse_mass(text, field)
    if grams == 0:
        raise InputError(field, repr(text), "a mass above nothing")
    return grams


def _percent(text: str, field: str) -> float:
    expected = "a percentage such as 100"
    number, unit = split_number(text, field, expected)
    if unit not in ("", "%"):
        raise UnitError(field, repr(text), expected)
    return float(number) / 100


def _span(text: str, field: str) -> tuple[time, time]:
    """Both ends of "22:30-06:00"; a span whose end is the earlier clock time passes midnight."""
    ends = re.split(r"\s*[-–]\s*", text.strip())
    expected = "a span of the clock such as 22:30-06:00"
    if len(ends) != 2:
        raise UnitError(field, repr(text), expected)
    try:
        start, end = (parse_clock(each, field) for each in ends)
    except UnitError:
        raise UnitError(field, repr(text), expected) from None
    if start == end:
        raise InputError(field, repr(text), "a span with two different ends")
    return start, end
