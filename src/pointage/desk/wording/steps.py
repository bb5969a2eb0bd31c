"""What a step is called, and what there is to mind of it."""

from __future__ import annotations

from functools import reduce
from zoneinfo import ZoneInfo

from pointage.desk.wording.remarks import remark_words
from pointage.language import mark, say, within
from pointage.timetable.plan import Manner, Step, StepKind
from pointage.timetable.remark import RemarkCode

_PLAIN = {
    StepKind.MIX: mark("Mix the dough"),
    StepKind.BULK: mark("Bulk"),
    StepKind.DIVIDE: mark("Divide"),
    StepKind.REST: mark("Bench rest"),
    StepKind.SHAPE: mark("Shape"),
    StepKind.PROOF: mark("Proof"),
    StepKind.RETARD: mark("Retard"),
    StepKind.PREHEAT: mark("Heat the oven"),
    StepKind.COOL: mark("Cool"),
}
_SHORT = {
    StepKind.FEED: mark("feed"),
    StepKind.BUILD: mark("build"),
    StepKind.SOAK: mark("soak"),
    StepKind.MIX: mark("mix"),
    StepKind.BULK: mark("bulk"),
    StepKind.FOLD: mark("fold"),
    StepKind.DIVIDE: mark("divide"),
    StepKind.REST: mark("bench rest"),
    StepKind.SHAPE: mark("shape"),
    StepKind.PROOF: mark("proof"),
    StepKind.RETARD: mark("retard"),
    StepKind.PREHEAT: mark("heat oven"),
    StepKind.BAKE: mark("bake"),
    StepKind.COOL: mark("cool"),
}
"""The same words as in the titles, for a drawing with little room."""
_IN_A_MANNER = {Manner.PRESHAPE: mark("Divide and preshape"), Manner.TIN: mark("Shape into tins")}


def title(step: Step) -> str:
    """ "Build the levain", "Fold, 1 of 3, with the salt", "Bake, load 2 of 2"."""
    match step.kind:
        case StepKind.FEED if step.manner is Manner.KEEP:
            return say("Feed what is left of {mixture}", mixture=step.mixture)
        case StepKind.FEED:
            return (
                say("Feed {mixture} again", mixture=step.mixture)
                if step.number > 1
                else say("Feed {mixture}", mixture=step.mixture)
            )
        case StepKind.BUILD | StepKind.SOAK:
            return _made(step)
        case StepKind.FOLD:
            return _fold(step)
        case StepKind.BAKE:
            return (
                say("Bake, load {number} of {of}", number=step.number, of=step.of)
                if step.of > 1
                else say("Bake")
            )
    return say(_IN_A_MANNER.get(step.manner) or _PLAIN[step.kind])


def short_title(kind: StepKind, manner: Manner = Manner.PLAIN) -> str:
    """A word or two of the title: "build", "heat oven"."""
    return say("scald") if manner is Manner.SCALD else say(_SHORT[kind])


def _fold(step: Step) -> str:
    if not step.added:
        return say("Fold, {number} of {of}", number=step.number, of=step.of)
    added = reduce(
        lambda one, other: say("{one} and the {other}", one=one, other=other),
        map(within, step.added),
    )
    return say(
        "Fold, {number} of {of}, with the {added}", number=step.number, of=step.of, added=added
    )


def _made(step: Step) -> str:
    stage = within(step.mixture)
    if step.kind is StepKind.BUILD:
        return (
            say("Mix the {stage}", stage=stage)
            if stage.endswith("build")
            else say("Build the {stage}", stage=stage)
        )
    if step.manner is Manner.SCALD:
        return say("Pour boiling water on the {stage}", stage=stage)
    return say("Put the {stage} to soak", stage=stage)


def note(step: Step, zone: ZoneInfo, *, counted: bool = False) -> str:
    """All that is remarked of a step, a sentence each; clock times are in `zone`.

    counted: how many pieces it has stands beside it already.
    """
    remarks = (r for r in step.remarks if not (counted and r.code is RemarkCode.PIECES_OF))
    return " ".join(filter(None, (remark_words(each, zone) for each in remarks)))


def fridge_note(step: Step, zone: ZoneInfo) -> str:
    """When what a step has made goes into the fridge, and out of it again; "" where it does not."""
    said = [each for each in step.remarks if each.code is RemarkCode.CHILLED]
    return " ".join(remark_words(each, zone) for each in said)
