"""Why a plan cannot be kept: what stands in the way, and what giving it up would bring."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from zoneinfo import ZoneInfo

from pointage.desk.wording.arguments import Arguments, dated, within
from pointage.timetable.plan import StepKind
from pointage.timetable.remark import Conflict, ConflictName

Words = tuple[str, str]

_WORKS: Mapping[str, str] = {
    StepKind.FEED: "A feed",
    StepKind.SOAK: "The soaker",
    StepKind.MIX: "The mix",
    StepKind.FOLD: "A fold",
    StepKind.DIVIDE: "Dividing",
    StepKind.SHAPE: "Shaping",
    StepKind.PREHEAT: "Lighting the oven",
    StepKind.BAKE: "Baking",
}


def conflict_name(conflict: Conflict) -> str:
    """ "ready", "other bakes"."""
    return conflict.name.replace("-", " ")


def conflict_words(conflict: Conflict, zone: ZoneInfo) -> Words:
    """What stands in the way, and what would free the bake, a sentence each."""
    return _SENTENCES[conflict.name](Arguments(conflict.about, zone))


def _ready(it: Arguments) -> Words:
    return (
        f"Nothing is ripe, risen and baked by {it.day('ready')}.",
        f"Out of the oven at {it.day('possible')}, the rest can stay as it is.",
    )


def _sleep(it: Arguments) -> Words:
    work = it.name("work")
    named = f"{_WORKS.get(work, work)} at {it.day('at')}" if work else "Some of the work"
    return (
        f"{named} falls in the sleeping hours.",
        f"With somebody awake then, it is out of the oven at {it.day('ready')}.",
    )


def _away(it: Arguments) -> Words:
    ends = iter(map(dated, it.instants("spells")))
    absences = " and ".join(f"{since} to {until}" for since, until in zip(ends, ends, strict=False))
    return (
        f"Nobody is there when work is due: away {absences}.",
        f"With somebody there, it is out of the oven at {it.day('ready')}.",
    )


def _oven(it: Arguments) -> Words:
    loads = it.number("loads")
    return (
        f"The oven takes {loads:.0f} loads one after another, and the dough cannot wait.",
        "In a single load it would work: fewer pieces, or a second oven.",
    )


def _fridge(it: Arguments) -> Words:
    freed = f", or from {it.day('freed')} on" if it.has("freed") else ""
    return (
        f"The pieces need {it.number('needed'):.3g} l of the {within(it.name('capacity'))} from "
        f"{it.day('since')}, and {it.number('free'):.3g} l are free.",
        f"With {it.number('missing'):.3g} l more it would work{freed}; as it is there is room for "
        f"{it.number('most'):.0f} of {it.number('pieces'):.0f} pieces.",
    )


def _other_bakes(_: Arguments) -> Words:
    return (
        "You or the oven are busy with another bake when this one needs them.",
        "Without the other bake there is a plan for this one.",
    )


def _start(it: Arguments) -> Words:
    return (
        f"It should have begun at {it.day('begin')}, which is past.",
        "Plan it earlier next time, or keep the culture awake in the warm.",
    )


def _everything(_: Arguments) -> Words:
    return (
        "No single change makes it possible: not a later time (up to two days), work in the "
        "night, a larger oven or an earlier start.",
        "Try another formula, a warmer place, or fewer pieces.",
    )


_SENTENCES: Mapping[ConflictName, Callable[[Arguments], Words]] = {
    ConflictName.READY: _ready,
    ConflictName.SLEEP: _sleep,
    ConflictName.AWAY: _away,
    ConflictName.OVEN: _oven,
    ConflictName.FRIDGE: _fridge,
    ConflictName.OTHER_BAKES: _other_bakes,
    ConflictName.START: _start,
    ConflictName.EVERYTHING: _everything,
}
