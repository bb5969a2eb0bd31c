"""Something typed on the Bench that cannot be used, so that it can be shown again where it was."""

from __future__ import annotations

from dataclasses import dataclass

from pointage.desk.answers import Bake
from pointage.timetable.plan import Step


@dataclass(frozen=True, slots=True)
class Slip:
    """field: "display" or the kind of a reading; typed: as it was typed; error: one line.

    pour: the number of the pour whose display it was.
    """

    bake: str
    step: str
    field: str
    typed: str
    error: str
    pour: int = 0

    def concerns(self, bake: Bake, step: Step, *fields: str) -> bool:
        return self.bake == bake.key and self.step == step.key and self.field in fields
