"""What the ways of a week use of a kitchen, in whole minutes, for the choice between them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property, partial
from itertools import pairwise
from math import ceil, floor, isinf

import numpy as np

from pointage.kitchen.capacity import (
    HANDS,
    CapacityKind,
    capacities,
)
from pointage.kitchen.kitchen import Oven
from pointage.timetable.choice.alternatives import (
    Alternative,
    CapacityUse,
    HotSpell,
    LeftOut,
    Options,
    Packing,
)
from pointage.timetable.choice.memo import Memo
from pointage.timetable.joint import BuildKey, build_keys, made_alike, most_in_a_tub
from pointage.timetable.oven import load_of
from pointage.timetable.problem import TURN_MINUTES, Problem
from pointage.timetable.shortage import COUNTED, needs_of_pieces
from pointage.timetable.ways.amounts import seed_from_jar
from pointage.timetable.ways.levains import EACH_FEED, STAYS
from pointage.timetable.ways.stands import SPARE
from pointage.timetable.week.cultures import WishWays, least_off
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.question import WantedStage, WeekQuestion, WeekWish
from pointage.timetable.week.vessels import holding

FIRM, NOT_FIRM = 1000.0, 12.0
"""The price of giving a wish up, in penalty hours (ours); of one that is not firm, for how much
worse others would be by it."""
KEEPS_HOT = 25
"""Minutes that an oven keeps its heat after a bake, before it must be lit again (ours). One that
would be lit within them for the next bread is left on instead."""
LIKE_K = 10
"""An oven that is left cooler by no more is as hot as is wanted by the time it is loaded (ours)."""
COOLING = 20
"""Minutes to a cooler bread's heat, where the kitchen does not say (ours)."""
EACH_BUILD = 0.5
"""Penalty hours for a build that is made apart where several doughs could share it (ours)."""
TENTHS = 10  # litres and grams are counted in tenths

JointKey = tuple[str, BuildKey]
DoughUses = tuple[list[CapacityUse], tuple[tuple[str, float], ...]]
BakeUses = tuple[list[CapacityUse], HotSpell, tuple[HotSpell, ...]]


