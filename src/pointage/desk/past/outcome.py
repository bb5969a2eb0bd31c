"""How a bake came out, and why: its signs and its record, put to the engine."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import ReadingKind
from pointage.desk.answers import Bake
from pointage.desk.now.bakes.record import BakeRecord
from pointage.desk.now.bakes.so_far import began, ended, readings_in
from pointage.desk.now.bakes.watch import as_done, problem_of
from pointage.desk.now.learned.learning import Learning
from pointage.desk.past.formula import MARKS
from pointage.errors import PointageError
from pointage.mixture.learning.update import Posterior
from pointage.timetable.plan import StepKind, Thread
from pointage.timetable.why.causes import BakeCause, causes
from pointage.timetable.why.record import BakeAsDone
from pointage.timetable.why.signs import BreadSign

log = logging.getLogger(__name__)
ASKED_FOR = timedelta(days=4)
"""For so long after it came out of the oven it is asked how it was."""


@dataclass(frozen=True, slots=True)
class BakeOutcome:
    """How a bake was. asked: somebody has said. marks: by name, 1 to 5. signs: what it showed.
    causes: the likely ones, the likeliest first. waits: they are being worked out.
    """

    bake: Bake
    asked: bool
    marks: dict[str, float] = field(default_factory=dict)
    signs: frozenset[BreadSign] = frozenset()
    causes: tuple[BakeCause, ...] = ()
    waits: bool = False


def outcome(record: BakeRecord, entries: Sequence[Entry], learning: Learning) -> BakeOutcome:
    """What is known of how a bake came out, and why."""
    tasted = [entry.body for entry in entries if entry.kind is EntryKind.TASTED]
    known = {each.value for each in BreadSign}
    found = BakeOutcome(
        record.bake,
        bool(tasted),
        {name: body[name] for body in tasted for name in MARKS if name in body},
        frozenset(
            BreadSign(each) for body in tasted for each in body.get("signs", ()) if each in known
        ),
    )
    baked = next((each.body for each in entries if each.kind is EntryKind.BAKED), {})
    if not found.signs:
        return found
    answer = learning.beside(
        "why",
        record,
        (found.signs, repr(sorted(baked.items()))),
        lambda believed, _: _causes(record.bake, believed, baked, found.signs),
    )
    return replace(found, causes=answer.found or (), waits=answer.waits)


def _causes(
    bake: Bake, believed: Posterior | None, baked: Mapping[str, object], signs: frozenset[BreadSign]
) -> tuple[BakeCause, ...]:
    try:
        done = as_worked(bake, believed, baked)
        return () if done is None else causes(done, signs)
    except PointageError as error:  # what is stored shuts no screen
        log.warning("why bake %s came out so is not known: %s", bake.key, error)
        return ()


def as_worked(
    bake: Bake, believed: Posterior | None, baked: Mapping[str, object]
) -> BakeAsDone | None:
    """A bake as it was done; None for one that was planned before threads were kept."""
    thread = as_done(bake)
    if thread is None or bake.plan.thread is None or bake.wished is None:
        return None
    done = _thread(bake, thread)
    bulk = readings_in(bake, StepKind.BULK)
    bulk_rises = [r for r in bulk if r.kind is ReadingKind.RISE and r.at <= done.divide]
    last = StepKind.RETARD if done.retarded else StepKind.PROOF
    proof_rises = [r for r in readings_in(bake, last) if r.kind is ReadingKind.RISE]
    levain = [r for r in readings_in(bake, StepKind.BUILD) if r.at <= done.mix]
    rooms = [r.value for r in bulk if r.kind is ReadingKind.ROOM and r.value is not None]
    warm = [r.value for r in bulk if r.kind is ReadingKind.TEMPERATURE]
    return BakeAsDone(
        problem_of(bake, believed),
        bake.plan.thread,
        done,
        dough_c=warm[0] if warm else None,
        room_c=sum(rooms) / len(rooms) if rooms else None,
        divided_rise=bulk_rises[-1].value if bulk_rises else None,
        loaded_rise=proof_rises[-1].value if proof_rises else None,
        levain_fallen=any(r.kind is ReadingKind.FALLEN for r in levain),
        levain_ripe=any(r.kind is ReadingKind.RIPE for r in levain),
        oven_c=_number(baked, "oven_c"),
        minutes=_number(baked, "minutes"),
        core_c=_number(baked, "core_c"),
        steam=steam if isinstance(steam := baked.get("steam"), bool) else None,
    )


def _thread(bake: Bake, thread: Thread) -> Thread:
    """The thread with mix, dividing, shaping and loads when they were done, as far as they follow
    one another."""
    begun = {kind: began(bake, kind) for kind in (StepKind.MIX, StepKind.DIVIDE, StepKind.BAKE)}
    shaped = ended(bake, StepKind.SHAPE) or thread.shaped
    mix = begun[StepKind.MIX] or thread.mix
    divide = begun[StepKind.DIVIDE] or thread.divide
    late = (begun[StepKind.BAKE] or thread.loads[0]) - thread.loads[0]
    loads = tuple(each + late for each in thread.loads)
    if not thread.feeds[-1].at < mix < divide < shaped < loads[0]:
        return thread
    return replace(thread, mix=mix, divide=divide, shaped=shaped, loads=loads)


def _number(body: Mapping[str, object], name: str) -> float | None:
    value = body.get(name)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
