"""A choice between literals for CP-SAT, written as the solver reads it.

Its own way of writing models down brings a library for tables with it, which takes longer to import
than most weeks take to be solved.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

EXACT = 100_000
"""The solver counts in whole numbers: so many to a penalty hour."""
_LEAST = -(2**63)  # no lower bound


@dataclass(frozen=True, slots=True)
class Solution:
    """What was found: the value of every literal, and what no choice undercuts."""

    values: tuple[bool, ...]
    bound: float


@dataclass(eq=False)
class Literals:
    """Literals by their numbers, what must hold of them and what each costs."""

    _model: Any = field(init=False)
    _constraints: Any = field(init=False)
    _prices: list[int] = field(default_factory=list)
    _hints: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        from ortools.sat.python import cp_model_helper

        self._model = cp_model_helper.CpModelProto()
        self._constraints = self._model.constraints

    def literal(self, price: float = 0.0, *, hint: bool | None = None) -> int:
        """A new literal. price: what it costs if it is true. hint: what it may be."""
        number = len(self._prices)
        self._prices.append(round(EXACT * price))
        if hint is not None:
            self._hints[number] = int(hint)
        return number

    def exactly_one(self, literals: Iterable[int]) -> None:
        self._constraints.add().exactly_one.literals.extend(list(literals))

    def at_most_one(self, literals: Iterable[int]) -> None:
        self._constraints.add().at_most_one.literals.extend(list(literals))

    @staticmethod
    def negated(literal: int) -> int:
        """What is true where the literal is not."""
        return -literal - 1

    def one_needs(self, literals: Iterable[int], others: Iterable[int]) -> None:
        """At most one of the literals is true, and where one is, so is one of the others."""
        needed = self.literal()
        self.at_most_one([self.negated(needed), *literals])
        constraint = self._constraints.add()
        constraint.enforcement_literal.append(needed)
        constraint.bool_or.literals.extend(list(others))

    def at_most(self, literals: list[int], amounts: list[int], room: int) -> None:
        """The amounts of the true among some literals are together no more than there is room."""
        linear = self._constraints.add().linear
        linear.vars.extend(literals)
        linear.coeffs.extend(amounts)
        linear.domain.extend((_LEAST, room))

    def solved(self, work: float, *, priced: bool = True) -> Solution | None:
        """The cheapest that is found within so many deterministic seconds, None if none is.

        priced: whether prices count; else any will do.
        """
        from ortools.sat.python import cp_model_helper

        model = self._model
        for _ in self._prices:
            model.variables.add().domain.extend((0, 1))
        costs = [(number, cost) for number, cost in enumerate(self._prices) if cost]
        if priced and costs:
            model.objective.vars.extend([number for number, _ in costs])
            model.objective.coeffs.extend([cost for _, cost in costs])
        if self._hints:
            model.solution_hint.vars.extend(list(self._hints))
            model.solution_hint.values.extend(list(self._hints.values()))
        parameters = cp_model_helper.SatParameters()
        parameters.random_seed = 1
        parameters.num_workers = 1
        # It takes longer to tidy such a problem up, or to try its literals out, than to solve it.
        parameters.cp_model_presolve = False
        parameters.symmetry_level = 0
        parameters.cp_model_probing_level = 0
        parameters.linearization_level = 2
        parameters.max_deterministic_time = work
        solver: Any = cp_model_helper.SolveWrapper()
        solver.set_parameters(parameters)
        found = solver.solve(model)
        if found.status not in (cp_model_helper.OPTIMAL, cp_model_helper.FEASIBLE):
            return None
        values = tuple(map(bool, found.solution))
        return Solution(values, found.best_objective_bound / EXACT)
