"""What ingredients cost: by the lots they come out of, the oldest first, else by the last price."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pointage.formula.ingredients import ingredient
from pointage.formula.own.ingredient import price_per_g
from pointage.larder.stock import NONE, Draw, Stock

FREE = "water"
"""Kind of ingredient that comes from the tap: it is neither stocked nor priced."""


@dataclass(frozen=True, slots=True)
class Cost:
    """An exact sum of money, and the names of what has no known price and is not in it."""

    amount: Fraction = NONE
    unpriced: frozenset[str] = frozenset()

    def __add__(self, other: Cost) -> Cost:
        return Cost(self.amount + other.amount, self.unpriced | other.unpriced)

    def share(self, part: Fraction) -> Cost:
        """A part of it, such as one piece of the batch."""
        return Cost(self.amount * part, self.unpriced)


def total(costs: Iterable[Cost]) -> Cost:
    """All of them together."""
    return sum(costs, Cost())


def is_stocked(name: str) -> bool:
    """Whether it lies in the stores: everything but water does."""
    return ingredient(name).kind != FREE


def cost_of_draws(name: str, draws: Iterable[Draw], stock: Stock, currency: str) -> Cost:
    """What was taken of an ingredient, each gram by its lot's price.

    A lot without a price, or with one in another currency, and what came out of no known lot go by
    the last price in `currency`, else by what an ingredient of one's own is said to cost; with none
    at all the ingredient is listed as unpriced.
    """
    if not is_stocked(name):
        return Cost()
    newest = stock.last_bought(name, currency)
    last = price_per_g(name, currency) if newest is None else newest.price_per_g
    amount, unpriced = NONE, False
    for draw in draws:
        lot = stock.shelf(name).lots[draw.lot] if draw.lot is not None else None
        own = lot.price_per_g if lot is not None and lot.currency == currency else None
        price = last if own is None else own
        if price is None:
            unpriced = True
        else:
            amount += draw.grams * price
    return Cost(amount, frozenset((name,)) if unpriced else frozenset())


def cost_of(grams: Mapping[str, Fraction], stock: Stock, currency: str) -> Cost:
    """What a mix of these grams by ingredient would cost out of the stock as it is now."""
    return total(
        cost_of_draws(name, stock.draw(name, mass), stock, currency)
        for name, mass in grams.items()
        if mass and is_stocked(name)
    )


def worth(name: str, stock: Stock, currency: str) -> Cost:
    """What is there of an ingredient, in money."""
    return cost_of({name: stock.grams(name)}, stock, currency)