@dataclass(frozen=True, eq=False)
class _Met:
    """What ways of one wish use, filled as they are met: before the oven, by the dough; at it, by
    the bake and its loads; and what the pieces of each load take, by the bake and whether they are
    retarded."""

    doughs: dict[int, DoughUses] = field(default_factory=dict)
    bakes: dict[tuple[int, tuple[datetime, ...], bool], BakeUses] = field(default_factory=dict)
    pieces: dict[tuple[int, bool], list[tuple[str, list[int]]]] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Counting:
    """Turns instants into minutes of a week and ways into what they use. memo: what was worked out
    for other weeks."""

    question: WeekQuestion
    wishes: Sequence[WishWays]
    memo: Memo = field(default_factory=Memo)

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
        return self._one(CapacityUse(capacity, since, max(until, since + 1), amount, task))

    def _one(self, use: CapacityUse) -> CapacityUse:
        """The very same of all that are alike, so that what is asked of it is asked once."""
        return self._uses.setdefault(use, use)

    @cached_property
    def _uses(self) -> dict[CapacityUse, CapacityUse]:
        return {}

    def packing(self, chosen: Sequence[Sequence[WeekWay]] | None = None) -> Packing:
        """The choice between the ways of every wish, or between others in their place."""
        ways = [each.ways for each in self.wishes] if chosen is None else chosen
        heats = self._heats(ways)
        joint = self._joint(ways)
        return Packing(
            {**self._capacities(), **dict.fromkeys(map(_tub, joint.values()), self._largest_tub)},
            tuple(
                self.memo.get(
                    self._asked(each, own, bowls, heats, joint),
                    partial(self._options, each, own, bowls, heats, joint),
                )
                for each, own, bowls in zip(self.wishes, ways, self._bowls, strict=True)
            ),
            tuple(self._fixed()),
        )

    def _options(
        self,
        wish: WishWays,
        ways: Sequence[WeekWay],
        bowls: Bowls,
        heats: Mapping[str, set[int]],
        joint: Mapping[JointKey, str],
    ) -> Options:
        met = _Met()
        return Options(
            tuple(self._alternative(wish, way, bowls, heats, joint=joint, met=met) for way in ways),
            _given_up(wish.wish, ways),
            self._left_out(wish, heats, joint, met),
        )

    def _asked(
        self,
        wish: WishWays,
        ways: Sequence[WeekWay],
        bowls: Bowls,
        heats: Mapping[str, set[int]],
        joint: Mapping[JointKey, str],
    ) -> Hashable:
        """All that the options of a wish hang on. Ways are like none but themselves."""
        culture, ends = wish.wish.problem.culture.name, wish.left_out.ways
        of_bread = [way.problem for way in ways if way.loads]
        of_bread += [end.problem for end in ends.endings if end.loads] if ends else []
        ovens = {(each.oven.name, round(each.process.oven.celsius)): each for each in of_bread}
        hot = {key: self._left_on(wish, each.oven, key[1]) for key, each in ovens.items()}
        return (
            Options,
            tuple(ways),
            wish.left_out,
            wish.batch,
            self.question.now,
            wish.wish.lean,
            _given_up(wish.wish, ways),
            sum(each.batch == wish.batch for each in self._building_alike(wish)),
            bool(self._building_alike(wish)),
            bowls,
            frozenset(each.fit for each in self._bowls),
            frozenset((name, frozenset(those)) for name, those in heats.items()),
            frozenset(hot.items()),
            frozenset(each for each in joint.items() if each[0][0] == culture),
        )

    def _left_out(
        self,
        wish: WishWays,
        heats: Mapping[str, set[int]],
        joint: Mapping[JointKey, str],
        met: _Met,
    ) -> LeftOut | None:
        """The ways that are not weighed: what all that are alike use."""
        ways = wish.left_out.ways
        if ways is None:  # nobody knows what they are
            return LeftOut(np.zeros(1), np.zeros((1, 1), dtype=np.intp), ((Alternative(0.0, ()),),))
        if not wish.left_out.numbers:
            return None
        (built, levains), (divided, doughs), (ended, endings) = wish.left_out.alike
        alike = 1 + sum(each.batch == wish.batch for each in self._building_alike(wish))
        until_folded, until_shaped, until_ready = [], [], []
        saved = []
        names = set(joint.values())
        for way in levains:
            uses, tasks = self._levain(wish, way, joint)
            hands = way.hands_at_dough()[len(way.problem.builds) :]
            uses += [self.use(HANDS, *span) for span in (hands[:-2] if _divides(way) else hands)]
            until_folded.append(Alternative(0.0, tuple(uses), tasks))
            made = sum(name in names for name, _ in tasks)
            apart = len(way.problem.builds) - made if alike > 1 else 0
            # Those not weighed may share their builds with each other, too.
            shared = EACH_BUILD * apart * (1 - 1 / alike)
            saved.append(shared + sum(price for _, price in tasks))
        for way in doughs:
            spans = way.hands_at_dough()[-2:] if _divides(way) else []
            until_shaped.append(Alternative(0.0, tuple(self.use(HANDS, *each) for each in spans)))
        for way in endings:
            bake: BakeUses | None = None
            if way.stage is WantedStage.BAKED:
                end = (id(way.problem), way.loads, way.hot)
                bake = met.bakes.get(end) or self._bake(wish, way, heats)
            uses, leaves, needs = bake or ([], None, ())
            until_ready.append(Alternative(0.0, tuple(uses), (), leaves, needs))
        penalty = ways.penalty[list(wish.left_out.numbers)] - np.array(saved)[built]
        which = np.stack([built, divided, ended], axis=1)
        return LeftOut(
            penalty, which, (tuple(until_folded), tuple(until_shaped), tuple(until_ready))
        )

    def _building_alike(self, wish: WishWays) -> list[WishWays]:
        """The other wishes that may share a build with one."""
        first = wish.wish.problem.builds[0]
        return [
            each
            for each in self.wishes
            if each is not wish
            and each.wish.problem.culture.name == wish.wish.problem.culture.name
            and made_alike(first, each.wish.problem.builds[0])
        ]

    def _joint(self, ways: Sequence[Sequence[WeekWay]]) -> Mapping[JointKey, str]:
        """The builds that several wishes could have in common, with a name for each."""
        found: dict[JointKey, set[int]] = defaultdict(set)
        for number, (wish, own) in enumerate(zip(self.wishes, ways, strict=True)):
            problem = wish.wish.problem
            if self._building_alike(wish):
                for levain in {id(way.way.levain): way.way.levain for way in own}.values():
                    for key in build_keys(problem.builds, levain.feedings(), self.question.now):
                        if key is not None:
                            found[problem.culture.name, key].add(number)
        several = (key for key, numbers in found.items() if len(numbers) > 1)
        return {key: f"{key[0]}, build {n}" for n, key in enumerate(several)}

    @cached_property
    def _largest_tub(self) -> int:
        return floor(TENTHS * most_in_a_tub(self.question.kitchen))

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
        for names in {each.fit for each in self._bowls if each.fit}:
            found[_named(names)] = sum(counts[name] for name in names)
        return found

    @cached_property
    def _bowls(self) -> list[Bowls]:
        """What the dough of each wish may rise in."""
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
        bowls: Bowls,
        heats: Mapping[str, set[int]],
        *,
        joint: Mapping[JointKey, str],
        met: _Met,
    ) -> Alternative:
        dough = met.doughs.get(id(way.way))
        if dough is None:
            dough = met.doughs[id(way.way)] = self._dough(wish, way, bowls, joint)
        before, tasks = dough
        # What a feed costs is in the way; what is saved by sharing a build is not.
        penalty = way.penalty - sum(price for _, price in tasks)
        if way.stage is not WantedStage.BAKED:
            return Alternative(penalty, tuple(before), tasks)
        end, alike = (id(way.problem), way.loads, way.hot), (id(way.problem), way.way.retarded)
        if end not in met.bakes:
            met.bakes[end] = self._bake(wish, way, heats)
        if alike not in met.pieces:
            met.pieces[alike] = list(_loads(way.problem, retarded=way.way.retarded))
        uses, leaves, needs = met.bakes[end]
        waits = list(pairwise((way.way.shaped, *way.loads)))
        pieces = [
            self.use(name, *until_next, amount)
            for name, amounts in met.pieces[alike]
            for until_next, amount in zip(waits, amounts, strict=True)
        ]
        return Alternative(penalty, (*before, *uses, *pieces), tasks, leaves, needs)

    def _bake(self, wish: WishWays, way: WeekWay, heats: Mapping[str, set[int]]) -> BakeUses:
        """What a way uses at the oven, how it leaves it, and how it needs it to have been left."""
        assert way.preheat is not None
        oven, heat = way.problem.oven, round(way.problem.process.oven.celsius)
        uses = [self.use(HANDS, *span) for span in way.hands_at_oven()]
        uses.append(self.use(oven.name, way.loads[0] if way.hot else way.preheat, way.ready))
        out = ceil(self.minute(way.ready))
        first = floor(self.minute(way.loads[0]))
        cooling = round(COOLING if oven.cooling_minutes is None else oven.cooling_minutes)
        turn = round(TURN_MINUTES)
        longest = self._left_on(wish, oven, heat)
        needs = [
            HotSpell(f"{oven.name} {other}", first - max(longest, gap + KEEPS_HOT), first - gap)
            for other in sorted(heats[oven.name])
            if other >= heat - LIKE_K
            for gap in [turn if other <= heat else max(turn, cooling)]
        ]
        leaves = HotSpell(f"{oven.name} {heat}", out, out)
        return uses, leaves, tuple(needs) if way.hot else ()

    def _left_on(self, wish: WishWays, oven: Oven, heat: int) -> int:
        """Minutes for which an oven may be left on for a wish: nothing cooler may come between."""
        between = (
            each.wish.problem.baked_in(oven.name)
            for each in self.wishes
            if each is not wish and each.wish.stage is WantedStage.BAKED
        )
        cooler = (
            each.process.load_minutes + each.bake_minutes + 2 * TURN_MINUTES
            for each in between
            if each.process.oven.celsius < heat - LIKE_K
        )
        return floor(min([KEEPS_HOT + oven.preheat_minutes, *(each - 1 for each in cooler)]))

    def _dough(
        self,
        wish: WishWays,
        way: WeekWay,
        bowls: Bowls,
        joint: Mapping[JointKey, str],
    ) -> DoughUses:
        """What a way uses before the oven."""
        uses, tasks = self._levain(wish, way, joint)
        hands = way.hands_at_dough()[len(way.problem.builds) :]  # the builds are first
        uses += [self.use(HANDS, *span) for span in hands]
        if way.stage not in (WantedStage.RIPE, WantedStage.MIXED):
            # Of the vessels that hold it there is room, and so of those that hold less as well.
            roomy = {each.fit: bowls.of(each.fit) for each in self._bowls if bowls.of(each.fit)}
            for which, taken in sorted(roomy.items(), key=lambda each: _named(each[0])):
                uses.append(self.use(_named(which), way.way.mix, way.way.divide, taken))
        return uses, tasks

    def _levain(self, wish: WishWays, way: WeekWay, joint: Mapping[JointKey, str]) -> DoughUses:
        """What a way uses up to its last build."""
        feedings, builds = way.way.levain.feedings(), way.problem.builds
        names = [""] * len(builds)
        if joint:
            keys = build_keys(builds, feedings, self.question.now)
            culture = way.problem.culture.name
            names = ["" if key is None else joint.get((culture, key), "") for key in keys]
        spans = way.hands_at_dough()[: len(builds)]
        uses = [self.use(HANDS, *span, task=name) for span, name in zip(spans, names, strict=True)]
        tasks = [(name, EACH_BUILD) for name in names if name]
        for name, stage in zip(names, way.problem.build_stages, strict=True):
            if name:
                built = float(way.problem.formula.whole(stage).mass) * way.problem.flour_g() / 100
                uses.append(self._one(CapacityUse(_tub(name), 0, 1, ceil(TENTHS * built))))
        waking = way.waking()
        if waking:
            chain = feedings[: len(waking)]
            name = " ".join(f"{self.minute(f.at):.0f}/{f.seed_share}" for f in chain)
            for n, span in enumerate(waking):
                task = f"{wish.batch}, {name}, {n}"
                uses.append(self.use(HANDS, *span, task=task))
                tasks.append((task, _each_feed(wish)))
        grams = seed_from_jar(way.problem, feedings)
        uses.append(self._one(CapacityUse(_jar(wish), 0, 1, ceil(TENTHS * grams))))
        return uses, tuple(tasks)

    def _heats(self, ways: Sequence[Sequence[WeekWay]]) -> Mapping[str, set[int]]:
        """The heats that each oven may be left at."""
        found: dict[str, set[int]] = {each.name: set() for each in self.question.kitchen.ovens}
        left_out = [each.left_out.ways for each in self.wishes]
        ended = [end for each in left_out if each for end in each.endings]
        bread = [way.problem for own in ways for way in own if way.loads]
        bread += [end.problem for end in ended if end.loads]
        for problem in {id(each): each for each in bread}.values():
            found[problem.oven.name].add(round(problem.process.oven.celsius))
        return found


