"""What no choice can undercut, by a choice that may take parts of several alternatives of a wish.

Such a choice is found in hundredths of a second (linear programming), and is mostly within a
hundredth of the best whole one. Its prices of what is used, minute by minute, tell how much dearer
than itself any choice with a certain alternative must be.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import Packing
from pointage.timetable.choice.columns import Columns, needing
from pointage.timetable.choice.solver import Parts

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

QUICKLY = "use_dual_simplex: true use_preprocessing: false max_deterministic_time: {work}"
"""What is too dear in part is chosen between step by step from the cheapest on, as it comes."""


@dataclass(frozen=True, slots=True)
class Relaxed:
    """bound: what no choice undercuts. over: of each wish, by how much any choice with an
    alternative, by its number, is above that at the least; parted: the same of those in parts."""

    bound: float
    over: tuple[dict[int, float], ...]
    parted: tuple[dict[int, float], ...]


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

    parts: as of `solver.undercut`, be it none.
    """

    columns: Columns
    near: Sequence[Sequence[int]]
    parts: Parts = ()

    def __post_init__(self) -> None:
        self.problem = self.columns.problem
        literals: list[dict[int, int]] = []
        prices: list[float] = []
        tasks: dict[str, int] = {}
        holding: list[tuple[str, list[int]]] = []
        parts = self.parts or [()] * len(self.near)
        self._every = [
            [*kept, *(k for part in own for k in part)]
            for kept, own in zip(self.near, parts, strict=True)
        ]
        self._lengths = [
            [len(kept), *map(len, own)] for kept, own in zip(self.near, parts, strict=True)
        ]
        for wish, kept in zip(self.problem.wishes, self._every, strict=True):
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
            for wish, kept in zip(self.problem.wishes, self._every, strict=True)
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
        for i, numbers, leaving in needing(self.problem, self._every):
            those = [literals[i][k] for k in numbers]
            one_of = [literals[j][k] for j, k in leaving]
            amounts = np.array([1.0] * len(those) + [-1.0] * len(one_of))
            rows.add(np.array([*those, *one_of]), amounts, 0.0)
        for uses in self.columns.used_in_turn(literals, tasks):
            for held_by, amounts, room in uses.too_much():
                rows.add(held_by, amounts.astype(float), room)
        return rows

    def solved(self, work: float) -> Relaxed:
        """What it costs at the least, by prices that are found within so much work.

        Whatever the prices are worth, the bound holds: it is worked out from them anew.
        """
        dual = self._duals(work)
        dearer = self._prices.copy()
        bound = 0.0
        for literals, amounts, room, price in zip(
            self._rows.literal, self._rows.amount, self._rows.room, dual, strict=True
        ):
            if price:
                dearer[literals] += price * amounts
                bound -= price * room
        bound += float(np.minimum(dearer[self._firsts[-1] :], 0.0).sum())
        over, parted = [], []
        for i, (wish, lengths) in enumerate(
            zip(self.problem.wishes, self._lengths, strict=True)
        ):
            own, *parts = np.split(
                dearer[self._firsts[i] : self._firsts[i + 1]], np.cumsum(lengths)[:-1]
            )
            in_parts = sum(part.min(initial=inf) for part in parts) if parts else inf
            least = min(wish.given_up, own.min(initial=inf), in_parts)
            bound += least
            over.append(dict(zip(self.near[i], (own - least).tolist(), strict=True)))
            each = [in_parts - part.min(initial=inf) + part - least for part in parts]
            numbers = self._every[i][lengths[0] :]
            parted.append(dict(zip(numbers, np.concatenate([[], *each]).tolist(), strict=True)))
        return Relaxed(float(bound), tuple(over), tuple(parted))

    def _duals(self, work: float) -> list[float]:
        """What more room would save of each row; nothing where it is not found out."""
        from ortools.linear_solver.python import model_builder_helper

        model: Any = model_builder_helper.ModelBuilderHelper()
        given_up = [wish.given_up for wish in self.problem.wishes]
        prices = [*self._prices.tolist(), *given_up]
        least, most = np.zeros(len(prices)), np.full(len(prices), inf)
        model.add_var_array_with_bounds(least, most, np.zeros(len(prices), dtype=bool), "")
        model.set_objective_coefficients(list(range(len(prices))), prices)
        every = [model_builder_helper.Variable(model, n) for n in range(len(prices))]

        def row_of(literals: Sequence[int], amounts: Sequence[float], least: float, most: float):
            row = model.add_linear_constraint()
            model.set_constraint_lower_bound(row, least)
            model.set_constraint_upper_bound(row, most)
            model.add_terms_to_constraint(row, [every[n] for n in literals], amounts)

        for literals, amounts, room in zip(
            self._rows.literal, self._rows.amount, self._rows.room, strict=True
        ):
            row_of(literals.tolist(), amounts.tolist(), -inf, room)
        for i, lengths in enumerate(self._lengths):
            first = int(self._firsts[i])
            whole = [*range(first, first + lengths[0]), len(self._prices) + i]
            ends = (first + np.cumsum(lengths)).tolist()
            for begin, end in list(pairwise(ends)) or [(0, 0)]:
                own = [*whole, *range(begin, end)]
                row_of(own, [1.0] * len(own), 1.0, 1.0)
        solver: Any = model_builder_helper.ModelSolverHelper("glop")
        solver.set_solver_specific_parameters(QUICKLY.format(work=work))
        solver.solve(model)
        if not solver.has_solution():
            return [0.0] * len(self._rows.room)
        return [max(0.0, -price) for price in solver.dual_values().tolist()[: len(self._rows.room)]]
