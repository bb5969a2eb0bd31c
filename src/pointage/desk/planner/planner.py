"""Who solves: what a plan is asked of, and the answer worked out where it is asked."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, Protocol, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


class Planner(Protocol):
    """Solves a question by a pure function of frozen data, in this process or another.

    The function stands in a module by its name. What hears how far it is (`reached`, which may
    raise to stop it, and the like) is given by name, and so is a `Memo`, which stays where it is
    solved.
    """

    def ask(self, solve: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
        """What `solve` gives. Raises what it raises, and what those raise who hear of it."""
        ...

    def begin(self) -> None:
        """Be ready for the first question; it does not wait until that is so."""
        ...

    def end(self) -> None:
        """Solve nothing any more."""
        ...


class PlannerHere:
    """Solves where it is asked."""

    def ask(self, solve: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
        return solve(*given, **named)

    def begin(self) -> None:
        pass

    def end(self) -> None:
        pass


HERE = PlannerHere()
