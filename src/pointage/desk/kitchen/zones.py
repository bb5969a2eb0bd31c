"""The zone of the clock that people mean: "Boston", "Eastern", "Ireland", "Europe/Dublin"."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from functools import cache
from importlib.resources import files
from unicodedata import combining, normalize
from zoneinfo import ZoneInfo

from pointage.errors import InputError
from pointage.language import say
from pointage.quantities import parse_zone

# Large towns that are no zone's own name, by the zone their clocks go by. From memory.
TOWNS = {
    "America/New_York": (
        "Atlanta", "Baltimore", "Boston", "Charlotte", "Cleveland", "Miami", "Philadelphia",
        "Pittsburgh", "Portland Maine", "Washington",
    ),
    "America/Chicago": (
        "Austin", "Dallas", "Houston", "Kansas City", "Madison", "Memphis", "Milwaukee",
        "Minneapolis", "Nashville", "New Orleans", "St Louis",
    ),
    "America/Denver": ("Albuquerque", "Salt Lake City", "Santa Fe"),
    "America/Los_Angeles": (
        "Las Vegas", "Portland", "Sacramento", "San Diego", "San Francisco", "Seattle",
    ),
    "America/Toronto": ("Montreal", "Ottawa", "Quebec"),
    "Australia/Sydney": ("Canberra",),
    "Europe/Berlin": ("Cologne", "Frankfurt", "Hamburg", "Munich"),
    "Europe/Dublin": ("Cork", "Galway", "Limerick"),
    "Europe/London": (
        "Birmingham", "Bristol", "Cardiff", "Edinburgh", "Glasgow", "Leeds", "Liverpool",
        "Manchester",
    ),
    "Europe/Madrid": ("Barcelona", "Seville", "Valencia"),
    "Europe/Paris": ("Lyon", "Marseille", "Nantes", "Toulouse"),
    "Europe/Rome": ("Bologna", "Florence", "Milan", "Naples", "Turin", "Venice"),
}  # fmt: skip
# Names of clocks as they are said, after the zone that most who say it mean. From memory.
CLOCKS = {
    "eastern": "America/New_York", "central": "America/Chicago", "mountain": "America/Denver",
    "pacific": "America/Los_Angeles", "atlantic": "America/Halifax", "alaska": "America/Anchorage",
    "hawaii": "Pacific/Honolulu", "arizona": "America/Phoenix", "gmt": "Europe/London",
    "et": "America/New_York", "est": "America/New_York", "edt": "America/New_York",
    "ct": "America/Chicago", "cst": "America/Chicago", "cdt": "America/Chicago",
    "mt": "America/Denver", "mst": "America/Denver", "mdt": "America/Denver",
    "pt": "America/Los_Angeles", "pst": "America/Los_Angeles", "pdt": "America/Los_Angeles",
    "bst": "Europe/London", "cet": "Europe/Berlin", "cest": "Europe/Berlin",
}  # fmt: skip
ENDINGS = (" standard time", " daylight time", " summer time", " time", " zone")


def zone_called(text: str, field: str) -> ZoneInfo:
    """The zone that a person means by a town, a country of one clock, or the clock's own name.

    Raises InputError for what is none, and for a country that has several, which are named.
    """
    if "/" in text:
        return parse_zone(text.strip(), field)
    wanted = _plain(text)
    for ending in ENDINGS:
        wanted = wanted.removesuffix(ending)
    found = CLOCKS.get(wanted) or _towns().get(wanted) or _towns().get(wanted.partition(",")[0])
    if found:
        return ZoneInfo(found)
    zones = _countries().get(wanted, ())
    if zones and len({_offsets(each) for each in zones}) == 1:
        return ZoneInfo(zones[0])
    if zones:
        several = ", ".join(each.rpartition("/")[2].replace("_", " ") for each in zones[:6])
        raise InputError(field, repr(text), say("one of its towns, such as {towns}", towns=several))
    raise InputError(field, repr(text), say("a large town nearby, or a zone such as Europe/Dublin"))


def zone_of_country(country: str) -> str:
    """The first zone of a country by its code (ISO 3166), or nothing."""
    return next((zone for code, zone in _table() if code == country), "")


def _offsets(zone: str) -> tuple[timedelta | None, ...]:
    """What its clocks are ahead by, in the middle of winter and of summer."""
    return tuple(datetime(2026, month, 15, tzinfo=ZoneInfo(zone)).utcoffset() for month in (1, 7))


def _plain(text: str) -> str:
    letters = normalize("NFD", text.strip().casefold())
    return "".join(each for each in letters if not combining(each)).replace(".", "")


@cache
def _towns() -> Mapping[str, str]:
    """Towns by which a zone is named, and those beside them."""
    named = {_plain(zone.rpartition("/")[2].replace("_", " ")): zone for _, zone in _table()}
    return named | {_plain(town): zone for zone, towns in TOWNS.items() for town in towns}


@cache
def _countries() -> Mapping[str, tuple[str, ...]]:
    """The zones of each country, by its English name as the tz database has it."""
    text = files("tzdata").joinpath("zoneinfo", "iso3166.tab").read_text("utf-8")
    rows = (line.split("\t") for line in text.splitlines() if line and line[0] != "#")
    return {_plain(name): tuple(zone for of, zone in _table() if of == code) for code, name in rows}


@cache
def _table() -> tuple[tuple[str, str], ...]:
    return tuple(_rows())


def _rows() -> Iterator[tuple[str, str]]:
    text = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text("utf-8")
    for line in text.splitlines():
        if line and line[0] != "#":
            code, _, zone, *_ = line.split("\t")
            yield code, zone
