"""What changed between two bakes, as the daybook has them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import ReadingKind
from pointage.desk.answers import Bake, NotThere
from pointage.desk.now.bakes.watch import as_done, problem_of
from pointage.desk.wording import difference_words
from pointage.timetable.changed import Worked, compare
from pointage.timetable.plan import StepKind


@dataclass(frozen=True, slots=True)
class SaidDifference:
    """One thing that changed, in words. sooner: by how much it brought the bulk on, if at all."""

    sentence: str
    sooner: timedelta | None = None


@dataclass(frozen=True, slots=True)
class WhatChanged:
    """Two bakes and what was otherwise in the second, the strongest effect first."""

    before: Bake
    after: Bake
    differences: tuple[SaidDifference, ...]


def what_changed(before: Bake, after: Bake, about: Callable[[str], Sequence[Entry]]) -> WhatChanged:
    """Compare two bakes. Raises NotThere for one that was planned before threads were kept."""
    pair = [_worked(bake, about(bake.key)) for bake in (before, after)]
    found = compare(*pair)
    said = tuple(SaidDifference(difference_words(each), each.sooner) for each in found)
    return WhatChanged(before, after, said)


def _worked(bake: Bake, entries: Sequence[Entry]) -> Worked:
    thread = as_done(bake)
    if thread is None or bake.wished is None:
        raise NotThere("plan", bake.key)
    bulk = next((each for each in bake.plan.steps if each.kind is StepKind.BULK), None)
    divide = next((each for each in bake.plan.steps if each.kind is StepKind.DIVIDE), None)
    readings = () if bulk is None else bake.step_news(bulk.key).readings
    warm = [each.value for each in readings if each.kind is ReadingKind.TEMPERATURE]
    rises = [each.value for each in readings if each.kind is ReadingKind.RISE]
    divided = None if divide is None else bake.step_news(divide.key).done
    if divided is not None and divide is not None:
        divided -= divide.end - divide.start
    baked = next((entry.body for entry in entries if entry.kind is EntryKind.BAKED), {})
    done = next((entry.author for entry in entries if entry.kind is EntryKind.DONE), "")
    return Worked(
        problem=problem_of(bake, None),
        thread=thread,
        dough_c=warm[0] if warm else None,
        divided=divided,
        divided_rise=rises[-1] if rises else None,
        oven_c=baked.get("oven_c"),
        minutes=baked.get("minutes"),
        author=done,
    )
