"""What no choice can undercut, by a choice that may take parts of several alternatives of a wish.

Such a choice is found in hundredths of a second (linear programming), and is mostly within a
hundredth of the best whole one. Its prices of what is used, minute by minute, tell how much dearer
than itself any choice with a certain alternative must be.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import Packing
from pointage.timetable.choice.columns import needing, used_in_turn

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

QUICKLY = "use_dual_simplex: true use_preprocessing: false max_deterministic_time: {work}"
"""What is too dear in part is chosen between step by step from the cheapest on, as it comes."""


@dataclass(frozen=True, slots=True)
class Relaxed:
    """bound: what no choice undercuts. over: of each wish, by how much any choice with an
    alternative, by its number, is above that at the least; given_up: any that gives it up."""

    bound: float
    over: tuple[dict[int, float], ...]
    given_up: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class _Rows:
    """Sums of the parts of some literals, that are no more than there is room for."""

    literal: list[Numbers] = field(default_factory=list)
    amount: list[Floats] = field(default_factory=list)
    room: list[float] = field(default_factory=list)

    def add(self, literals: Numbers, amounts: Floats, room: float) -> None:
        self.literal.append(literals)
        self.amount.append(amounts)
        self.room.append(room)


@dataclass(eq=False)
class Relaxation:
    """The alternatives of each wish that are weighed, by their numbers, which may be taken in part.

    It is written once, and solved for several prices of giving wishes up.
    """

    problem: Packing
    near: Sequence[Sequence[int]]

    def __post_init__(self) -> None:
        literals: list[dict[int, int]] = []
        prices: list[float] = []
        tasks: dict[str, int] = {}
        holding: list[tuple[str, list[int]]] = []
        for wish, kept in zip(self.problem.wishes, self.near, strict=True):
            own = {k: len(prices) + n for n, k in enumerate(kept)}
            literals.append(own)
            prices += [wish.alternatives[k].penalty for k in kept]
            with_task: dict[str, list[int]] = defaultdict(list)
            for k in kept:
                for task, _ in wish.alternatives[k].tasks:
                    with_task[task].append(own[k])
            holding += with_task.items()
        self._firsts = np.array([0, *np.cumsum([len(own) for own in literals])], dtype=np.intp)
        costs = {
            task: price
            for wish, kept in zip(self.problem.wishes, self.near, strict=True)
            for k in kept
            for task, price in wish.alternatives[k].tasks
        }
        for task, price in costs.items():
            tasks[task] = len(prices)
            prices.append(price)
        self._prices = np.array(prices)
        self._rows = self._written(literals, tasks, holding)

    def _written(
        self,
        literals: Sequence[dict[int, int]],
        tasks: dict[str, int],
        holding: Sequence[tuple[str, list[int]]],
    ) -> _Rows:
        rows = _Rows()
        for task, those in holding:
            rows.add(np.array([tasks[task], *those]), np.array([-1.0] + [1.0] * len(those)), 0.0)
        for i, numbers, leaving in needing(self.problem, self.near):
            those = [literals[i][k] for k in numbers]
            one_of = [literals[j][k] for j, k in leaving]
            amounts = np.array([1.0] * len(those) + [-1.0] * len(one_of))
            rows.add(np.array([*those, *one_of]), amounts, 0.0)
        for uses in used_in_turn(self.problem, self.near):
            held_by = uses.held_by(literals, tasks)
            for row, room in uses.too_much():
                held, where = np.unique(held_by[row], return_index=True)
                rows.add(held, uses.amount[row][where].astype(float), room)
        return rows

    def solved(self, work: float, given_up: Sequence[float]) -> Relaxed:
        """What it costs at the least, by prices that are found within so much work.

        given_up: what giving each wish up costs, or what is not weighed of its ways. Whatever the
        prices are worth, the bound holds: it is worked out from them anew.
        """
        dual = self._duals(work, given_up)
        dearer = self._prices.copy()
        bound = 0.0
        for literals, amounts, room, price in zip(
            self._rows.literal, self._rows.amount, self._rows.room, dual, strict=True
        ):
            if price:
                dearer[literals] += price * amounts
                bound -= price * room
        bound += float(np.minimum(dearer[self._firsts[-1] :], 0.0).sum())
        over, without = [], []
        for i, (kept, none) in enumerate(zip(self.near, given_up, strict=True)):
            own = dearer[self._firsts[i] : self._firsts[i + 1]]
            least = min(none, own.min(initial=inf))
            bound += least
            over.append(dict(zip(kept, (own - least).tolist(), strict=True)))
            without.append(none - least)
        return Relaxed(float(bound), tuple(over), tuple(without))

    def _duals(self, work: float, given_up: Sequence[float]) -> list[float]:
        """What more room would save of each row; nothing where it is not found out."""
        from ortools.linear_solver.python import model_builder_helper

        model: Any = model_builder_helper.ModelBuilderHelper()
        prices = [*self._prices.tolist(), *given_up]
        least, most = np.zeros(len(prices)), np.full(len(prices), inf)
        model.add_var_array_with_bounds(least, most, np.zeros(len(prices), dtype=bool), "")
        model.set_objective_coefficients(list(range(len(prices))), prices)
        every = [model_builder_helper.Variable(model, n) for n in range(len(prices))]
        for literals, amounts, room in zip(
            self._rows.literal, self._rows.amount, self._rows.room, strict=True
        ):
            row = model.add_linear_constraint()
            model.set_constraint_lower_bound(row, -inf)
            model.set_constraint_upper_bound(row, room)
            model.add_terms_to_constraint(
                row, [every[n] for n in literals.tolist()], amounts.tolist()
            )
        for i in range(len(given_up)):
            row = model.add_linear_constraint()
            model.set_constraint_lower_bound(row, 1.0)
            model.set_constraint_upper_bound(row, 1.0)
            own = [*range(*self._firsts[i : i + 2].tolist()), len(self._prices) + i]
            model.add_terms_to_constraint(row, [every[n] for n in own], [1.0] * len(own))
        solver: Any = model_builder_helper.ModelSolverHelper("glop")
        solver.set_solver_specific_parameters(QUICKLY.format(work=work))
        solver.solve(model)
        if not solver.has_solution():
            return [0.0] * len(self._rows.room)
        return [max(0.0, -price) for price in solver.dual_values().tolist()[: len(self._rows.room)]]
