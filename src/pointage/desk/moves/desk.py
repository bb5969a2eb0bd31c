"""Look at what has moved, take what is offered, and undo it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import NotThere, Wished
from pointage.desk.bakes.wish import AUTHOR
from pointage.desk.jobs import MOVES, Job
from pointage.desk.moves.asked import MovesAsked, asked_now
from pointage.desk.moves.causes import MoveCause
from pointage.desk.moves.move import BakeMoved, Move, OfferedMoves
from pointage.desk.moves.offer import offered
from pointage.desk.moves.step import AnotherTime, held_step
from pointage.desk.moves.under_way import wished_now
from pointage.desk.now.bakes.bake import LET_GO
from pointage.desk.now.present import Present
from pointage.desk.now.texts import formula_of
from pointage.desk.one_kitchen import OneKitchen
from pointage.desk.plans import write_plan
from pointage.errors import InputError
from pointage.formula.file.write import write_formula
from pointage.language import language, say, speaking
from pointage.shown import showing, shown
from pointage.timetable.calendar import GRID, ceil_to_grid

UNDO_FOR = timedelta(hours=2)
"""So long a plan that was taken can be undone."""
NOW = "now"
PATIENCE_S = 0.8
"""So long the answer to a time that was typed is waited for."""


@dataclass(frozen=True, eq=False)
class Moves:
    """What has moved, and what is offered; None while that is worked out (waits), or stopped."""

    causes: tuple[MoveCause, ...]
    offer: OfferedMoves | None = None
    waits: bool = False


@dataclass(frozen=True, slots=True)
class TakenMove:
    """A change of plan that can still be undone: the entry that took it, and when.

    let_go: nothing was moved, but a step may move again.
    """

    offer: str
    at: datetime
    formulas: tuple[str, ...]
    let_go: bool = False


class MoveDesk:
    """The changes of plan of one kitchen."""

    def __init__(self, kitchen: OneKitchen) -> None:
        self._in = kitchen

    def look(self, now: datetime) -> Moves:
        """What is offered now."""
        return self._look(asked_now(self._in.present(), now), NOW)

    def what_if(self, bake: str, at: datetime, now: datetime, step: str = "") -> Moves:
        """What would move for a bake to be ready then, or for a step of it, by its key, to begin.

        Raises NotThere, InputError.
        """
        return self._look(self._asked_if(AnotherTime(bake, at, step), now), bake, PATIENCE_S)

    def take(
        self, entry: str, token: str, now: datetime, wanted: AnotherTime | None = None
    ) -> None:
        """Take what was offered: all bakes that it moves, or none.

        entry: a UUID made where it was written, so that taking it twice changes nothing. wanted: a
        time that was typed anew. Raises InputError, field "move", for what is no
        longer offered.
        """
        if self._of_offer(entry):
            return
        if wanted is None:
            asked, subject = asked_now(self._in.present(), now), NOW
        else:
            asked, subject = self._asked_if(wanted, now), wanted.bake
        move = None if asked is None else self._offered(asked, subject).move(token)
        if asked is None or move is None:
            raise InputError("move", token, say("what is offered now: things have moved since"))
        entries = [self._entry(entry, move, each, asked, now) for each in move.bakes]
        self._in.store.append_all(self._in.id, entries)

    def let_go(self, entry: str, bake: str, now: datetime) -> None:
        """A step that is held at its time may move again; sent twice, it is let go once.

        Raises NotThere for a bake that is not in hand, or of which no step is held.
        """
        if self._of_offer(entry):
            return
        present = self._in.present()
        there = next((each for each in present.in_hand(now) if each.key == bake), None)
        step = None if there is None else held_step(there)
        if step is None:
            raise NotThere("bake" if there is None else "step", bake)
        body = {"bake": bake, "step": step.key, "offer": entry, "move": LET_GO}
        name = str(uuid5(UUID(entry), bake))
        written = Entry(name, self._in.id, EntryKind.REPLANNED, now, now, AUTHOR, body)
        self._in.store.append_all(self._in.id, [written])

    def undo(self, entry: str, taken: str, now: datetime) -> None:
        """The plans are as they were before; sent twice, it is undone once. Raises NotThere."""
        found = [each for each in self._of_offer(taken) if now - each.happened <= UNDO_FOR]
        if not found:
            if self._in.store.entry(self._in.id, str(uuid5(UUID(entry), taken))) is not None:
                return
            raise NotThere("entry", taken)
        first, *others = found
        names = [str(uuid5(UUID(entry), taken)), *(str(uuid5(UUID(entry), o.id)) for o in others)]
        self._in.store.append_all(
            self._in.id,
            [
                Entry(name, self._in.id, EntryKind.WITHDRAWN, now, now, AUTHOR, {"entry": each.id})
                for name, each in zip(names, (first, *others), strict=True)
            ],
        )

    def taken(self, now: datetime) -> TakenMove | None:
        """The last change of plan that can still be undone."""
        present = self._in.present()
        found = [
            (entry, bake)
            for bake in present.in_hand(now)
            for entry in present.about_bake(bake.key)
            if entry.kind is EntryKind.REPLANNED and now - entry.happened <= UNDO_FOR
            if entry.id not in present.reasons  # what cannot be used changed nothing
        ]
        if not found:
            return None
        last = max((entry for entry, _ in found), key=lambda entry: (entry.happened, entry.number))
        name = str(last.body.get("offer"))
        formulas = dict.fromkeys(b.plan.formula for e, b in found if e.body.get("offer") == name)
        return TakenMove(name, last.happened, tuple(formulas), last.body.get("move") == LET_GO)

    def _look(self, asked: MovesAsked | None, subject: str, patience_s: float = 0.0) -> Moves:
        if asked is None:
            return Moves(())
        what = (MOVES, subject), self._stamp(asked), _work(asked)
        found = self._in.jobs.awaited(patience_s, *what) if patience_s else self._in.jobs.ask(*what)
        return Moves(asked.causes, found.found if found.fresh else None, found.waits)

    def _asked_if(self, wanted: AnotherTime, now: datetime) -> MovesAsked | None:
        present = self._in.present()
        there = next((each for each in present.in_hand(now) if each.key == wanted.bake), None)
        if there is None:
            raise NotThere("bake", wanted.bake)
        asked = asked_now(present, now, wanted)
        if asked is None or not any(each.bake == wanted.bake for each in asked.causes):
            raise InputError("ready", there.plan.formula, say("a bake whose oven is not lit yet"))
        return asked

    def _offered(self, asked: MovesAsked, subject: str) -> OfferedMoves:
        """What is offered: as it was shown, where nothing but a quarter of an hour has passed."""
        stamp = self._stamp(asked)
        kept = self._in.jobs.look((MOVES, subject))
        if kept is not None and kept.found is not None and isinstance(kept.stamp, tuple):
            *known, then = kept.stamp
            *here, at = stamp
            if known == here and timedelta() <= at - then <= GRID:
                shown_offer: OfferedMoves = kept.found
                return shown_offer
        return self._in.jobs.at_once((MOVES, subject), stamp, _work(asked))

    def _stamp(self, asked: MovesAsked) -> tuple[Any, ...]:
        present = asked.present
        bakes = tuple((each.key, present.replayed.bakes[each.key].stamp) for each in asked.bakes)
        causes = tuple((each.kind, each.bake, each.step) for each in asked.causes)
        return bakes, present.revision, causes, asked.wanted, ceil_to_grid(asked.now)

    def _of_offer(self, name: str) -> list[Entry]:
        """What stands of the entries that a change of plan wrote."""
        present = self._in.present()
        return [
            entry
            for bake in present.every_bake
            for entry in present.about_bake(bake)
            if entry.kind is EntryKind.REPLANNED and entry.body.get("offer") == name
        ]

    def _entry(
        self, entry: str, move: Move, moved: BakeMoved, asked: MovesAsked, now: datetime
    ) -> Entry:
        present, bake = asked.present, moved.bake
        plan = moved.plan()
        why = [
            {
                "kind": each.kind.value,
                "step": each.step,
                "minutes": round(each.late / timedelta(minutes=1)),
            }
            for each in asked.causes
            if each.bake == bake.key
        ]
        body = {"bake": bake.key, "offer": entry, "move": move.kind.value, "why": why}
        body |= write_plan(plan, self._wished(present, moved))
        name = str(uuid5(UUID(entry), bake.key))
        return Entry(name, self._in.id, EntryKind.REPLANNED, now, now, AUTHOR, body)

    def _wished(self, present: Present, moved: BakeMoved) -> Wished:
        wished = wished_now(moved.bake, moved.problem, present.record.text, self._in.since)
        wished = replace(wished, held=moved.held)
        if moved.problem.formula.process == formula_of(wished.formula).process:
            return wished
        return replace(wished, formula=write_formula(moved.problem.formula))


def _work(asked: MovesAsked) -> Callable[[Job], OfferedMoves]:
    spoken, how = language(), shown()

    def work(job: Job) -> OfferedMoves:
        with speaking(spoken), showing(how):
            return offered(asked, job.reached)

    return work
