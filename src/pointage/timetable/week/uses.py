"""What the ways of a week use of a kitchen, in whole minutes, for the choice between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from math import ceil, floor, isinf

from pointage.kitchen.capacity import (
    HANDS,
    CapacityKind,
    capacities,
)
from pointage.timetable.problem import TURN_MINUTES, Problem
from pointage.timetable.shortage import COUNTED, needs_of_pieces
from pointage.timetable.ways.amounts import seed_from_jar
from pointage.timetable.ways.levains import EACH_FEED, MOST_FEEDS, STAYS
from pointage.timetable.ways.stands import SPARE
from pointage.timetable.week.cultures import WishWays
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.packing import (
    Alternative,
    CapacityUse,
    HotSpell,
    Options,
    Packing,
)
from pointage.timetable.week.question import WantedStage, WeekQuestion
from pointage.timetable.week.vessels import holding

FIRM, NOT_FIRM = 1000.0, 12.0
"""The price of giving a wish up, in penalty hours (ours)."""
KEEPS_HOT = 25
"""Minutes that an oven keeps its heat after a bake, before it must be lit again (ours)."""
COOLING = 20
"""Minutes to a cooler bread's heat, where the kitchen does not say (ours)."""
TENTHS = 10  # litres and grams are counted in tenths

DoughUses = tuple[list[CapacityUse], tuple[tuple[str, float], ...]]


