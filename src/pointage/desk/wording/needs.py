"""What a culture needs next, in a few words."""

from __future__ import annotations

from pointage.kitchen.needs import CultureNeed, NeedKind
from pointage.language import mark, say, within

TITLES = {
    NeedKind.RAISE: mark("{culture}, day {number}"),
    NeedKind.FEED: mark("Feed {culture}"),
    NeedKind.WAKE: mark("Feed {culture} again"),
    NeedKind.CHILL: mark("{culture} into the {place}"),
    NeedKind.REFRESH: mark("Feed {culture} and chill it again"),
    NeedKind.DISCARD: mark("Throw {culture} away"),
    NeedKind.STORE: mark("Put {culture} away"),
    NeedKind.REVIVE: mark("Bring {culture} back"),
}


def need_title(need: CultureNeed) -> str:
    """ "Feed Gannet and chill it again", "Skua, day 4"."""
    place = within(need.place)
    return say(TITLES[need.kind], culture=need.culture, number=need.number, place=place)
