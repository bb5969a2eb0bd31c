"""What is known of a formula's past: its bakes, how they rose, what they weighed, how they were."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake
from pointage.desk.past.culture import SeenCourse, course_of
from pointage.timetable.plan import StepKind

MARKS = ("crust", "crumb", "flavour", "sour", "keeping")


@dataclass(frozen=True, slots=True)
class PastBake:
    """One bake. course: its bulk as it was read; lost: share of the dough's mass that baked off.

    marks: by name, as tasted. rise: the last that was read before it was divided.
    """

    bake: Bake
    course: SeenCourse
    lost: float | None = None
    marks: dict[str, float] = field(default_factory=dict)

    @property
    def rise(self) -> float | None:
        return self.course.points[-1][1] if self.course.points else None


@dataclass(frozen=True, slots=True)
class FormulaPast:
    """The bakes of one formula that were done, the oldest first."""

    name: str
    bakes: tuple[PastBake, ...]


def formula_past(
    name: str, bakes: Iterable[Bake], about: Callable[[str], Sequence[Entry]]
) -> FormulaPast:
    """Of all bakes those of the formula called `name` of which a step was done."""
    own = sorted(
        (
            bake
            for bake in bakes
            if bake.plan.formula == name and any(each.done for each in bake.news.values())
        ),
        key=lambda bake: bake.plan.ready,
    )
    return FormulaPast(name, tuple(_past(bake, about(bake.key)) for bake in own))


def _past(bake: Bake, entries: Sequence[Entry]) -> PastBake:
    bulk = next((s for s in bake.plan.steps if s.kind is StepKind.BULK), None)
    title = bake.plan.formula
    course = (
        SeenCourse(title, bake.plan.ready, ()) if bulk is None else course_of(bake, bulk, title)
    )
    marks: dict[str, float] = {}
    lost = None
    for entry in entries:
        body: Any = entry.body
        if entry.kind is EntryKind.TASTED:
            marks |= {name: body[name] for name in MARKS if name in body}
        if entry.kind is EntryKind.WEIGHED and body.get("when") in ("baked", "cooled"):
            dough = bake.plan.piece_g * float(body.get("pieces", 1.0))
            lost = 1 - body["grams"] / dough if dough else None
    return PastBake(bake, course, lost, marks)
