"""What things cost, in words."""

from __future__ import annotations

from pointage.formula.ingredients import ingredient
from pointage.language import say
from pointage.larder.cost import Cost
from pointage.money import print_money


def cost_words(cost: Cost, currency: str) -> str:
    """ "1.12 €"; what has no price is named, never counted as free."""
    if not cost.unpriced:
        return print_money(cost.amount, currency)
    lacking = ", ".join(sorted(say(ingredient(each).label) for each in cost.unpriced))
    if not cost.amount:
        return say("not known: no price of {lacking}", lacking=lacking)
    amount = print_money(cost.amount, currency)
    return say("{amount}, not counting {lacking} (no price)", amount=amount, lacking=lacking)