def _divides(way: WeekWay) -> bool:
    """Whether the last of its work at the dough is to divide and to shape it."""
    return way.stage in (WantedStage.SHAPED, WantedStage.BAKED)


def _loads(problem: Problem, *, retarded: bool) -> Iterator[tuple[str, list[int]]]:
    """What shaped pieces wait in or on, with how much of it all take that wait for each load."""
    for capacity, each in needs_of_pieces(problem, retarded=retarded):
        if isinf(capacity.whole):
            continue
        if capacity.kind in COUNTED and each * problem.pieces > capacity.whole:
            continue  # a cook makes do, and the shortage is said
        unit = TENTHS if capacity.kind is CapacityKind.FRIDGE else 1
        most = load_of(problem.oven, problem.process)
        waiting = [problem.pieces - n * most for n in range(problem.loads)]
        yield capacity.name, [ceil(unit * each * pieces) for pieces in waiting]


def _given_up(wish: WeekWish, ways: Sequence[WeekWay]) -> float:
    """The price of giving a wish up: of one that is not firm, beyond the best that it could be, or
    an ordinary bake would be left out with nothing in its way."""
    if wish.firm:
        return FIRM + least_off(wish, ways)
    return NOT_FIRM + min((way.penalty for way in ways), default=0.0)


def _each_feed(wish: WishWays) -> float:
    return EACH_FEED + wish.wish.lean.each_chore


