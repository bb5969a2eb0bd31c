"""What becomes of a line of the daybook: whether it can be corrected, and why it is in doubt."""

from __future__ import annotations

from collections.abc import Mapping

from pointage.daybook import readings
from pointage.daybook.bodies import BODIES, doubts_of, usable
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import AMENDMENTS, Line
from pointage.desk.answers import Bake
from pointage.desk.now.set_aside import SetAside
from pointage.errors import InputError
from pointage.language import say


def can_correct(line: Line) -> bool:
    """Whether there is a form for it; what the bench wrote can only be withdrawn."""
    return line.written.kind in BODIES.keys() - AMENDMENTS - {EntryKind.RESCUED}


def reason_of(
    line: Line, bakes: Mapping[str, Bake], reasons: Mapping[str, SetAside]
) -> tuple[str, str]:
    """Why it, or what corrects it, is set aside, or else why it is asked about."""
    entry = line.now or line.written
    ids = (entry.id, *(each.id for each in line.amendments))
    known = next((reasons[each] for each in ids if each in reasons), None)
    if known is not None:
        return ("", known.reason) if known.counts else (known.reason, "")
    try:
        usable(entry)
    except InputError as error:
        return str(error), ""
    return "", _doubt(entry, bakes)


def _doubt(entry: Entry, bakes: Mapping[str, Bake]) -> str:
    unusual = "; ".join(doubts_of(entry.kind, entry.body))
    if unusual or entry.kind not in readings.READ_FROM:
        return unusual
    bake = bakes.get(str(entry.body.get("bake")))
    news = bake.step_news(str(entry.body.get("step"))).readings if bake else ()
    odd = any(each.questioned and each.at == entry.happened for each in news)
    return say("it does not fit the rest") if odd else ""
