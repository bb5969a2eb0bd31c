"""What a pour is called, and what pours make of a batch."""

from __future__ import annotations

from dataclasses import dataclass

from pointage.formula.ingredients import ingredients
from pointage.formula.ladder import Pour, PourKind, PourState
from pointage.language import mark, say

_STATES = {PourState.RIPE: mark("ripe"), PourState.KEPT: mark("kept")}


def pour_label(pour: Pour) -> str:
    """ "White wheat flour", "Plover, ripe"; an ingredient that is gone, by its identifier."""
    name = pour.name
    if pour.kind is PourKind.INGREDIENT:
        known = ingredients().get(name)
        name = name if known is None else say(known.label)
    return f"{name}, {say(_STATES[pour.state])}" if pour.state in _STATES else name


@dataclass(frozen=True, slots=True)
class BatchNow:
    """factor: how much of the planned batch it is. in_all: its whole mass is kept, not its ratios.

    short: grams that pours which are over lack for the ratios.
    """

    factor: float
    in_all: bool = False
    short: tuple[tuple[Pour, float], ...] = ()


def batch_words(batch: BatchNow | None) -> str:
    """A sentence or two; "" where it is as planned."""
    if batch is None:
        return ""
    if batch.in_all:
        return say("The batch weighs what was planned; its proportions are slightly off.")
    remark = say(
        "Its proportions kept, the batch is now {percent:+.1f} %.", percent=batch.factor * 100 - 100
    )
    lacking = ", ".join(
        say("{ingredient} {mass:.0f} g", ingredient=pour_label(pour), mass=grams)
        for pour, grams in batch.short
    )
    if not lacking:
        return remark
    return say("{remark} To keep its proportions, add {lacking}.", remark=remark, lacking=lacking)
