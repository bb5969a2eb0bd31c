"""Record what was done and seen at the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from typing import Any

from pointage.bounds import DISPLAY_G
from pointage.daybook.entry import Entry, EntryKind, says_the_same
from pointage.daybook.readings import KINDS, ReadingKind
from pointage.daybook.store.store import Store
from pointage.daybook.typed import check_typed
from pointage.desk.answers import (
    AskFirst,
    Bake,
    NotThere,
    Report,
)
from pointage.desk.bakes.wish import AUTHOR
from pointage.desk.now.bakes.at_once import part_of
from pointage.desk.now.bakes.bake import kept, pours, step_of
from pointage.desk.now.bakes.joint import SharedBuild, shared_builds, with_it_done
from pointage.desk.now.present import Present
from pointage.formula.ladder import Keep
from pointage.language import say
from pointage.quantities import print_number
from pointage.timetable.plan import Step

MUCH = 2.0
"""So many times the whole batch is poured by nobody: it is asked about."""


class Recorder:
    """Writes news of bakes. `now` is when it arrives.

    What is in the store already, under its own identifier, is not tried against the present again:
    it was recorded, and its teller has only not heard so.
    """

    def __init__(self, store: Store, kitchen_id: str, present: Present, now: datetime):
        self._store = store
        self._kitchen = kitchen_id
        self._bakes = present.every_bake
        self._present = present
        self._written = present.replayed.journal.entries
        self._now = now

    def done(self, report: Report) -> None:
        """The step was done; a build that several bakes have in common, for all of them."""
        if not self._is_there(EntryKind.DONE, report, {}):
            self._write_all(EntryKind.DONE, [(each, {}) for each in self._of_each(report)])

    def not_done(self, report: Report) -> None:
        """The step was not done after all; which entry said that it was is written with it."""
        if not self._is_there(EntryKind.WITHDRAWN, report, {}):
            bake = self._bake(report.bake)
            step = step_of(bake, report.step)
            done = self._done(report) if report.done else bake.step_news(step.key).done_by
            said: list[tuple[Report, dict[str, Any]]] = [(report, {"done": done or None})]
            if bake.step_news(step.key).done is not None:
                for other, key in with_it_done(
                    self._present.file, self._beside(bake, step), step.key
                )[1:]:
                    by = other.step_news(key).done_by
                    said.append((self._for(report, other.key, key), {"done": by or None}))
            self._write_all(EntryKind.WITHDRAWN, said)

    def poured(
        self, report: Report, pour: int, display_g: Fraction, keep: Keep | None = None
    ) -> None:
        """After pour number `pour` the display said `display_g`. Raises InputError, NotThere.

        keep: what the rest of the ladder then keeps; None for what was said last.
        """
        display = DISPLAY_G.check(display_g, "display")
        body: dict[str, Any] = {"pour": pour, "display_g": display}
        body |= {} if keep is None else {"keep": keep}
        if self._is_there(EntryKind.READING, report, body):
            return
        build, bake = self._shared(report), self._bake(report.bake)
        bake = bake if build is None else build.first
        step, news = step_of(bake, report.step), bake.step_news(report.step)
        pours(step, news.poured, pour, display, keep=kept(news, keep))
        last_g = step.ladder.pours[-1].display_g if step.ladder is not None else display
        if not report.sure and display > MUCH * last_g:
            raise AskFirst(
                [
                    say(
                        "the display at {display} g, where all of it comes to {last} g",
                        display=print_number(display),
                        last=print_number(last_g),
                    )
                ]
            )
        if build is None:
            self._write(EntryKind.READING, report, body)
            return
        said = []
        for number, (each, part) in enumerate(zip(build.bakes, build.parts, strict=True)):
            own = report if number == 0 else self._for(report, each.key, part.key)
            part_g = build.part_of(number, pour, float(display), kept(news, keep))
            said.append((own, {**body, "display_g": part_g}))
        self._write_all(EntryKind.READING, said)

    def seen(
        self,
        report: Report,
        kind: ReadingKind,
        value: float | None,
        typed: Mapping[str, str] | None = None,
    ) -> None:
        """Something was seen. typed: the value and unit as they were typed.

        Raises InputError, field "value", for what cannot be and for what was not typed so.
        """
        body: dict[str, Any] = {"reading": kind.value, "value": None}
        doubt: str | None = None
        if (bound := KINDS[kind].bound) is not None:
            body["value"] = bound.check(value, "value")
            doubt = bound.doubt(body["value"])
            if typed is not None:
                body["typed"] = check_typed(typed, value, bound, "value")
        if self._is_there(EntryKind.READING, report, body):
            return
        step_of(self._bake(report.bake), report.step)
        if doubt and not report.sure:
            raise AskFirst([doubt])
        self._write_all(EntryKind.READING, [(each, body) for each in self._of_each(report)])

    def given_up(self, entry: str, bake: str, happened: datetime) -> None:
        """The bake will not be."""
        there = self._written.get(entry)
        if there is None or not says_the_same(there, EntryKind.WITHDRAWN, {"bake": bake}):
            self._bake(bake)
            report = Report(entry, bake, "", happened)
            self._append(EntryKind.WITHDRAWN, report, {"bake": bake})

    def _done(self, report: Report) -> str:
        """The entry that a taking back names. Raises NotThere unless it says the step was done."""
        entry = self._written.get(report.done.lower())
        about = {"bake": report.bake, "step": report.step}
        if entry is None or not says_the_same(entry, EntryKind.DONE, about):
            raise NotThere("entry", report.done)
        return entry.id

    def _is_there(self, kind: EntryKind, report: Report, body: dict[str, Any]) -> bool:
        there = self._written.get(report.entry)
        said = {"bake": report.bake, "step": report.step, **body}
        return there is not None and says_the_same(there, kind, said)

    def _bake(self, key: str) -> Bake:
        if key not in self._bakes:
            raise NotThere("bake", key)
        return self._bakes[key]

    def _beside(self, bake: Bake, step: Step) -> list[Bake]:
        """The bakes that may have a step in common with one, which is the first."""
        others = (
            each
            for each in self._bakes.values()
            if each.key != bake.key and any(it.start == step.start for it in each.plan.steps)
        )
        return [bake, *others]

    def _of_each(self, report: Report) -> list[Report]:
        """A report for every bake that has the step it is about, done or not; its own first."""
        bake = self._bake(report.bake)
        step, build = step_of(bake, report.step), self._shared(report)
        parts = [(bake, step.key)]
        if build is not None:
            pairs = zip(build.bakes, build.parts, strict=True)
            parts = [(each, part.key) for each, part in pairs]
        elif bake.step_news(step.key).done is not None:
            parts = with_it_done(self._present.file, self._beside(bake, step), step.key)
        return [report, *(self._for(report, each.key, key) for each, key in parts[1:])]

    def _shared(self, report: Report) -> SharedBuild | None:
        """The build of several bakes that a report is about, its own bake the first."""
        bake = self._bake(report.bake)
        beside = self._beside(bake, step_of(bake, report.step))
        builds = shared_builds(self._present.file, beside)
        mine = (b for b in builds if b.bakes[0] is bake and b.step.key == report.step)
        return next(mine, None)

    @staticmethod
    def _for(report: Report, bake: str, step: str) -> Report:
        """The same report of another bake's part of what it is about."""
        return replace(report, entry=part_of(report.entry, bake), bake=bake, step=step)

    def _write(self, kind: EntryKind, report: Report, body: dict[str, Any]) -> None:
        self._append(kind, report, {"bake": report.bake, "step": report.step, **body})

    def _write_all(self, kind: EntryKind, said: Sequence[tuple[Report, dict[str, Any]]]) -> None:
        """All of these, or none."""
        entries = [
            self._entry(kind, report, {"bake": report.bake, "step": report.step, **body})
            for report, body in said
        ]
        if len(entries) == 1:
            self._store.append(entries[0])
        else:
            self._store.append_all(self._kitchen, entries)

    def _append(self, kind: EntryKind, report: Report, body: dict[str, Any]) -> None:
        self._store.append(self._entry(kind, report, body))

    def _entry(self, kind: EntryKind, report: Report, body: dict[str, Any]) -> Entry:
        return Entry(report.entry, self._kitchen, kind, report.happened, self._now, AUTHOR, body)
