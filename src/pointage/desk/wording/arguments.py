"""The arguments of a remark as text: numbers as short as they read well, instants by the clock."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from pointage.desk.wording.lists import all_of
from pointage.language import say, within
from pointage.shown import clock_text, day_text, warmth
from pointage.timetable.remark import Argument, Quantity


class Arguments:
    """What a remark is about, by name, for its sentence. `zone`: of its clock times."""

    def __init__(self, about: Mapping[str, Argument], zone: ZoneInfo) -> None:
        self._about = about
        self._zone = zone

    def has(self, name: str) -> bool:
        return name in self._about

    def name(self, name: str, instead: str = "") -> str:
        """A place, vessel, stage or culture; `instead` where it has no name."""
        found = self._about.get(name)
        return found if isinstance(found, str) and found else instead

    def number(self, name: str) -> float:
        found = self._about.get(name)
        return found.value if isinstance(found, Quantity) else 0.0

    def warmth(self, name: str) -> str:
        """A temperature: "24.5 °C", "76 °F"."""
        return warmth(self.number(name))

    def instants(self, name: str) -> tuple[datetime, ...]:
        """In the reader's zone; none where there is none."""
        found = self._about.get(name)
        if isinstance(found, datetime):
            found = (found,)
        times = found if isinstance(found, tuple) else ()
        return tuple(at.astimezone(self._zone) for at in times)

    def clock(self, name: str) -> str:
        """ "13:02", "1:02 pm"."""
        return all_of(clock_text(at) for at in self.instants(name))

    def day(self, name: str) -> str:
        """ "Sat 28 Nov 09:00"."""
        return all_of(dated(at) for at in self.instants(name))


def dated(local: datetime) -> str:
    """ "Sat 28 Nov 09:00"."""
    return f"{day_text(local.date())} {clock_text(local)}"


OPEN = re.compile(
    r"(counter|shelf|bench|table|sill|rack|worktop|windowsill|stove)s?$", re.IGNORECASE
)
"""Places on which a thing stands, by the last word of their name."""


def in_place(name: str) -> str:
    """Where a thing is put: "in the boiler cupboard", "on the counter"."""
    if OPEN.search(name):
        return say("on the {place}", place=within(name))
    return say("in the {place}", place=within(name))