def _tub(build: str) -> str:
    return f"the tub of {build}"


def _jar(wish: WishWays) -> str:
    return f"the jar of {wish.batch}"


@dataclass(frozen=True, slots=True)
class Bowls:
    """What a dough may rise in, by name: one of `fit`, or in equal parts in all of `several`."""

    fit: frozenset[str] = frozenset()
    several: tuple[str, ...] = ()

    def of(self, names: frozenset[str]) -> int:
        """How many of these it takes."""
        if self.several:
            return sum(each in names for each in self.several)
        return int(bool(self.fit) and self.fit <= names)


def _bowls_of(ways: Sequence[WeekWay]) -> Bowls:
    """What the dough of some ways may rise in; where nothing holds it, what it would be in."""
    if not ways:
        return Bowls()
    problem: Problem = ways[0].problem
    levain = ways[0].way.levain
    dough = problem.dough(levain.mixture, problem.room_c(levain.at)).mixture
    litres = dough.mass / 1000 * dough.volume * problem.process.bulk_rise[2] * SPARE
    fit = holding(problem.kitchen, litres, dough.mass)
    known = {each.name for each in problem.kitchen.vessels}
    bowls = [each.name for each in problem.stands.bowls(dough) if each.name in known]
    names = frozenset(each.name for each in fit) or frozenset(bowls)
    return Bowls(names, tuple(bowls) if len(bowls) > 1 else ())


def _named(bowls: frozenset[str]) -> str:
    return f"one of {', '.join(sorted(bowls))}"
