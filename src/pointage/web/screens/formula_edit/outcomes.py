"""What follows from a change, and what became of the amounts, as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from pointage.formula.compare import Consequence, PercentChange
from pointage.formula.ingredients import ingredient
from pointage.quantities import print_number
from pointage.shown import FIXED
from pointage.web.screens.culture.page import Table
from pointage.web.screens.formula_edit.page import Outcome

NOTHING = "–"


def outcomes(consequences: Iterable[Consequence]) -> tuple[Outcome, ...]:
    """Each as it is now, and as it was where it is another."""
    return tuple(
        Outcome(
            each.name.capitalize(),
            _reading(each, each.after),
            _reading(each, each.before) if each.is_changed else "",
        )
        for each in consequences
    )


def _reading(each: Consequence, value: float | str | None) -> str:
    if value is None:
        return "not known"
    text = value if isinstance(value, str) else print_number(value, 2)
    return f"{text}{FIXED}{each.unit}" if each.unit else text


def changed(changes: Sequence[PercentChange], caption: str) -> Table:
    """What became of the amounts, in percent of all flour."""
    rows = tuple(
        (
            f"{ingredient(each.name).label}, {each.stage or 'total'}",
            amount(each.before),
            amount(each.after),
        )
        for each in changes
        if each.difference
    )
    return Table(caption, ("", "before", "now"), rows)


def amount(value: Fraction | None) -> str:
    """A percentage without its sign, a dash where there is none of it."""
    return NOTHING if value is None else print_number(float(value), 2)
