"""What a step is called, and what there is to mind of it."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from pointage.desk.wording.remarks import remark_words
from pointage.timetable.plan import Manner, Step, StepKind

_PLAIN = {
    StepKind.MIX: "Mix the dough",
    StepKind.BULK: "Bulk",
    StepKind.DIVIDE: "Divide",
    StepKind.REST: "Bench rest",
    StepKind.SHAPE: "Shape",
    StepKind.PROOF: "Proof",
    StepKind.RETARD: "Retard",
    StepKind.PREHEAT: "Light the oven",
    StepKind.COOL: "Cool",
}
_IN_A_MANNER = {Manner.PRESHAPE: "Divide and preshape", Manner.TIN: "Shape into tins"}


def title(step: Step) -> str:
    """ "Build the levain", "Fold, 1 of 3, with the salt", "Bake, load 2 of 2"."""
    match step.kind:
        case StepKind.FEED if step.manner is Manner.KEEP:
            return f"Feed what is left of {step.mixture}"
        case StepKind.FEED:
            return f"Feed {step.mixture} again" if step.number > 1 else f"Wake {step.mixture}"
        case StepKind.BUILD | StepKind.SOAK:
            return _made(step)
        case StepKind.FOLD:
            with_it = " and the ".join(name.lower() for name in step.added)
            return f"Fold, {step.number} of {step.of}" + (
                f", with the {with_it}" if with_it else ""
            )
        case StepKind.BAKE:
            return f"Bake, load {step.number} of {step.of}" if step.of > 1 else "Bake"
    return _IN_A_MANNER.get(step.manner) or _PLAIN[step.kind]


def _made(step: Step) -> str:
    stage = step.mixture.lower()
    if step.kind is StepKind.BUILD:
        return f"Mix the {stage}" if stage.endswith("build") else f"Build the {stage}"
    if step.manner is Manner.SCALD:
        return f"Pour boiling water on the {stage}"
    return f"Put the {stage} to soak"


def note(step: Step, zone: ZoneInfo) -> str:
    """All that is remarked of a step, a sentence each; clock times are in `zone`."""
    return " ".join(filter(None, (remark_words(each, zone) for each in step.remarks)))
