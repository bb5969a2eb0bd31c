"""One bake's line through time: culture, levain, dough, chilled dough, bread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pointage.timetable.plan import Manner, Step, StepKind

# What a thread becomes when a step of that kind begins; other kinds leave it as it is.
BECOMES = {
    StepKind.FEED: "culture",
    StepKind.BUILD: "levain",
    StepKind.MIX: "dough",
    StepKind.RETARD: "chilled",
    StepKind.BAKE: "baking",
    StepKind.COOL: "bread",
}


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a thread that is one thing. name: what the baker calls it there."""

    state: str
    start: datetime
    end: datetime
    name: str
    place: str


def stretches(steps: Sequence[Step]) -> list[Stretch]:
    """The thread of a bake's steps, from the first to the last, without gaps.

    A second feed begins a stretch of its own; folds, divisions and a lit oven do not. Dough that
    leaves the fridge is dough again.
    """
    turns: list[tuple[datetime, str, Step]] = []
    warm_again: tuple[datetime, Step] | None = None
    for step in sorted(steps, key=lambda each: (each.start, each.end)):
        if warm_again and step.start >= warm_again[0] and step.kind is not StepKind.BAKE:
            turns.append((warm_again[0], "dough", warm_again[1]))
        if warm_again and step.start >= warm_again[0]:
            warm_again = None
        state = BECOMES.get(step.kind)
        if state:
            turns.append((step.start, state, step))
        if step.kind is StepKind.RETARD:
            warm_again = (step.end, step)
    if not turns:
        return []
    last = max(step.end for step in steps)
    ends = [turn[0] for turn in turns[1:]] + [last]
    return [
        Stretch(state, start, end, step.mixture, step.place)
        for (start, state, step), end in zip(turns, ends, strict=True)
        if end > start
    ]


@dataclass(frozen=True, slots=True)
class Bead:
    """Something for hands; several of a kind in a row share one label."""

    key: str
    at: datetime
    kind: StepKind
    manner: Manner
    first_of: int


def beads(steps: Sequence[Step]) -> list[Bead]:
    """A bead a step for hands. first_of counts the beads that its label speaks for; 0 is none."""
    hands = sorted((step for step in steps if step.hands), key=lambda step: step.start)
    found: list[Bead] = []
    for n, step in enumerate(hands):
        if n and hands[n - 1].kind is step.kind:
            first_of = 0
        else:
            first_of = 1
            while n + first_of < len(hands) and hands[n + first_of].kind is step.kind:
                first_of += 1
        found.append(Bead(step.key, step.start, step.kind, step.manner, first_of))
    return found
