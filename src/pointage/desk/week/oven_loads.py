"""When a plan has the oven hot: heating, and each load of bread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pointage.timetable.plan import Step, StepKind


@dataclass(frozen=True, slots=True)
class OvenLoad:
    """The oven at work: heating ("preheat") or baking ("bake")."""

    kind: str
    start: datetime
    end: datetime


def oven_loads(steps: Sequence[Step]) -> list[OvenLoad]:
    """When the oven is hot: from the moment it is lit until its last load is out."""
    bakes = sorted((s for s in steps if s.kind is StepKind.BAKE), key=lambda step: step.start)
    loads = [OvenLoad("bake", step.start, step.end) for step in bakes]
    for step in steps:
        if step.kind is StepKind.PREHEAT:
            end = next((bake.start for bake in bakes if bake.start >= step.start), step.end)
            loads.append(OvenLoad("preheat", step.start, max(end, step.end)))
    return loads
