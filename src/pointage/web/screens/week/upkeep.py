"""What the cultures need in a week beside its bakes: a lane a culture, and lines of its days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from pointage.desk.week.plan import PlannedWeek
from pointage.desk.wording.needs import need_title
from pointage.web.screens.week.lanes import Wanted, lay_out
from pointage.web.screens.week.page import AgendaLine, DayRow
from pointage.web.words.clock import Clock
from pointage.web.words.words import lower_first

if TYPE_CHECKING:
    from pointage.web.screens.week.drawing import Day, DrawingSheet

LETTER, TEXT_LANE, BEAD, GAP = 7.0, 21.0, 10.0, 12.0


@dataclass(frozen=True, slots=True)
class UpkeepBead:
    """One thing done for a culture: when, in the words of the Bench, and where it stands then."""

    culture: str
    at: datetime
    title: str
    place: str


def upkeep_beads(found: PlannedWeek) -> tuple[UpkeepBead, ...]:
    """Those of a planned week, in order."""
    return tuple(
        UpkeepBead(need.culture, step.start, need_title(need), step.place)
        for need, step in found.upkeep()
    )


def upkeep_lanes(sheet: DrawingSheet, day: Day, upkeep: Sequence[UpkeepBead]) -> None:
    """The cultures of one day, each in a lane of its own: labels above, beads below."""
    today = [bead for bead in upkeep if day.holds(bead.at)]
    for culture in dict.fromkeys(bead.culture for bead in today):
        own = [bead for bead in today if bead.culture == culture]
        texts = [f"{bead.title} {day.clock.time(bead.at)}" for bead in own]
        wanted = [
            Wanted(day.x(bead.at) - 6, len(text) * LETTER)
            for bead, text in zip(own, texts, strict=True)
        ]
        places = lay_out(wanted, day.right, 10)
        y = sheet.y + (1 + max(place.lane for place in places)) * TEXT_LANE + BEAD
        for bead, text, place in zip(own, texts, places, strict=True):
            if place.lane:
                top = y - 10 - place.lane * TEXT_LANE
                sheet.line("leader", day.x(bead.at), top, day.x(bead.at), y)
            sheet.text("label", place.x, y - 15 - place.lane * TEXT_LANE, text)
            sheet.bead(False, day.x(bead.at), y)
        sheet.y = y + GAP


def with_upkeep(
    rows: Sequence[DayRow], days: Sequence[object], upkeep: Sequence[UpkeepBead], clock: Clock
) -> tuple[DayRow, ...]:
    """The list of every day with what the cultures need among its lines. days: of the rows."""
    found = []
    for row, day in zip(rows, days, strict=True):
        own = [bead for bead in upkeep if clock.local(bead.at).date() == day]
        lines = sorted([*row.lines, *(_line(each, clock) for each in own)], key=_at)
        found.append(replace(row, lines=tuple(lines)))
    return tuple(found)


def _line(bead: UpkeepBead, clock: Clock) -> AgendaLine:
    moment = clock.moment(bead.at)
    at = type(moment)(clock.time(bead.at), moment.iso)
    return AgendaLine(at, bead.title, lower_first(bead.place), True, False)


def _at(line: AgendaLine) -> datetime:
    return datetime.fromisoformat(line.at.iso)
