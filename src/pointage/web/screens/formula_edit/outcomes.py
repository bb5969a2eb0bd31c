"""What follows from a change, and what became of the amounts, as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from fractions import Fraction

from pointage.formula.compare import Consequence, PercentChange
from pointage.formula.ingredients import ingredient
from pointage.language import say, written
from pointage.money import print_money
from pointage.quantities import print_number
from pointage.shown import FIXED, warmth
from pointage.web.screens.culture.page import Table
from pointage.web.screens.formula_edit.page import Outcome
from pointage.web.words.words import length, upper_first

NOTHING = "–"


def outcomes(consequences: Iterable[Consequence]) -> tuple[Outcome, ...]:
    """Each as it is now, and as it was where it is another."""
    return tuple(
        Outcome(
            upper_first(say(each.name)),
            _reading(each, each.after),
            _reading(each, each.before) if each.is_changed else "",
        )
        for each in consequences
    )


def _reading(each: Consequence, value: float | str | None) -> str:
    if value is None:
        return say("not known")
    if each.unit == "h" and not isinstance(value, str):
        return length(timedelta(hours=value))
    if each.unit == "°C" and not isinstance(value, str):
        return warmth(value)
    if each.unit.isupper() and len(each.unit) == 3 and not isinstance(value, str):  # a currency
        return print_money(Fraction(value), each.unit)
    text = value if isinstance(value, str) else written(print_number(value, 2))
    return f"{text}{FIXED}{each.unit}" if each.unit else text


def changed(changes: Sequence[PercentChange], caption: str) -> Table:
    """What became of the amounts, in percent of all flour."""
    rows = tuple(
        (
            f"{say(ingredient(each.name).label)}, {each.stage or say('total')}",
            amount(each.before),
            amount(each.after),
        )
        for each in changes
        if each.difference
    )
    return Table(caption, ("", say("before"), say("now")), rows)


def amount(value: Fraction | None) -> str:
    """A percentage without its sign, a dash where there is none of it."""
    return NOTHING if value is None else written(print_number(float(value), 2))
