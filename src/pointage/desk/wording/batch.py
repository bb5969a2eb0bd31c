"""What the pours so far make of a batch."""

from __future__ import annotations

from dataclasses import dataclass

from pointage.desk.wording.pours import pour_label
from pointage.formula.ladder import Pour
from pointage.language import say


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
