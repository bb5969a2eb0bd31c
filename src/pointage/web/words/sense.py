"""In whose sense a flour's name is taken: the kitchen's country, else that of the browser."""

from __future__ import annotations

from pointage.web.door.reader import countries
from pointage.web.visit import Visit

# Where flours and spoons go by the same names: common practice, no source.
LIKE = {
    "us": ("US", "CA", "PR"),
    "gb": ("GB", "IE", "AU", "NZ", "ZA", "IM", "JE", "GG", "MT"),
    "de": ("DE", "AT", "CH", "LI"),
    "fr": ("FR", "BE", "LU", "MC"),
    "it": ("IT", "SM", "VA"),
}
_SENSES = {country: sense for sense, all_of_them in LIKE.items() for country in all_of_them}


def sense_of(visit: Visit) -> str:
    """One of the countries whose names are known; "" where it is another."""
    here = countries().get(visit.kitchen.zone.key, "")
    return _SENSES.get(here) or _SENSES.get(visit.country, "")
