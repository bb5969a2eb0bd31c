"""What was recorded last, so that it can be undone where it was done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import Line
from pointage.desk.answers import Bake
from pointage.desk.wording import title
from pointage.language import say
from pointage.timetable.plan import Step
from pointage.web.screens.bench.page import BenchPage, LastDone
from pointage.web.screens.bench.undo import TAKE_BACK_FOR, begins, done_last, is_of_culture
from pointage.web.visit import Visit
from pointage.web.words.entries import entry_words, kind_words

NOT_HERE = frozenset({EntryKind.PLAN, EntryKind.WITHDRAWN})
"""A bake is given up on the Week."""
ABOUT = ("bake", "culture")
"""What is recorded on the Bench is about one of them; the larder has its own way back."""


def with_last(
    page: BenchPage, lines: Sequence[Line], bakes: Mapping[str, Bake], visit: Visit
) -> BenchPage:
    """The page with what was recorded last of a bake or a culture, while it can be undone here."""
    since = visit.now - TAKE_BACK_FOR
    found = [
        line.now
        for line in lines
        if line.now is not None and line.now.kind.is_known and line.written.kind not in NOT_HERE
        if any(name in line.now.body for name in ABOUT)
        if line.written.kind is not EntryKind.DONE or _step(line.written, bakes) is not None
    ]
    found = [each for each in found if since <= each.arrived <= visit.now and not begins(each)]
    last = max(found, key=lambda each: (each.number, each.arrived), default=None)
    step = None if page.last is None else page.last.done
    done = next((line.written for line in lines if line.written.id == step), None)
    if last is None or (done is not None and done.number > last.number):
        return page
    return replace(page, last=_said(last, bakes, visit))


def _step(entry: Entry, bakes: Mapping[str, Bake]) -> Step | None:
    """The step that an entry says was done, if that still holds."""
    bake = bakes.get(str(entry.body.get("bake")))
    key = str(entry.body.get("step"))
    if bake is None or bake.step_news(key).done_by != entry.id:
        return None
    return next((each for each in bake.plan.steps if each.key == key), None)


def _said(entry: Entry, bakes: Mapping[str, Bake], visit: Visit) -> LastDone:
    at = visit.clock.moment(entry.happened)
    if entry.kind is EntryKind.DONE and (step := _step(entry, bakes)) is not None:
        return LastDone(str(entry.body["bake"]), step.key, title(step), at, done=entry.id)
    if is_of_culture(entry):
        return done_last(entry, visit)
    kind, words = kind_words(entry.kind), entry_words(entry, bakes, visit.clock)
    name = say("{kind}: {words}", kind=kind, words=words) if words else kind
    return LastDone("", "", name, at, withdraws=entry.id)
