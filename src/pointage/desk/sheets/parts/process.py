"""How a formula is worked, step by step: for sheets without a plan, and what each step is for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

from pointage.desk.wording.amounts import length
from pointage.documents.blocks import Block, PrintedStep, PrintedSteps
from pointage.formula.formula import ALL, FERMENTED, Formula, Process, Rise, Stage, StageKind
from pointage.language import mark, say, say_many, written
from pointage.shown import warmth

WHY = {
    "levain": mark(
        "Yeast and acid are raised in a part of the flour first. Taken ripe, it raises the dough "
        "and gives it flavour; taken young it is mild and weak, taken old it is sour and slackens "
        "the dough."
    ),
    "old dough": mark("A piece of an earlier batch brings flavour, acid and some strength."),
    "soaker": mark("Seeds and grains drink first, so that they do not take the dough's water."),
    "scald": mark("Boiling water swells the starch, which then holds water: a moist crumb."),
    "mix": mark(
        "The dough's temperature sets the pace of all that follows, and the water is what sets it."
    ),
    "bulk": mark(
        "Yeast fills the dough with gas while acid and flavour build. Go by the rise and not by "
        "the clock."
    ),
    "fold": mark("Stretching lines the gluten up, and evens out warmth and gas."),
    "divide": mark("Quickly and with few cuts, so that the gas stays in."),
    "rest": mark("The gluten relaxes, so that the piece can be shaped without tearing."),
    "shape": mark("A tight skin holds the gas and lets the loaf rise upwards."),
    "proof": mark(
        "The last rise. Under-proofed it bursts in the oven, over-proofed it spreads."
    ),
    "retard": mark("The cold slows yeast more than acid: more flavour, and bread when it suits."),
    "bake": mark(
        "Steam keeps the skin soft while the loaf springs; then dry heat makes the crust."
    ),
    "cool": mark("The crumb sets as it cools. Cut warm, it is gummy."),
}  # fmt: skip
"""Common practice, no source."""


@dataclass(frozen=True, slots=True)
class MethodStep:
    """A step of the method: which of WHY, what it is called, and how it is done."""

    key: str
    title: str
    text: str
    lasts_min: float = 0.0

    @property
    def why(self) -> str:
        return say(WHY[self.key]) if self.key in WHY else ""


def process_steps(formula: Formula) -> Iterator[Block]:
    """The steps with lines for their times; nothing where the formula does not say how."""
    steps = list(worked(formula))
    if steps:
        rows = tuple(PrintedStep("", each.title, each.text) for each in steps)
        yield PrintedSteps(say("How it is worked"), rows, say("done at"))


def worked(formula: Formula) -> Iterator[MethodStep]:
    """The method in order, with the formula's own figures and its author's words."""
    if ALL in formula.words:
        yield MethodStep(ALL, say(TITLES[ALL]), formula.words[ALL])
    stages = {each.name: each.words for each in formula.stages}
    for step in _worked(formula):
        words = stages.get(step.title) or formula.words.get(step.key, "")
        yield replace(step, text="\n".join(filter(None, (step.text, words))))
    if formula.process is None:
        for key, words in formula.words.items():
            if key != ALL:
                yield MethodStep(key, say(TITLES[key]), words)


def own_words(formula: Formula) -> tuple[tuple[str, str], ...]:
    """What the author says of each stage and step, under its title."""
    of_stages = [(each.name, each.words) for each in formula.stages if each.words]
    of_steps = [(say(TITLES[key]), text) for key, text in formula.words.items()]
    return (*of_stages, *of_steps)


TITLES = {
    ALL: mark("In the author's words"),
    "mix": mark("Mix the dough"),
    "bulk": mark("Bulk"),
    "fold": mark("Fold"),
    "divide": mark("Divide"),
    "rest": mark("Bench rest"),
    "shape": mark("Shape"),
    "proof": mark("Proof"),
    "retard": mark("Or retard"),
    "bake": mark("Bake"),
    "cool": mark("Cool"),
}


def _worked(formula: Formula) -> Iterator[MethodStep]:
    for stage in formula.stages:
        if stage.kind not in (StageKind.DOUGH, StageKind.ADDITION):
            yield MethodStep(stage.kind.value, stage.name, _stage(stage))
    process = formula.process
    if process is None:
        return
    yield MethodStep("mix", say(TITLES["mix"]), say(
        "{time}, to a dough of {warmth}.",
        time=_minutes(process.mix_minutes), warmth=warmth(process.dough_temperature.celsius),
    ), process.mix_minutes)  # fmt: skip
    yield MethodStep("bulk", say(TITLES["bulk"]), _stands(process.bulk_place, process.bulk_rise))
    if process.folds:
        yield MethodStep("fold", say(TITLES["fold"]), _folds(formula, process))
    yield MethodStep(
        "divide", say(TITLES["divide"]), say("{time}.", time=_minutes(process.divide_minutes))
    )
    if process.bench_rest_minutes:
        rest = _minutes(process.bench_rest_minutes)
        yield MethodStep("rest", say(TITLES["rest"]), say("{time}.", time=rest))
    yield MethodStep(
        "shape", say(TITLES["shape"]), say("As {shape}.", shape=say(SHAPES[process.shape]))
    )  # fmt: skip
    yield MethodStep(
        "proof", say(TITLES["proof"]), _stands(process.proof_place, process.proof_rise)
    )
    if process.retard_place is not None and process.retard_rise is not None:
        cold = _stands(process.retard_place, process.retard_rise)
        yield MethodStep("retard", say(TITLES["retard"]), cold)
    yield MethodStep("bake", say(TITLES["bake"]), _bake(process))
    if process.cool_minutes:
        cool = _minutes(process.cool_minutes)
        yield MethodStep("cool", say(TITLES["cool"]), say("{time} on a rack.", time=cool))


SHAPES = {
    "boule": mark("a boule"),
    "bâtard": mark("a bâtard"),
    "tin": mark("a loaf for the tin"),
    "roll": mark("rolls"),
    "flat": mark("a flatbread"),
}


def _stage(stage: Stage) -> str:
    said = []
    if stage.kind in FERMENTED and stage.temperature is not None:
        said.append(say("Mix to {warmth}.", warmth=warmth(stage.temperature.celsius)))
    if stage.place is not None:
        said.append(say("Place: {place}.", place=stage.place))
    if stage.least_hours and stage.most_hours:
        least, most = (length(timedelta(hours=h)) for h in (stage.least_hours, stage.most_hours))
        said.append(say("From {least} to {most}.", least=least, most=most))
    return " ".join(said)


def _stands(place: str, rise: Rise) -> str:
    least, wanted, most = (written(f"{each:g}") for each in rise)
    return say(
        "{place}, until it has risen to {wanted} times its volume; at least {least}, at most "
        "{most}.",
        place=place, wanted=wanted, least=least, most=most,
    )  # fmt: skip


def _folds(formula: Formula, process: Process) -> str:
    every = _minutes(process.fold_every_minutes)
    text = say_many(
        "{n} fold, {every} after the mix.", "{n} folds, every {every}.", process.folds, every=every
    )
    added = [each.name for each in formula.additions if each.fold]
    if added:
        text += " " + say("With them go in: {names}.", names=", ".join(added))
    return text


def _bake(process: Process) -> str:
    heat = warmth(process.oven.celsius)
    said = say("At {warmth}, until it is done.", warmth=heat)
    if process.bake_minutes is not None:
        said = say("{time} at {warmth}.", time=_minutes(process.bake_minutes), warmth=heat)
    return f"{said} {process.bake_note}".strip()


def _minutes(minutes: float) -> str:
    return length(timedelta(minutes=minutes))
