"""Why a plan cannot be kept: what stands in the way, and what giving it up would bring."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from zoneinfo import ZoneInfo

from pointage.desk.wording.arguments import Arguments, dated
from pointage.desk.wording.lists import all_of
from pointage.language import mark, say, within
from pointage.timetable.plan import StepKind
from pointage.timetable.remark import Conflict, ConflictName

Words = tuple[str, str]

_WORKS: Mapping[str, str] = {
    StepKind.FEED: mark("A feed"),
    StepKind.SOAK: mark("The soaker"),
    StepKind.MIX: mark("The mix"),
    StepKind.FOLD: mark("A fold"),
    StepKind.DIVIDE: mark("Dividing"),
    StepKind.SHAPE: mark("Shaping"),
    StepKind.PREHEAT: mark("Lighting the oven"),
    StepKind.BAKE: mark("Baking"),
}


_NAMES: Mapping[ConflictName, str] = {
    ConflictName.READY: mark("ready"),
    ConflictName.SLEEP: mark("sleep"),
    ConflictName.AWAY: mark("away"),
    ConflictName.OVEN: mark("oven"),
    ConflictName.FRIDGE: mark("fridge"),
    ConflictName.OTHER_BAKES: mark("other bakes"),
    ConflictName.START: mark("start"),
    ConflictName.EVERYTHING: mark("everything at once"),
}


def conflict_name(conflict: Conflict) -> str:
    """ "ready", "other bakes"."""
    return say(_NAMES[conflict.name])


def conflict_words(conflict: Conflict, zone: ZoneInfo) -> Words:
    """What stands in the way, and what would free the bake, a sentence each."""
    return _SENTENCES[conflict.name](Arguments(conflict.about, zone))


def _ready(it: Arguments) -> Words:
    return (
        say("Nothing is ripe, risen and baked by {ready}.", ready=it.day("ready")),
        say(
            "Out of the oven at {possible}, the rest can stay as it is.",
            possible=it.day("possible"),
        ),
    )


def _sleep(it: Arguments) -> Words:
    work = it.name("work")
    named = say(_WORKS[work]) if work in _WORKS else work
    return (
        say("{work} at {at} falls in the sleeping hours.", work=named, at=it.day("at"))
        if work
        else say("Some of the work falls in the sleeping hours."),
        say("With somebody awake then, it is out of the oven at {ready}.", ready=it.day("ready")),
    )


def _away(it: Arguments) -> Words:
    ends = iter(map(dated, it.instants("spells")))
    absences = all_of(
        say("{since} to {until}", since=since, until=until)
        for since, until in zip(ends, ends, strict=False)
    )
    return (
        say("Nobody is there when work is due: away {absences}.", absences=absences),
        say("With somebody there, it is out of the oven at {ready}.", ready=it.day("ready")),
    )


def _oven(it: Arguments) -> Words:
    loads = it.number("loads")
    return (
        say(
            "The oven takes {loads:.0f} loads one after another, and the dough cannot wait.",
            loads=loads,
        ),
        say("In a single load it would work: fewer pieces, or a second oven."),
    )


def _fridge(it: Arguments) -> Words:
    return (
        say(
            "The pieces need {needed:.3g} l of the {fridge} from {since}, and {free:.3g} l "
            "are free.",
            needed=it.number("needed"),
            fridge=within(it.name("capacity")),
            since=it.day("since"),
            free=it.number("free"),
        ),
        _more_room(it),
    )


def _more_room(it: Arguments) -> str:
    numbers = {name: it.number(name) for name in ("missing", "most", "pieces")}
    if it.has("freed"):
        return say(
            "With {missing:.3g} l more it would work, or from {freed} on; as it is there is room "
            "for {most:.0f} of {pieces:.0f} pieces.",
            freed=it.day("freed"),
            **numbers,
        )
    return say(
        "With {missing:.3g} l more it would work; as it is there is room for {most:.0f} of "
        "{pieces:.0f} pieces.",
        **numbers,
    )


def _other_bakes(_: Arguments) -> Words:
    return (
        say("You or the oven are busy with another bake when this one needs them."),
        say("Without the other bake there is a plan for this one."),
    )


def _start(it: Arguments) -> Words:
    return (
        say("It should have begun at {begin}, which is past.", begin=it.day("begin")),
        say("Plan it earlier next time, or keep the culture awake in the warm."),
    )


def _everything(_: Arguments) -> Words:
    return (
        say(
            "No single change makes it possible: not a later time (up to two days), work "
            "in the night, a larger oven or an earlier start."
        ),
        say("Try another formula, a warmer place, or fewer pieces."),
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
