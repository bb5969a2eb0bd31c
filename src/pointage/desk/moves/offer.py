"""The offer: the plan with the least change from now on, and what else could be done."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from pointage.desk.moves.asked import LATER_BREAD, MovesAsked, MovesPosed, posed
from pointage.desk.moves.causes import MoveCauseKind
from pointage.desk.moves.move import (
    BakeMoved,
    LetGo,
    Move,
    MovedStep,
    MoveKind,
    NearestStep,
    OfferedMoves,
)
from pointage.desk.moves.step import (
    InTheWay,
    held_step,
    in_the_way,
    movable_step,
    pin_of,
)
from pointage.desk.moves.under_way import FEEDS
from pointage.desk.wording import is_likely
from pointage.errors import InputError
from pointage.timetable.choice.memo import Memo
from pointage.timetable.occupied import occupied_by
from pointage.timetable.pin import Pin
from pointage.timetable.plan import Step, Thread
from pointage.timetable.ways.pinned import begins
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.odds import followed, odds_on
from pointage.timetable.week.question import (
    WantedStage,
    WantedWhen,
    WeekQuestion,
    WeekWish,
)
from pointage.timetable.week.replan import NOTICED, Replanned, UnderWay, replan

FROM_THE_MIX_ON = ("mix", "divide", "bake 1")
"""What is said of a bake besides, whose levain is built anew."""
LATER_ANEW = timedelta(hours=36)
"""… where another levain must be built for it."""
COLD_UNTIL = timedelta(hours=24)
"""So much later it may come out of the fridge."""
SPLIT = timedelta(minutes=30)
"""Later bread is offered beside the plan that keeps its time where it is this much later."""

HELD_WITHIN = timedelta(hours=3)
"""A step that is held and can be no nearer to its time than this is let go (ours)."""
CLEARLY = 0.05
"""So much more likely must be what is offered instead of going on (ours)."""

Reached = Callable[[float], None]


def offered(asked: MovesAsked, reached: Reached = lambda share: None) -> OfferedMoves:
    """What is offered, worked out by the engine."""
    bakes = {each.key: each for each in asked.bakes}
    if all(cause.kind is MoveCauseKind.FOLD for cause in asked.causes):
        return OfferedMoves(asked.causes, bakes)
    try:
        return asked.present.jobs.planner.ask(offer, posed(asked), reached=reached)
    except InputError as error:
        return OfferedMoves(asked.causes, bakes, unusable=error)


def offer(asked: MovesPosed, reached: Reached = lambda share: None) -> OfferedMoves:
    """The same of what was posed. Raises InputError."""
    bakes = {each.key: each for each in asked.bakes}
    turns = _Turns(asked)
    found = turns.replanned(turns.wishes())
    reached(0.4)
    if turns.let_go(found):
        found = turns.replanned(turns.wishes())
    lost = tuple(turns.keys[i] for i in found.given_up)
    if lost:
        later = {key: _later(turns.wish(key)) for key in lost if key != turns.pinned}
        found = turns.replanned(turns.wishes(later))
        reached(0.6)
        lost = tuple(turns.keys[i] for i in found.given_up)
    least = turns.move(MoveKind.LEAST, found)
    if turns.pin is not None:
        step = turns.nearest(found)
        nowhere = step.at is None or (step.why is not None and turns.is_planned(step.at))
        least = None if nowhere else least
        return OfferedMoves(asked.causes, bakes, least, lost=lost, step=step)
    first = asked.first
    others: list[Move] = []
    going_on = None
    if (least is not None or lost) and first.kind is not MoveCauseKind.WANTED:
        going_on = turns.going_on(first.bake)
        least = None if least is None else turns.with_odds(least, first.bake)
    stay = _is_worse(least, going_on, CLEARLY if _on_time(least, first.bake) else -CLEARLY)
    if stay and least is not None:
        others, least = [least], None
    again = turns.again(first.bake, lost, going_on)
    if _is_worse(again, going_on, -CLEARLY):
        again = None
    reached(0.7)
    others += [] if again is None else [again]
    if least is not None or others or lost:
        choices = turns.alternatives(first.bake, found)
        for number, (kind, wish, place, only) in enumerate(choices):
            found_so = turns.replanned(turns.wishes({first.bake: wish}), first.bake, only)
            reached(0.7 + 0.3 * (number + 1) / len(choices))
            other = turns.move(kind, found_so, place)
            known = {each.hours for each in (*others, *([least] if least else []))}
            if other is not None and other.hours not in known:
                others.append(other)
    return OfferedMoves(
        asked.causes, bakes, least, tuple(others), lost, going_on=going_on, stay=stay
    )


def _on_time(move: Move | None, key: str) -> bool:
    return move is None or all(each.on_time for each in move.bakes if each.bake.key == key)


def _is_worse(move: Move | None, going_on: float | None, by: float) -> bool:
    """Whether a bake is less likely kept by a move than by going on, by so much."""
    if move is None or move.odds is None or going_on is None:
        return False
    return move.odds < going_on - by


def _later(wish: WeekWish, by: timedelta = LATER_BREAD) -> WeekWish:
    """As early as can be from the time on that cannot be kept."""
    since = max(wish.last, wish.problem.now)
    problem = replace(wish.problem, ready=since + by)
    return replace(wish, problem=problem, when=WantedWhen.EARLIEST, since=since)


class _Turns:
    """The same question asked in several ways."""

    def __init__(self, asked: MovesPosed) -> None:
        self._asked, self._memo = asked, Memo()
        self._bakes = {each.key: each for each in asked.movable}
        self._held = {each.key: step for each in asked.movable if (step := held_step(each))}
        self.pinned = asked.pinned
        self.keys = list(self._bakes)
        self._before = list(asked.before)
        self._wishes = dict(zip(self.keys, asked.wishes, strict=True))

    @property
    def pin(self) -> Pin | None:
        """The step that is wanted at another time."""
        return self._wishes[self.pinned].pin if self.pinned in self._wishes else None

    def nearest(self, found: Replanned) -> NearestStep:
        """When that step would be, and why not when it is wanted."""
        number, pin, wanted = self.keys.index(self.pinned), self.pin, self._asked.wanted
        assert pin is not None
        assert wanted is not None
        thread, problem = found.threads[number], self._wishes[self.pinned].problem
        at = None
        if thread is not None:
            at = begins(pin, thread, len(problem.builds), problem.process)
        if at is not None and abs(at - pin.at) < NOTICED:
            return NearestStep(at, None)
        step = movable_step(self._bakes[self.pinned], wanted.step)
        return NearestStep(at, self._in_the_way(self.pinned, step, pin.at))

    def _in_the_way(self, key: str, step: Step, at: datetime) -> InTheWay:
        """Why a step of a bake cannot begin at an instant."""
        kitchen = self._wishes[key].problem.kitchen
        others = tuple(
            each
            for other, bake in self._bakes.items()
            if other != key
            for each in occupied_by(bake.plan, kitchen)
        )
        return in_the_way(kitchen, self._bakes[key], step, at, (*self._asked.occupied, *others))

    def let_go(self, found: Replanned) -> bool:
        """Hold no step any longer that would be far from its time; whether one was held so."""
        far = []
        for key, thread in zip(self.keys, found.threads, strict=True):
            wish = self._wishes[key]
            if wish.pin is None or key == self.pinned:
                continue
            problem = wish.problem
            builds, process = len(problem.builds), problem.process
            at = None if thread is None else begins(wish.pin, thread, builds, process)
            if at is None or abs(at - wish.pin.at) > HELD_WITHIN:
                far.append(key)
        self._wishes |= {key: replace(self._wishes[key], pin=None) for key in far}
        return bool(far)

    def _hold(self, key: str, thread: Thread, *, anew: bool) -> tuple[Pin | None, LetGo | None]:
        """The step that a bake under another plan holds at its time, and the one that is let go."""
        bake, step, wanted = self._bakes[key], self._held.get(key), self._asked.wanted
        problem = self._wishes[key].problem
        builds, process = len(problem.builds), problem.process
        if key == self.pinned and self.pin is not None and wanted is not None:
            start = begins(self.pin, thread, builds, process)
            other = None if step is None or step.key == wanted.step else LetGo(step)
            return None if start is None else replace(self.pin, at=start), other
        if step is None:
            return None, None
        pin = pin_of(bake, step, step.start)
        lost = anew and step.kind in FEEDS  # it was one of the levain that is given up
        start = None if lost else begins(pin, thread, builds, process)
        if start is not None and abs(start - pin.at) < NOTICED:
            return replace(pin, at=start), None
        if pin.at < self._asked.now:  # it is overdue, and that is said
            return None, None
        return None, LetGo(step, self._in_the_way(key, step, pin.at))

    def is_planned(self, at: datetime) -> bool:
        """Whether that step would be no nearer to the time that is wanted than it is planned."""
        wanted = self._asked.wanted
        assert wanted is not None
        planned = movable_step(self._bakes[self.pinned], wanted.step).start
        return abs(planned - wanted.at) <= abs(at - wanted.at) + NOTICED

    def wish(self, key: str) -> WeekWish:
        return self._wishes[key]

    def wishes(self, instead: Mapping[str, WeekWish] | None = None) -> list[WeekWish]:
        return [(instead or {}).get(key, self._wishes[key]) for key in self.keys]

    def replanned(
        self,
        wishes: Sequence[WeekWish],
        first: str = "",
        only: Callable[[WeekWay], bool] | None = None,
        anew: Collection[int] = (),
    ) -> Replanned:
        question = WeekQuestion(self._asked.kitchen, self._asked.now, tuple(wishes))
        number = self.keys.index(first) if first else -1
        allowed = None if only is None else lambda wish, way: wish != number or only(way)
        return replan(question, self._before, allowed=allowed, anew=anew, memo=self._memo)

    def going_on(self, key: str) -> float | None:
        """How likely a bake is kept as it is planned now, by who goes on by the signs; None of one
        that is not begun."""
        before = self._before[self.keys.index(key)]
        if not before.begun:
            return None
        wish = self._wishes[key]
        return odds_on(wish.problem, wish.stage, before.thread, before)

    def with_odds(self, move: Move, key: str) -> Move:
        """The same with the odds that a bake is kept by it."""
        moved = next((each for each in move.bakes if each.bake.key == key), None)
        if moved is None:
            return move
        before = replace(self._before[self.keys.index(key)], thread=moved.thread)
        so_far = None if moved.anew else before
        stage = self._wishes[key].stage
        if so_far is not None and so_far.begun:
            return replace(move, odds=odds_on(moved.problem, stage, moved.thread, so_far))
        lived = followed(moved.problem, stage, moved.thread).lived
        return replace(move, odds=float(np.mean(lived.kept)))

    def again(self, key: str, lost: Sequence[str], going_on: float | None) -> Move | None:
        """Another levain from the jar, where one that stands is lost or unlikely to do."""
        number = self.keys.index(key)
        if not self._before[number].may_begin_anew:
            return None
        if key not in lost and (going_on is None or is_likely(going_on)):
            return None
        wish = self._wishes[key]
        if key in lost:
            wish = _later(wish, LATER_ANEW)
        found = self.replanned(self.wishes({key: wish}), anew=(number,))
        move = self.move(MoveKind.AGAIN, found)
        return None if move is None else self.with_odds(move, key)

    def move(self, kind: MoveKind, found: Replanned, place: str = "") -> Move | None:
        """What changes, as a move; None where nothing does, or where a bake is lost by it."""
        if found.given_up and kind is not MoveKind.LEAST:
            return None
        bakes = []
        for key, before, way, thread in zip(
            self.keys, self._before, found.choice.ways, found.threads, strict=True
        ):
            if way is None or thread is None:
                continue
            bake, wanted = self._bakes[key], self._wishes[key].last
            if key == self.pinned:
                wanted = bake.plan.ready
                if abs(way.ready - wanted) >= NOTICED:
                    wanted = way.ready
            moved = thread != before.thread or bool(place and key == self._asked.first.bake)
            if not moved and wanted == bake.plan.ready:
                continue
            if way.ready > wanted + NOTICED:
                wanted = way.ready
            out = max((step.end for step in bake.plan.steps if step.hands), default=wanted)
            anew = self.keys.index(key) in found.anew
            hold = self._hold(key, thread, anew=anew)
            edge = way.way.levain.edge if abs(way.way.levain.edge) >= NOTICED else timedelta()
            bakes.append(
                BakeMoved(bake, way.problem, thread, wanted, way.ready, out, anew, *hold, edge)
            )
        if not bakes:
            return None
        steps = [
            MovedStep(self.keys[each.wish], each.what, each.before, each.after)
            for each in found.moved
            if each.wish not in found.anew or each.what in FROM_THE_MIX_ON
        ]
        for number in found.anew:
            first, was = found.threads[number], self._before[number].thread
            if first is not None:
                at = MovedStep(self.keys[number], "anew", was.feeds[-1].at, first.feeds[0].at)
                steps.insert(0, at)
        return Move(kind, tuple(bakes), tuple(steps), place)

    def alternatives(self, key: str, found: Replanned) -> list[_Choice]:
        """The other ways that may be worth it for a bake: each with its wish and its place."""
        way = found.choice.ways[self.keys.index(key)]
        wish, before = self._wishes[key], self._before[self.keys.index(key)]
        kept = way is not None and way.ready <= wish.last + NOTICED
        choices = [*_warmer(wish, before)]
        if not kept:
            choices += _awake(wish)
        if wish.stage is not WantedStage.BAKED:
            return choices
        problem, retard = wish.problem, wish.problem.retard_place
        if retard is not None and not before.thread.retarded:
            cold = replace(problem, ready=wish.last + COLD_UNTIL)
            asked = replace(wish, problem=cold, when=WantedWhen.BETWEEN, since=wish.first)
            choices.append((MoveKind.COLD, asked, retard.name, _retarded))
        if kept:
            late = max((e.late for e in self._asked.causes if e.bake == key), default=SPLIT)
            since = wish.last + min(max(SPLIT, late), LATER_BREAD)
            later = replace(problem, ready=since + SPLIT)
            asked = replace(wish, problem=later, when=WantedWhen.BETWEEN, since=since)
            choices.append((MoveKind.LATER, asked, "", None))
        return choices


_Choice = tuple[MoveKind, WeekWish, str, Callable[[WeekWay], bool] | None]


def _warmer(wish: WeekWish, before: UnderWay) -> Iterator[_Choice]:
    """What does not stand yet, in the warmest place."""
    problem = wish.problem
    process, warm = problem.process, problem.kitchen.warmest_place.name
    bulk = process.bulk_place if before.mixed else warm
    proof = process.proof_place if before.divided else warm
    if (bulk, proof) != (process.bulk_place, process.proof_place):
        process = replace(process, bulk_place=bulk, proof_place=proof)
        formula = replace(problem.formula, process=process)
        yield MoveKind.WARM, replace(wish, problem=replace(problem, formula=formula)), warm, None


def _awake(wish: WeekWish) -> Iterator[_Choice]:
    """With somebody up at night: at its time, or as soon after it as can be."""
    kitchen = wish.problem.kitchen
    if not kitchen.hours.sleep:
        return
    up = replace(kitchen, hours=replace(kitchen.hours, sleep=()))
    yield MoveKind.AWAKE, _later(replace(wish, problem=replace(wish.problem, kitchen=up))), "", None


def _retarded(way: WeekWay) -> bool:
    return way.way.retarded
