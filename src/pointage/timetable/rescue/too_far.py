"""What went too far in a bake that is under way, and what can still be made of it.

The engine carries the mixture on from where the record has it: how far past its time it is, how
sour, how much of its strength is left. What it says of a way out is a calculation by the likeliest
traits; what it has no model of is common practice and marked so (`Rescue.practice`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from math import ceil

import numpy as np

from pointage.errors import InputError
from pointage.formula.adjust import with_levain_share
from pointage.formula.formula import Rise
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.state import S
from pointage.mixture.temperature.temper import temper
from pointage.timetable.plan import StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.levains import LONGEST_HOLD_H
from pointage.timetable.why.record import HOUR, BakeAsDone

TIN = "tin"
PAST_H = 0.5
"""A levain so long past its window has gone too far: ours."""
WARM_K = 4.0
"""Pieces that stood so much warmer than the cold they were meant for: ours."""
SLOW = 1.15
"""A bulk so many times as long as was meant asks for more levain: ours."""
FEWEST = Fraction(2, 3)
"""Of the pieces; with fewer it is another bake."""
WEAK = 0.85
"""A dough with less of the strength that it was to have spreads: ours."""
FARTHER = 3.0
"""A dough is followed for so many times its planned hours: it may be slow."""
AGAIN_H = 6.0
"""Pieces that are shaped again are followed for so long."""
KNOCKED_BACK = 0.2
"""The share of its bubbles that a piece keeps when shaped again: common practice, no source."""


class TooFarKind(StrEnum):
    """What went too far."""

    LEVAIN = "levain"
    DOUGH = "dough"
    PIECES = "pieces"
    COLD_PIECES = "cold pieces"


class RescueKind(StrEnum):
    """What can still be made of it."""

    USE_NOW = "use now"
    MORE_LEVAIN = "more levain"
    FEED_AGAIN = "feed again"
    DIVIDE_NOW = "divide now"
    BAKE_NOW = "bake now"
    SHAPE_AGAIN = "shape again"
    TIN = "tin"
    FLAT = "flat"
    OLD_DOUGH = "old dough"


@dataclass(frozen=True, slots=True)
class Rescue:
    """One way out. None for what is not calculated of it.

    hours: until the levain is ripe again, or the dough or its pieces stand as the formula wants;
    meant_h: the hours that were meant. ph, meant_ph: then, and as it was meant. strength: of the
    dough, over what it would have had (1: all of it). rise: the most that its pieces come to, where
    that is not what the formula wants. pieces: so many, with the levain there is. practice: common
    practice, no calculation.
    """

    kind: RescueKind
    hours: float | None = None
    meant_h: float | None = None
    ph: float | None = None
    meant_ph: float | None = None
    strength: float | None = None
    rise: float | None = None
    pieces: int | None = None
    practice: bool = False


@dataclass(frozen=True, slots=True)
class TooFar:
    """past_h: hours by which it is past, 0 where only what was seen says so. rise: what it has
    risen to and most: what the formula allows, both None of a levain. warmer_k: what pieces stood
    warmer than meant. read: it was seen, not calculated alone. ways: the likeliest to serve first.
    """

    kind: TooFarKind
    past_h: float
    ph: float
    read: bool
    rise: float | None = None
    most: float | None = None
    warmer_k: float = 0.0
    ways: tuple[Rescue, ...] = ()


@dataclass(frozen=True, eq=False)
class BakeSoFar:
    """A bake under way. stands: what stands now, a BUILD, BULK, PROOF or RETARD. planned: its
    thread; done: with what was done when it was done. rise: read last of what stands. fallen: when
    it was seen fallen. dough_c, room_c: as of `BakeAsDone`. warmer_k: by how much pieces were seen
    to stand warmer than their place was to be.
    """

    problem: Problem
    planned: Thread
    done: Thread
    stands: StepKind
    now: datetime
    rise: float | None = None
    fallen: datetime | None = None
    dough_c: float | None = None
    room_c: float | None = None
    warmer_k: float = 0.0

    def record(self, done: Thread | None = None) -> BakeAsDone:
        """The same as a bake that is done, or with another thread."""
        thread = self.done if done is None else done
        return BakeAsDone(self.problem, self.planned, thread, self.dough_c, self.room_c)

    @property
    def mixed_now(self) -> Thread:
        """The thread with the dough mixed now, and all that follows as much later."""
        late = self.now - self.done.mix
        return replace(
            self.done,
            mix=self.now,
            divide=self.done.divide + late,
            shaped=self.done.shaped + late,
        )


def too_far(bake: BakeSoFar) -> TooFar | None:
    """What went too far and what can be made of it; None where nothing has."""
    match bake.stands:
        case StepKind.BUILD:
            return _levain(bake)
        case StepKind.BULK:
            return _dough(bake)
        case StepKind.PROOF | StepKind.RETARD:
            return _pieces(bake)
    return None


def _levain(bake: BakeSoFar) -> TooFar | None:
    """A levain past its window, with the dough that it still makes, mixed now."""
    record = bake.record(bake.mixed_now)
    past = record.levain_late_h
    if past < PAST_H and bake.fallen is None:
        return None
    levain = record.levain
    if past < 0 and bake.fallen is not None:
        # It was seen fallen before the engine has it so: it is as the engine has it then, and
        # what has passed since.
        last = record.as_done.feeds[-1]
        since = max((bake.now - bake.fallen) / HOUR, 0.0)
        levain = last.course.after((last.taken - last.at) / HOUR - past + since)
    process = bake.problem.process
    planned = bake.planned.divide - bake.planned.mix
    meant = _Stand.at(
        record.bulk(bulk=planned * FARTHER, levain=record.meant_levain), process.bulk_rise[1]
    )
    ways = [_mixed(RescueKind.USE_NOW, record, levain, planned, meant)]
    first = ways[0]
    if first.hours is None or first.hours > SLOW * planned / HOUR:
        ways += _with_more(record, levain, planned, meant)
    again = _ripe_again(bake, levain)
    if again is not None:
        ways.append(Rescue(RescueKind.FEED_AGAIN, hours=again))
    if process.shape != TIN and first.strength is not None and first.strength < WEAK:
        ways.append(Rescue(RescueKind.TIN, strength=first.strength, practice=True))
    ways.append(Rescue(RescueKind.FLAT, practice=True))
    return TooFar(
        TooFarKind.LEVAIN, max(past, 0.0), _ph(levain), bake.fallen is not None, ways=tuple(ways)
    )


def _mixed(
    kind: RescueKind,
    record: BakeAsDone,
    levain: Mixture,
    planned: timedelta,
    meant: _Stand,
) -> Rescue:
    course = record.bulk(bulk=planned * FARTHER, levain=levain)
    found = _Stand.at(course, record.problem.process.bulk_rise[1])
    return Rescue(
        kind,
        hours=found.hours,
        meant_h=planned / HOUR,
        ph=found.ph,
        meant_ph=meant.ph,
        strength=found.strength / meant.strength if meant.strength else None,
        rise=None if found.hours is not None else found.rise,
    )


def _with_more(
    record: BakeAsDone, levain: Mixture, planned: timedelta, meant: _Stand
) -> Iterator[Rescue]:
    """The same levain in a smaller dough, with as few pieces less as bring it back to its time."""
    problem = record.problem
    for pieces in range(problem.pieces - 1, ceil(FEWEST * problem.pieces) - 1, -1):
        smaller = with_fewer(problem, pieces)
        if smaller is None:
            return
        this = replace(record, problem=smaller)
        found = _mixed(RescueKind.MORE_LEVAIN, this, levain, planned, meant)
        found = replace(found, pieces=pieces)
        in_time = found.hours is not None and found.hours <= SLOW * planned / HOUR
        if in_time or (pieces == ceil(FEWEST * problem.pieces) and found.hours is not None):
            yield found
            return


def with_fewer(problem: Problem, pieces: int) -> Problem | None:
    """The bake with fewer pieces from the levain that was built for more; None where flour and
    water of the dough do not leave room for so much."""
    if pieces < 1:
        return None
    try:
        formula = with_levain_share(problem.formula, Fraction(problem.pieces, pieces))
    except InputError:
        return None
    return replace(problem, formula=formula, pieces=pieces)


def _ripe_again(bake: BakeSoFar, levain: Mixture) -> float | None:
    """Hours until the levain is ripe when it is fed now as its last build was."""
    problem, recipe = bake.problem, bake.problem.builds[-1]
    seed = levain.scaled(100.0 * bake.done.feeds[-1].seed_share)
    fresh = recipe.fresh(seed, 100.0)
    if fresh is None:
        return None
    flours, water = fresh
    dry = raw(flours, celsius=problem.room_c(bake.now), record=recipe.record)
    fed = temper([seed, dry], water, recipe.wanted_c).mixture
    here = recipe.stand
    course = hold(
        fed, here.place.surroundings, bake.now, LONGEST_HOLD_H, here.traits(problem.likeliest),
        follow_h=here.follow.hours,
    )  # fmt: skip
    ripe = float(course.ripe()[0][0])
    return None if np.isnan(ripe) else ripe


def _dough(bake: BakeSoFar) -> TooFar | None:
    """A dough that has risen past what the formula allows, before it was divided."""
    record, process = bake.record(), bake.problem.process
    planned = bake.planned.divide - bake.planned.mix
    age = max((bake.now - bake.done.mix) / HOUR, 0.0)
    course = record.bulk(bulk=max(planned * FARTHER, bake.now - bake.done.mix))
    over = _over(course, age, process.bulk_rise, bake)
    if over is None:
        return None
    there = _Stand.at(course, process.bulk_rise[1])
    strength = _strength(course, age) / there.strength if there.strength else None
    gone = bake.record(replace(bake.done, divide=bake.now, shaped=bake.now))
    wanted, lasts = process.proof_rise[1], bake.planned.loads[0] - bake.planned.shaped
    proofed = _Stand.at(gone.proof(timedelta(hours=AGAIN_H)), wanted)
    ways = [
        Rescue(
            RescueKind.DIVIDE_NOW, proofed.hours, lasts / HOUR if not bake.done.retarded else None,
            over.ph, there.ph, strength, None if proofed.hours is not None else proofed.rise,
        ),
        Rescue(RescueKind.TIN, strength=strength, practice=True),
        Rescue(RescueKind.FLAT, practice=True),
        Rescue(RescueKind.OLD_DOUGH, ph=over.ph, practice=True),
    ]  # fmt: skip
    if process.shape == TIN:
        ways = [each for each in ways if each.kind is not RescueKind.TIN]
    return replace(over, ways=_in_order(ways, strength))


def _pieces(bake: BakeSoFar) -> TooFar | None:
    """Shaped pieces that have risen past what the formula allows, or stood too warm."""
    process, retarded = bake.problem.process, bake.stands is StepKind.RETARD
    rises = process.retard_rise if retarded else process.proof_rise
    assert rises is not None, "only a formula with a retarded rise is retarded"
    record = bake.record()
    lasts = bake.now - bake.done.shaped
    course = record.proof(lasts * 2, bake.warmer_k)
    age = max(lasts / HOUR, 0.0)
    over = _over(course, age, rises, bake)
    warm = retarded and bake.warmer_k >= WARM_K
    if over is None and not warm:
        return None
    if over is None:
        over = _seen_at(course, age, rises, bake, 0.0)
    there = _Stand.at(course, rises[1])
    strength = _strength(course, age) / there.strength if there.strength else None
    handled = course.after(age).handled(KNOCKED_BACK)
    room = bake.problem.proof_place
    stand = bake.problem.stands.piece(handled, bake.problem.pieces, room)
    risen = hold(
        handled, room.surroundings, bake.now, AGAIN_H, stand.traits(bake.problem.likeliest),
        follow_h=stand.follow.hours,
    )  # fmt: skip
    again = _Stand.at(risen, process.proof_rise[1])
    ways = [Rescue(RescueKind.BAKE_NOW, ph=over.ph, meant_ph=there.ph, strength=strength)]
    if process.shape != TIN:
        ways.append(
            Rescue(
                RescueKind.TIN, hours=again.hours, strength=strength,
                rise=None if again.hours is not None else again.rise, practice=True,
            )
        )  # fmt: skip
    if again.hours is not None:
        ways.append(Rescue(RescueKind.SHAPE_AGAIN, hours=again.hours, ph=again.ph))
    ways += [
        Rescue(RescueKind.FLAT, practice=True),
        Rescue(RescueKind.OLD_DOUGH, ph=over.ph, practice=True),
    ]
    kind = TooFarKind.COLD_PIECES if retarded else TooFarKind.PIECES
    return replace(over, kind=kind, warmer_k=bake.warmer_k, ways=_in_order(ways, strength))


def _over(course: Course, age: float, rises: Rise, bake: BakeSoFar) -> TooFar | None:
    """How far it is past the most that is allowed; None where it is not, as read or calculated."""
    most = float(course.reaches(rises[2])[0])
    past = 0.0 if np.isnan(most) else max(age - most, 0.0)
    read = bake.fallen is not None or (bake.rise is not None and bake.rise > rises[2])
    if not read and (past <= 0 or bake.rise is not None):
        return None  # what was read last counts before what is calculated
    return _seen_at(course, age, rises, bake, past)


def _seen_at(course: Course, age: float, rises: Rise, bake: BakeSoFar, past: float) -> TooFar:
    row = int(np.abs(course.hours - age).argmin())
    rise = float(course.rise[0, row]) if bake.rise is None else bake.rise
    read = bake.fallen is not None or bake.rise is not None or bake.warmer_k >= WARM_K
    ph = float(course.ph[0, row])
    return TooFar(TooFarKind.DOUGH, past, ph, read, rise, rises[2])


def _in_order(ways: list[Rescue], strength: float | None) -> tuple[Rescue, ...]:
    """A dough that has lost its strength goes into a tin before it goes onto the hearth."""
    if strength is None or strength >= WEAK:
        return tuple(ways)
    return tuple(sorted(ways, key=lambda each: each.kind is not RescueKind.TIN))


@dataclass(frozen=True, slots=True)
class _Stand:
    """A course where it first stands at a rise: after so many hours, None where it never does and
    it is as at its highest."""

    hours: float | None
    ph: float
    strength: float
    rise: float

    @classmethod
    def at(cls, course: Course, rise: float) -> _Stand:
        hours = float(course.reaches(rise)[0])
        never = bool(np.isnan(hours))
        row = int(course.rise[0].argmax() if never else np.abs(course.hours - hours).argmin())
        found = (float(each[0, row]) for each in (course.ph, course.strength, course.rise))
        return cls(None if never else hours, *found)


def _strength(course: Course, age: float) -> float:
    return float(course.strength[0, int(np.abs(course.hours - age).argmin())])


def _ph(mixture: Mixture) -> float:
    return float(np.median(mixture.states[:, S.PH]))