@dataclass(frozen=True, eq=False)
class Counting:
    """Turns instants into minutes of a week and ways into what they use."""

    question: WeekQuestion
    wishes: Sequence[WishWays]

    def minute(self, at: datetime) -> float:
        return (at - self.question.now) / timedelta(minutes=1)

    def _whole(self, at: datetime) -> tuple[int, int]:
        """The whole minutes not after an instant and not before it."""
        known = self._minutes.get(at)
        if known is None:
            minute = self.minute(at)
            known = self._minutes[at] = floor(minute), ceil(minute)
        return known

    @cached_property
    def _minutes(self) -> dict[datetime, tuple[int, int]]:
        return {}

    def use(
        self, capacity: str, start: datetime, end: datetime, amount: int = 1, task: str = ""
    ) -> CapacityUse:
        since, until = self._whole(start)[0], self._whole(end)[1]
        return CapacityUse(capacity, since, max(until, since + 1), amount, task)

    def packing(self, chosen: Sequence[Sequence[WeekWay]] | None = None) -> Packing:
        """The choice between the ways of every wish, or between others in their place."""
        ways = [each.ways for each in self.wishes] if chosen is None else chosen
        heats = self._heats(ways)
        return Packing(
            self._capacities(),
            tuple(
                Options(
                    tuple(self._alternative(each, way, bowls, heats, doughs) for way in own),
                    FIRM if each.wish.firm else NOT_FIRM,
                    each.left_out - self._most_shared(each),
                )
                for each, own, bowls in zip(self.wishes, ways, self._bowls, strict=True)
                for doughs in [dict[int, DoughUses]()]
            ),
            tuple(self._fixed()),
        )

    def _most_shared(self, wish: WishWays) -> float:
        """What a wish can save at the most by feeds that the others of its batch share."""
        sharers = sum(each.batch == wish.batch for each in self.wishes)
        return _each_feed(wish) * MOST_FEEDS * (1 - 1 / sharers)

    def _capacities(self) -> Mapping[str, int]:
        found = {}
        for each in capacities(self.question.kitchen):
            if each.kind is CapacityKind.FRIDGE:
                found[each.name] = 10**9 if isinf(each.whole) else floor(TENTHS * each.whole)
            else:
                found[each.name] = floor(each.whole) if not isinf(each.whole) else 10**9
        for wish in self.wishes:
            grams = (1 - STAYS) * wish.wish.problem.culture.mass_g
            found[_jar(wish)] = floor(TENTHS * grams)
        counts = {each.name: each.count for each in self.question.kitchen.vessels}
        for names in self._bowls:
            if names:
                found[_named(names)] = sum(counts[name] for name in names)
        return found

    @cached_property
    def _bowls(self) -> list[frozenset[str]]:
        """The bowls and tubs that hold the dough of each wish once it has risen."""
        return [_bowls_of(each.ways) for each in self.wishes]

    def _fixed(self) -> Iterator[CapacityUse]:
        """What bakes under way take. Of what they take too much themselves, no more than all."""
        kitchen = self.question.kitchen
        kinds = {each.name: each.kind for each in capacities(kitchen)}
        every = {taken for wish in self.wishes for taken in wish.wish.problem.occupied}
        for taken in sorted(every, key=lambda each: (each.start, each.capacity)):
            kind = kinds.get(taken.capacity)
            if kind in COUNTED:
                yield self.use(taken.capacity, taken.start, taken.end, ceil(taken.amount))
            elif kind is CapacityKind.FRIDGE:
                amount = ceil(TENTHS * taken.amount)
                yield self.use(taken.capacity, taken.start, taken.end, amount)

    def _alternative(
        self,
        wish: WishWays,
        way: WeekWay,
        bowls: frozenset[str],
        heats: Mapping[str, set[int]],
        doughs: dict[int, DoughUses],
    ) -> Alternative:
        """doughs: what is used before the oven, by the dough; filled as they are met."""
        dough = doughs.get(id(way.way))
        if dough is None:
            dough = doughs[id(way.way)] = self._dough(wish, way, bowls)
        before, tasks = dough
        uses = [*before, *(self.use(HANDS, *span) for span in way.hands_at_oven())]
        penalty = way.penalty - _each_feed(wish) * len(tasks)
        if way.stage is not WantedStage.BAKED:
            return Alternative(penalty, tuple(uses), tasks)
        assert way.preheat is not None
        oven, heat = way.problem.oven, round(way.problem.process.oven.celsius)
        uses.append(self.use(oven.name, way.loads[0] if way.hot else way.preheat, way.ready))
        uses += self._pieces(way)
        out = ceil(self.minute(way.ready))
        first = floor(self.minute(way.loads[0]))
        cooling = round(COOLING if oven.cooling_minutes is None else oven.cooling_minutes)
        turn = round(TURN_MINUTES)
        needs = [
            HotSpell(f"{oven.name} {other}", first - gap - KEEPS_HOT, first - gap)
            for other in sorted(heats[oven.name])
            if other >= heat
            for gap in [turn if other == heat else max(turn, cooling)]
        ]
        leaves = HotSpell(f"{oven.name} {heat}", out, out)
        return Alternative(penalty, tuple(uses), tasks, leaves, tuple(needs) if way.hot else ())

    def _dough(self, wish: WishWays, way: WeekWay, bowls: frozenset[str]) -> DoughUses:
        """What a way uses before the oven."""
        uses = [self.use(HANDS, *span) for span in way.hands_at_dough()]
        waking = way.waking()
        tasks = []
        if waking:
            chain = way.way.levain.feedings()[: len(waking)]
            name = " ".join(f"{self.minute(f.at):.0f}/{f.seed_share}" for f in chain)
            for n, span in enumerate(waking):
                task = f"{wish.batch}, {name}, {n}"
                uses.append(self.use(HANDS, *span, task=task))
                tasks.append((task, _each_feed(wish)))
        grams = seed_from_jar(way.problem, way.way.levain.feedings())
        uses.append(CapacityUse(_jar(wish), 0, 1, ceil(TENTHS * grams)))
        if way.stage not in (WantedStage.RIPE, WantedStage.MIXED):
            # Of the vessels that hold it there is room, and so of those that hold less as well.
            roomy = {names for names in self._bowls if bowls and bowls <= names}
            names_in_use = sorted(map(_named, roomy))
            uses += [self.use(name, way.way.mix, way.way.divide) for name in names_in_use]
        return uses, tuple(tasks)

    def _pieces(self, way: WeekWay) -> Iterator[CapacityUse]:
        """Baskets or tins, and the fridge, while the shaped pieces wait."""
        for capacity, each in needs_of_pieces(way.problem, retarded=way.way.retarded):
            if isinf(capacity.whole):
                continue
            needed = each * way.problem.pieces
            span = way.way.shaped, way.loads[-1]
            if capacity.kind is CapacityKind.FRIDGE:
                yield self.use(capacity.name, *span, ceil(TENTHS * needed))
            elif needed <= capacity.whole:  # else a cook makes do, and the shortage is said
                yield self.use(capacity.name, *span, ceil(needed))

    def _heats(self, ways: Sequence[Sequence[WeekWay]]) -> Mapping[str, set[int]]:
        """The heats that each oven may be left at."""
        found: dict[str, set[int]] = {each.name: set() for each in self.question.kitchen.ovens}
        for own in ways:
            for problem in {id(way.problem): way.problem for way in own if way.loads}.values():
                found[problem.oven.name].add(round(problem.process.oven.celsius))
        return found


def _each_feed(wish: WishWays) -> float:
    return EACH_FEED + wish.wish.lean.each_chore


def _jar(wish: WishWays) -> str:
    return f"the jar of {wish.batch}"


def _bowls_of(ways: Sequence[WeekWay]) -> frozenset[str]:
    """The vessels that hold the dough of some ways; where none does, the one it would be in."""
    if not ways:
        return frozenset()
    problem: Problem = ways[0].problem
    levain = ways[0].way.levain
    dough = problem.dough(levain.mixture, problem.room_c(levain.at)).mixture
    litres = dough.mass / 1000 * dough.volume * problem.process.bulk_rise[2] * SPARE
    fit = holding(problem.kitchen, litres, dough.mass)
    default = problem.stands.bulk(dough, problem.bulk_place).vessel
    known = {each.name for each in problem.kitchen.vessels}
    return frozenset(each.name for each in fit or [default] if each.name in known)


def _named(bowls: frozenset[str]) -> str:
    return f"one of {', '.join(sorted(bowls))}"
