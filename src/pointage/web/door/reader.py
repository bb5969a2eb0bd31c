"""How things are shown to whoever sits at a browser: as it chose, else as the kitchen says, else as
is usual where its language is spoken and the kitchen's clocks go.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from pointage.shown import PLAIN, WORDS, Shown

COOKIE = "shown"
"""What this browser chose: "degrees:F.clock:12"."""

# By country (ISO 3166), after the CLDR's tables of measurement and week data, from memory.
FAHRENHEIT = ("US", "BS", "BZ", "FM", "GU", "KY", "LR", "MH", "PR", "PW", "VI")
HALF_DAYS = (
    *("US", "AE", "AU", "BD", "BS", "BZ", "CA", "CO", "EG", "GU", "HK", "IN", "JO", "KY", "MY"),
    *("NZ", "PH", "PK", "PR", "SA", "SG", "VE", "VI"),
)
HALF_DAY_LANGUAGES = ("", "ar", "en", "es", "hi")
OUNCES = ("US", "GU", "LR", "PR", "VI")
MONTH_FIRST = ("US", "FM", "GU", "MH", "PH", "PR", "PW", "VI")
YEAR_FIRST = ("CN", "HU", "JP", "KR", "LT", "MN", "SE", "TW", "ZA")
SUNDAY_FIRST = (
    *("US", "BR", "BS", "BZ", "CA", "CO", "GU", "HK", "IL", "IN", "JP", "KR", "MX", "PE", "PH"),
    *("PK", "PR", "SA", "SG", "TH", "TW", "VE", "VI", "ZA"),
)
SATURDAY_FIRST = ("AE", "BH", "DJ", "DZ", "EG", "IQ", "JO", "KW", "LY", "OM", "QA", "SD", "SY")
MONEY_FIRST = ("en", "hi", "ja", "ko", "nl", "th", "zh")
"""Languages that write a currency before its number."""
_TAG = re.compile(r"\s*([a-z]{2,3})(?:-[a-z]{4})?(?:-([a-z]{2}))?\b", re.IGNORECASE)


def chosen(cookie: str) -> dict[str, str]:
    """What a browser chose, by field."""
    return choices(dict(each.partition(":")[::2] for each in cookie.split(".")))


def as_cookie(said: Mapping[str, str]) -> str:
    """The same as the text of a cookie."""
    return ".".join(f"{name}:{word}" for name, word in choices(said).items())


def choices(said: Mapping[str, str]) -> dict[str, str]:
    """What is said of each field; what is none of its words is left out."""
    return {name: said[name] for name, words in WORDS.items() if said.get(name) in words}


@cache
def usual(accept_language: str, zone: str) -> Shown:
    """How things are usually shown where this language is spoken; zone: of the kitchen, which says
    the country where the language does not. accept_language: the header (RFC 9110, 12.5.4)."""
    match = _TAG.match(accept_language)
    language = match[1].lower() if match else ""
    country = (match[2] or "").upper() if match else ""
    country = country or (countries().get(zone, "") if language in ("", "en") else "")
    said = {
        "degrees": "F" if country in FAHRENHEIT else "C",
        "clock": "12" if country in HALF_DAYS and language in HALF_DAY_LANGUAGES else "24",
        "ounces": "yes" if country in OUNCES else "no",
        "dates": "month" if country in MONTH_FIRST else "year" if country in YEAR_FIRST else "day",
        "week": "sunday" if country in SUNDAY_FIRST
        else "saturday" if country in SATURDAY_FIRST else "monday",
        "money": "before" if language in MONEY_FIRST else "after",
    }  # fmt: skip
    return PLAIN.with_(said)


def country_of(accept_language: str) -> str:
    """The country that a browser's first language names (ISO 3166), or nothing."""
    match = _TAG.match(accept_language)
    return (match[2] or "").upper() if match else ""


@cache
def countries() -> Mapping[str, str]:
    """The country of each zone of the tz database that lies in one."""
    table = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text("utf-8")
    rows = (line.split("\t") for line in table.splitlines() if line and line[0] != "#")
    return {row[2]: row[0] for row in rows}
