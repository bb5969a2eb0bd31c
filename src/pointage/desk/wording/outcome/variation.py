"""The one change to try next, in words."""

from __future__ import annotations

from collections.abc import Mapping

from pointage.desk.answers import Bake
from pointage.desk.wording.amounts import percent
from pointage.desk.wording.arguments import dated
from pointage.desk.wording.outcome.why import cause_title, evidence_words
from pointage.language import mark, say, written
from pointage.quantities import parse_zone
from pointage.shown import warmth
from pointage.timetable.why.causes import BakeCause
from pointage.timetable.why.variation import Variation, VariedLine

_L = VariedLine
SHORT: Mapping[VariedLine, str] = {
    _L.BULK: mark("bulk to {now}"),
    _L.PROOF: mark("proof to {now}"),
    _L.RETARD: mark("retard to {now}"),
    _L.DOUGH: mark("dough at {now}"),
    _L.OVEN: mark("oven at {now}"),
    _L.MINUTES: mark("{now} min in the oven"),
    _L.LEVAIN: mark("{now} of the flour in the levain"),
}
LONG: Mapping[VariedLine, str] = {
    _L.BULK: mark("The bulk to {now} times its volume instead of {was}."),
    _L.PROOF: mark("The proof to {now} times its volume instead of {was}."),
    _L.RETARD: mark("The retard to {now} times its volume instead of {was}."),
    _L.DOUGH: mark("The dough at {now} after the mix instead of {was}; the water follows."),
    _L.OVEN: mark("The oven at {now} instead of {was}."),
    _L.MINUTES: mark("{now} min in the oven instead of {was}."),
    _L.LEVAIN: mark("{now} of the flour in the levain instead of {was}, the total as it is."),
}


def change_words(found: Variation) -> str:
    """The change in a few words, for a name."""
    return say(SHORT[found.line], now=_value(found.line, found.now))


def change_sentence(found: Variation) -> str:
    """The change, with what it was."""
    values = {
        name: _value(found.line, value) for name, value in (("was", found.was), ("now", found.now))
    }
    return say(LONG[found.line], **values)


def because_words(bake: Bake, cause: BakeCause) -> str:
    """Why a formula was changed: which bake, and what it is put down to."""
    at = dated(bake.plan.ready.astimezone(parse_zone(bake.plan.zone, "zone")))
    title, evidence = cause_title(cause.kind), evidence_words(cause)
    return say("Bake of {at}. {title}. {evidence}", at=at, title=title, evidence=evidence)


def _value(line: VariedLine, value: float) -> str:
    match line:
        case _L.DOUGH | _L.OVEN:
            return warmth(value)
        case _L.MINUTES:
            return f"{value:.0f}"
        case _L.LEVAIN:
            return percent(value)
    return written(f"{value:.2f}".rstrip("0"))
