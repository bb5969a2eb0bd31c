"""What things cost, in words."""

from __future__ import annotations

from pointage.formula.ingredients import ingredient
from pointage.language import say, say_many
from pointage.larder.cost import Cost
from pointage.money import print_money

MOST_NAMED = 5
"""Of ingredients without a price, beside a cost."""


def cost_words(cost: Cost, currency: str) -> str:
    """ "1.12 €"; what has no price is named, never counted as free."""
    if not cost.unpriced:
        return print_money(cost.amount, currency)
    names = sorted(say(ingredient(each).label) for each in cost.unpriced)
    lacking = ", ".join(names)
    if len(names) > MOST_NAMED:
        some, rest = ", ".join(names[:MOST_NAMED]), len(names) - MOST_NAMED
        lacking = say_many("{names} and {n} other", "{names} and {n} others", rest, names=some)
    if not cost.amount:
        return say("not known: no price of {lacking}", lacking=lacking)
    amount = print_money(cost.amount, currency)
    return say("{amount}, not counting {lacking} (no price)", amount=amount, lacking=lacking)
