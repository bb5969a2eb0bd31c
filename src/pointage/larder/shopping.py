"""The shopping list: what a span of days needs, less what is there, in the packs it comes in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from math import ceil

from pointage.larder.cost import Cost, cost_of_draws, is_stocked
from pointage.larder.stock import (
    NONE,
    Draw,
    Lot,
    Stock,
)


@dataclass(frozen=True, slots=True)
class Need:
    """Grams of an ingredient that something to come will take. what: what for."""

    ingredient: str
    grams: Fraction
    at: datetime
    what: str


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """One ingredient of the list.

    lacking_g: needed and not there. buy_g: as it is bought, in `packs` of `pack_g` where the last
    lot came in packs, else the lacking grams rounded up to whole ones. cost: an estimate by the
    last price.
    """

    ingredient: str
    needed_g: Fraction
    stock_g: Fraction
    buy_g: Fraction
    packs: int | None
    pack_g: Fraction | None
    cost: Cost
    what: tuple[str, ...]

    @property
    def lacking_g(self) -> Fraction:
        return max(self.needed_g - self.stock_g, NONE)


def shopping(needs: Iterable[Need], stock: Stock, currency: str) -> tuple[ShoppingLine, ...]:
    """A line for each ingredient that is needed, water from the tap apart; enough or not."""
    grams: dict[str, Fraction] = {}
    what: dict[str, dict[str, None]] = {}
    for need in sorted(needs, key=lambda each: each.at):
        if need.grams and is_stocked(need.ingredient):
            grams[need.ingredient] = grams.get(need.ingredient, NONE) + need.grams
            what.setdefault(need.ingredient, {})[need.what] = None
    return tuple(
        _line(name, needed, tuple(what[name]), stock, currency) for name, needed in grams.items()
    )


def _line(
    name: str, needed: Fraction, what: tuple[str, ...], stock: Stock, currency: str
) -> ShoppingLine:
    there = stock.grams(name)
    lacking = max(needed - there, NONE)
    lots = [lot for lot in stock.shelf(name).lots.values() if lot.grams]
    pack = max(lots, key=lambda lot: (lot.at, lot.key)).pack_g if lots else None
    packs = ceil(lacking / pack) if pack else None
    buy = packs * pack if pack and packs is not None else Fraction(ceil(lacking))
    draws = (Draw(None, buy),) if buy else ()
    return ShoppingLine(
        name, needed, there, buy, packs, pack, cost_of_draws(name, draws, stock, currency), what
    )


def past_best(stock: Stock, by: date) -> list[Lot]:
    """Lots of which something is left and whose best-before day lies before `by`, soonest first."""
    past = [
        lot
        for name in stock.shelves
        for lot in stock.lots_of(name)
        if lot.best_before is not None and lot.best_before < by
    ]
    return sorted(past, key=lambda lot: (lot.best_before or by, lot.key))
