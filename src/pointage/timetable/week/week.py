"""A week: every wish with its ways, the choice between them, and what becomes of each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from pointage.timetable.choice.alternatives import Packed, Packing
from pointage.timetable.choice.beside import beside, can_be_beside
from pointage.timetable.choice.memo import Memo
from pointage.timetable.choice.proof import MOST_WORK, Chosen, proved, worth_weighing
from pointage.timetable.joint import build_keys, joint_builds
from pointage.timetable.plan import Plan, StepKind
from pointage.timetable.timetable import planned_with_courses
from pointage.timetable.upkeep.rounds import kept_week, put_back
from pointage.timetable.ways.amounts import amounts, seed_grams
from pointage.timetable.week.answer import (
    KeptOdds,
    StepWindow,
    WeekAnswer,
    WeekStatus,
    WishAnswer,
)
from pointage.timetable.week.cultures import Between, Known, WishWays, as_it_stands, ways_of_week
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.odds import followed, kept_odds
from pointage.timetable.week.packing import chosen
from pointage.timetable.week.question import WantedStage, WeekQuestion
from pointage.timetable.week.relief import clashes
from pointage.timetable.week.uses import Counting
from pointage.timetable.week.vessels import with_own_vessels
from pointage.timetable.week.windows import step_windows

Reached = Callable[[float], None]
SoFar = Callable[[tuple[datetime | None, ...]], None]
"""Hears when each wish would be ready by what is found so far, None where nothing is."""
_Planned = tuple[Plan, KeptOdds, tuple[StepWindow, ...]]
SEARCHED, CHOSEN = 0.5, 0.6
"""How much of the work on a week is done once its ways are known, and once they are chosen."""


@dataclass(frozen=True, eq=False)
class WeekChoice:
    """The ways of every wish, what they use, and what was chosen.

    unproved: what its proof begins with, where its bounds are not known yet.
    """

    question: WeekQuestion
    wishes: tuple[WishWays, ...]
    counting: Counting
    packing: Packing
    packed: Packed
    unproved: Chosen | None = None

    @property
    def ways(self) -> list[WeekWay | None]:
        """The chosen way of each wish."""
        return [
            None if number is None else each.ways[number]
            for each, number in zip(self.wishes, self.packed.chosen, strict=True)
        ]

    @property
    def penalty(self) -> float:
        """Penalty hours of what is kept."""
        every = zip(self.packing.wishes, self.packed.chosen, strict=True)
        return self.packed.penalty - sum(wish.given_up for wish, k in every if k is None)

    @property
    def gap(self) -> float:
        """The share of it that another choice which keeps the same might save at the most."""
        saved = self.penalty - self.packed.least_kept
        return min(1.0, max(0.0, saved / self.penalty)) if self.penalty > 0 else 0.0

    def proved_packed(self, work: float = MOST_WORK) -> Packed:
        """What was chosen, with its bounds."""
        if self.unproved is None:
            return self.packed
        # Upkeep may have moved it since.
        best = self.unproved.best and self.packed.chosen == self.unproved.packed.chosen
        return proved(replace(self.unproved, packed=self.packed, best=best), work=work)


def choose_week(
    question: WeekQuestion,
    reached: Reached = lambda share: None,
    *,
    work: float = MOST_WORK,
    so_far: SoFar = lambda ready: None,
    between: Between = as_it_stands,
    known: Known = lambda number, wish, batch: None,
    memo: Memo | None = None,
) -> WeekChoice:
    """The choice of ways and times for all wishes together, whose bounds are left to be proved.

    so_far: hears of each wish by itself as it is found, then of a first choice of all together, and
    of the last. work: of the solver, at the most. between, known: as `ways_of_week`. memo: what was
    worked out for other questions.
    """
    found: dict[int, WishWays] = {}
    alone: list[datetime | None] = [None] * len(question.wishes)
    for number, ways in ways_of_week(question.wishes, known=known, between=between, memo=memo):
        found[number] = ways
        alone[number] = ways.ways[0].ready if ways.ways else None
        so_far(tuple(alone))
        reached(SEARCHED * len(found) / len(question.wishes))
    wishes = tuple(found[number] for number in range(len(question.wishes)))
    memo = memo or Memo()
    counting = Counting(question, wishes, memo)
    packing = counting.packing()

    def heard(packed: Packed) -> None:
        ways = WeekChoice(question, wishes, counting, packing, packed).ways
        so_far(tuple(None if way is None else way.ready for way in ways))

    last = chosen(packing, work=work, so_far=heard, quickly=True)
    if last.is_far:
        more = worth_weighing(last, work=work)
        wishes = tuple(each.with_more(own) for each, own in zip(wishes, more, strict=True))
        counting = Counting(question, wishes, memo)
        packing = counting.packing()
        last = chosen(packing, work=work, known=last.packed)
    heard(last.packed)
    reached(CHOSEN)
    return WeekChoice(question, wishes, counting, packing, last.packed, last)


def plan_week(
    question: WeekQuestion,
    reached: Reached = lambda share: None,
    *,
    work: float = MOST_WORK,
    so_far: SoFar = lambda ready: None,
    memo: Memo | None = None,
) -> WeekAnswer:
    """The plan of a week: each wish kept as well as all of them can be, and why where one is not.

    reached: hears how much is done, from 0 to 1, and may raise to stop it. so_far: hears of each
    wish by itself as it is found, and then of all together. memo: as of `choose_week`.
    """

    def choose(between: Between, known: Known) -> WeekChoice:
        return choose_week(
            question, reached, work=work, so_far=so_far, between=between, known=known, memo=memo
        )

    kept = kept_week(choose, last_of_batch, question)
    # The proof changes nothing of what is chosen, so it need not be waited for.
    with beside(partial(kept.choice.proved_packed, work)) as proof:
        answers = answers_of(kept.choice, reached, memo)
        choice = replace(kept.choice, packed=proof(), unproved=None)
    bound, optimal = kept.proved(choice.packed.bound)
    plans = put_back([each.plan for each in answers], kept.tasks)
    answers = tuple(replace(e, plan=plan) for e, plan in zip(answers, plans, strict=True))
    firm = [each.wish.firm for each in choice.wishes]
    lost = [i for i, way in enumerate(choice.ways) if way is None and firm[i]]
    prices = sum(
        choice.packing.wishes[i].given_up for i, way in enumerate(choice.ways) if way is None
    )
    status = WeekStatus.OPTIMAL if optimal else WeekStatus.FEASIBLE
    found = clashes(choice) if lost else ()
    reached(1.0)
    return WeekAnswer(
        WeekStatus.IMPOSSIBLE if lost else status,
        kept.penalty - prices,
        max(0.0, bound - prices),
        answers,
        found,
        kept.tasks,
        joint_builds(question.kitchen, [each.plan for each in answers]),
        choice.gap,
    )


def answers_of(
    choice: WeekChoice, reached: Reached = lambda share: None, memo: Memo | None = None
) -> tuple[WishAnswer, ...]:
    """The plans of what was chosen, with their odds. memo: as of `choose_week`."""
    ways, memo = choice.ways, memo or Memo()
    together = _woken_together(choice.wishes, ways)
    last_builds = _last_of_batch(choice.wishes, ways)
    in_tubs = _in_tubs(choice.question, ways)
    asked: dict[int, tuple[WeekWay, float, tuple[float, ...]]] = {}
    for number, way in enumerate(ways):
        if way is not None:
            group = together.get(number, [number])
            besides = sum(_seed_g(ways[other]) for other in group if other != number)
            asked[number] = way, besides, tuple(in_tubs[number])
    planned = _all_planned(asked, memo)
    found = []
    for number, (each, way) in enumerate(zip(choice.wishes, ways, strict=True)):
        if way is None:
            found.append(WishAnswer(each.wish))
            continue
        owner, *others = together.get(number, [number])
        plan, odds, windows = next(planned)
        plan = _as_far_as(plan, way.stage, woken=owner == number, keeps=number in last_builds)
        shared = tuple(others) if owner == number and way.waking() else ()
        plan = replace(plan, penalty=way.penalty)
        found.append(WishAnswer(each.wish, way.ready, plan, odds, shared, windows))
        reached(CHOSEN + (1 - CHOSEN) * len(found) / len(ways))
    plans = with_own_vessels(choice.question.kitchen, [each.plan for each in found], ways)
    return tuple(replace(each, plan=plan) for each, plan in zip(found, plans, strict=True))


def _all_planned(
    asked: Mapping[int, tuple[WeekWay, float, tuple[float, ...]]], memo: Memo
) -> Iterator[_Planned]:
    """The plans of some ways, in their order; half of those that are not known meanwhile."""
    new = [each for each in asked.values() if not memo.has(each)]
    theirs = new[: len(new) // 2]
    if not theirs or not can_be_beside():
        for each in asked.values():
            yield memo.get(each, partial(_planned, *each))
        return
    with beside(lambda: [_planned(*each) for each in theirs]) as made:
        for each in new[len(theirs) :]:
            memo.get(each, partial(_planned, *each))
        memo.keep(dict(zip(theirs, made(), strict=True)))
    for each in asked.values():
        yield memo.get(each, partial(_planned, *each))


def last_of_batch(choice: WeekChoice) -> set[int]:
    """The chosen wishes with whose build a culture is fed to be kept."""
    return _last_of_batch(choice.wishes, choice.ways)


def _planned(way: WeekWay, besides_g: float, tub_g: Sequence[float]) -> _Planned:
    """The whole plan of a way, its odds, and when its steps are done."""
    thread = way.thread()
    plan, run = planned_with_courses(way.problem, thread, besides_g, tub_g)
    follower = followed(way.problem, way.stage, thread)
    return plan, kept_odds(follower, run), step_windows(follower)


def _woken_together(
    wishes: Sequence[WishWays], ways: Sequence[WeekWay | None]
) -> dict[int, list[int]]:
    """For each wish all that share the feeds which wake its culture, be it none; one owns them."""
    groups: dict[object, list[int]] = defaultdict(list)
    for number, (each, way) in enumerate(zip(wishes, ways, strict=True)):
        if way is not None:
            chain = way.way.levain.feedings()[: len(way.waking())]
            key = (each.batch, tuple((feed.at, feed.seed_share) for feed in chain))
            groups[key].append(number)
    return {number: group for group in groups.values() for number in group}


def _in_tubs(question: WeekQuestion, ways: Sequence[WeekWay | None]) -> list[list[float]]:
    """Grams in the tub of each build of each wish, with what others have of it."""
    grams: dict[object, float] = defaultdict(float)
    found: list[list[tuple[object, float]]] = []
    for way in ways:
        own: list[tuple[object, float]] = []
        if way is not None:
            feedings, culture = way.way.levain.feedings(), way.problem.culture.name
            keys = build_keys(way.problem.builds, feedings, question.now)
            builds = amounts(way.problem, way.thread().feeds).builds
            own = [((culture, k), float(b.whole_g)) for k, b in zip(keys, builds, strict=True)]
        for key, whole in own:
            grams[key] += whole
        found.append(own)
    return [[grams[key] for key, _ in own] for own in found]


def _last_of_batch(wishes: Sequence[WishWays], ways: Sequence[WeekWay | None]) -> set[int]:
    """The wishes with whose build the culture is fed to be kept: the last of each batch."""
    last: dict[str, int] = {}
    for number, (each, way) in enumerate(zip(wishes, ways, strict=True)):
        if way is None:
            continue
        known = ways[last[each.batch]] if each.batch in last else None
        if known is None or _first_build(way) > _first_build(known):
            last[each.batch] = number
    return set(last.values())


def _first_build(way: WeekWay) -> datetime:
    return way.way.levain.feedings()[-len(way.problem.builds)].at


def _seed_g(way: WeekWay | None) -> float:
    """Grams of seed that the first build of a way takes."""
    if way is None:
        return 0.0
    return float(seed_grams(amounts(way.problem, way.thread().feeds).builds[0]))


def _as_far_as(plan: Plan, stage: WantedStage, *, woken: bool, keeps: bool) -> Plan:
    """The plan up to a stage, with the feeds that are its own."""
    kinds = stage.steps - (frozenset() if woken else {StepKind.FEED})
    steps = (each for each in plan.steps if each.kind in kinds)
    if keeps:
        return replace(plan, steps=tuple(steps))
    return replace(plan, steps=tuple(replace(each, keeping=None) for each in steps))
