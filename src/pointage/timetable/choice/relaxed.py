"""What no choice can undercut, by a choice that may take parts of several alternatives of a wish.

Such a choice is found in hundredths of a second (linear programming), and is mostly within a
hundredth of the best whole one. Its prices of what is used, instant by instant, tell how much
dearer than itself any choice with a certain alternative must be, be that weighed or not.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import Alternative, HotSpell, LeftOut, left_for
from pointage.timetable.choice.columns import UseColumns, needing

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Needs = tuple[HotSpell, ...]

QUICKLY = "use_dual_simplex: true use_preprocessing: false max_deterministic_time: {work}"
"""How the solver is quickest by far, of all that were tried."""


@dataclass(frozen=True, eq=False)
class _Prices:
    """What more room would save, never less than nothing.

    during: of each capacity, instants and the sum of the prices up to each. tasks: what a wish pays
    for its part of a task; rest: what nobody pays of it. hot: what it costs a wish to need
    something left hot, for which who leaves it is paid.
    """

    during: Mapping[str, tuple[list[int], list[float]]]
    tasks: Mapping[tuple[int, str], float]
    rest: Mapping[str, float]
    hot: Mapping[tuple[int, Needs], tuple[Alternative, float]]

    def of(self, wish: int, one: Alternative, lacking: Mapping[str, int]) -> float:
        """What an alternative of a wish pays. lacking: how many wishes would share tasks that have
        no price yet."""
        paid = 0.0
        for use in one.uses:
            if not use.task and use.capacity in self.during:
                instants, so_far = self.during[use.capacity]
                since, until = bisect_right(instants, use.start), bisect_right(instants, use.end)
                paid += use.amount * (so_far[until] - so_far[since])
        for task, price in one.tasks:
            own = self.tasks.get((wish, task))
            paid += self.rest.get(task, price) / lacking[task] if own is None else own
        if one.needs and (wish, one.needs) in self.hot:
            paid += self.hot[wish, one.needs][1]
        if one.leaves is not None:
            for (other, _), (needing_it, price) in self.hot.items():
                if other != wish and left_for(needing_it, one.leaves):
                    paid -= price
        return paid


@dataclass(frozen=True, eq=False)
class Relaxed:
    """bound: what no choice of what was weighed undercuts. over: of each wish, by how much any with
    an alternative, by its number, is above that at the least."""

    bound: float
    over: tuple[dict[int, float], ...]
    _least: Sequence[float]
    _prices: _Prices

    def unseen(self, every: Sequence[LeftOut | None]) -> list[Floats]:
        """The same of those of each wish that were not weighed; it may be less than nothing."""
        parts = [left.parts if left else () for left in every]
        lacking = Counter(
            task
            for i, own in enumerate(parts)
            for task in {name for part in own for each in part for name, _ in each.tasks}
            if (i, task) not in self._prices.tasks
        )
        found = []
        for i, left in enumerate(every):
            over = np.zeros(0) if left is None else left.penalty - self._least[i]
            for which, part in zip(left.which.T, left.parts, strict=True) if left else ():
                prices = [each.penalty + self._prices.of(i, each, lacking) for each in part]
                over = over + np.array(prices)[which]
            found.append(over)
        return found


@dataclass(eq=False)
class Relaxation:
    """Alternatives of each wish, by their numbers, which may be taken in part, as the solver for
    such takes them: sums of the parts of some literals that are no more than there is room for."""

    columns: UseColumns
    near: Sequence[Sequence[int]]
    _sums: list[tuple[Numbers, Floats, float]] = field(default_factory=list)
    _meant: list[object] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._problem = self.columns.problem
        literals: list[dict[int, int]] = []
        prices: list[float] = []
        costs: dict[str, float] = {}
        holding: list[tuple[int, str, list[int]]] = []
        for i, (wish, kept) in enumerate(zip(self._problem.wishes, self.near, strict=True)):
            own = {k: len(prices) + n for n, k in enumerate(kept)}
            literals.append(own)
            prices += [wish.alternatives[k].penalty for k in kept]
            with_task: dict[str, list[int]] = defaultdict(list)
            for k in kept:
                for task, price in wish.alternatives[k].tasks:
                    with_task[task].append(own[k])
                    costs[task] = price
            holding += [(i, task, those) for task, those in with_task.items()]
        self._firsts = [0, *accumulate(map(len, literals))]
        self._tasks = {task: len(prices) + n for n, task in enumerate(costs)}
        self._costs = np.array([*prices, *costs.values()])
        for i, task, those in holding:
            self._at_most(those, [self._tasks[task]], (i, task))
        for i, numbers, leaving in needing(self._problem, self.near):
            one_of = [literals[j][k] for j, k in leaving]
            example = self._problem.wishes[i].alternatives[numbers[0]]
            self._at_most([literals[i][k] for k in numbers], one_of, (i, example))
        for uses in self.columns.used_in_turn(literals, self._tasks):
            for instant, held_by, amounts, room in uses.too_much():
                self._sums.append((held_by, amounts.astype(float), room))
                self._meant.append((uses.capacity, instant))

    def _at_most(self, those: Sequence[int], others: Sequence[int], meant: object) -> None:
        amounts = np.array([1.0] * len(those) + [-1.0] * len(others))
        self._sums.append((np.array([*those, *others], dtype=np.intp), amounts, 0.0))
        self._meant.append(meant)

    def solved(self, work: float) -> Relaxed:
        """What it costs at the least, by prices that are found within so much work.

        Whatever the prices are worth, the bound holds: it is worked out from them anew.
        """
        duals = self._duals(work)
        dearer, bound = self._costs.copy(), 0.0
        for (literals, amounts, room), price in zip(self._sums, duals, strict=True):
            if price:
                dearer[literals] += price * amounts
                bound -= price * room
        bound += float(np.minimum(dearer[self._firsts[-1] :], 0.0).sum())
        over, floors = [], []
        for i, (kept, wish) in enumerate(zip(self.near, self._problem.wishes, strict=True)):
            own = dearer[self._firsts[i] : self._firsts[i + 1]]
            least = min(wish.given_up, float(own.min(initial=inf)))
            bound += least
            floors.append(least)
            over.append(dict(zip(kept, (own - least).tolist(), strict=True)))
        rest = {task: max(0.0, float(dearer[number])) for task, number in self._tasks.items()}
        return Relaxed(bound, tuple(over), floors, self._prices(duals, rest))

    def _prices(self, duals: Sequence[float], rest: Mapping[str, float]) -> _Prices:
        tasks: dict[tuple[int, str], float] = {}
        hot: dict[tuple[int, Needs], tuple[Alternative, float]] = {}
        at: dict[str, list[tuple[int, float]]] = defaultdict(list)
        for meant, price in zip(self._meant, duals, strict=True):
            match meant:
                case (int(wish), str(task)):
                    tasks[wish, task] = price
                case (int(wish), Alternative() as example):
                    hot[wish, example.needs] = example, price
                case (str(capacity), int(instant)) if price:
                    at[capacity].append((instant, price))
        during = {}
        for capacity, each in at.items():
            instants, prices = zip(*sorted(each), strict=True)
            during[capacity] = list(instants), [0.0, *accumulate(prices)]
        return _Prices(during, tasks, rest, hot)

    def _duals(self, work: float) -> list[float]:
        """What more room would save of each sum; nothing where it is not found out."""
        from ortools.linear_solver.python import model_builder_helper

        model: Any = model_builder_helper.ModelBuilderHelper()
        prices = [*self._costs.tolist(), *(wish.given_up for wish in self._problem.wishes)]
        least, most = np.zeros(len(prices)), np.full(len(prices), inf)
        model.add_var_array_with_bounds(least, most, np.zeros(len(prices), dtype=bool), "")
        model.set_objective_coefficients(list(range(len(prices))), prices)
        every = [model_builder_helper.Variable(model, n) for n in range(len(prices))]

        def add(literals: Sequence[int], amounts: list[float], least: float, most: float) -> None:
            row = model.add_linear_constraint()
            model.set_constraint_lower_bound(row, least)
            model.set_constraint_upper_bound(row, most)
            model.add_terms_to_constraint(row, [every[n] for n in literals], amounts)

        for literals, amounts, room in self._sums:
            add(literals.tolist(), amounts.tolist(), -inf, room)
        for i in range(len(self.near)):
            own = [*range(self._firsts[i], self._firsts[i + 1]), len(self._costs) + i]
            add(own, [1.0] * len(own), 1.0, 1.0)
        solver: Any = model_builder_helper.ModelSolverHelper("glop")
        solver.set_solver_specific_parameters(QUICKLY.format(work=work))
        solver.solve(model)
        if not solver.has_solution():
            return [0.0] * len(self._sums)
        return [max(0.0, -price) for price in solver.dual_values().tolist()[: len(self._sums)]]
