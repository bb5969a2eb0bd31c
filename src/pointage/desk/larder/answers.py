"""What the larder's desk answers: frozen data, exact grams and money."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from pointage.formula.ingredients import Ingredient, offered
from pointage.larder.cost import Cost, is_stocked, total
from pointage.larder.shopping import ShoppingLine
from pointage.larder.stock import Lot
from pointage.larder.upkeep import Discard


@dataclass(frozen=True, slots=True)
class ShelfNow:
    """One ingredient: what is there, what bakes in hand will take of it, what that leaves free.

    best_before: the soonest of its lots. short_g: used since the last count beyond what was there.
    """

    ingredient: str
    label: str
    stock_g: Fraction
    reserved_g: Fraction
    worth: Cost
    best_before: date | None
    short_g: Fraction
    lots: tuple[tuple[Lot, Fraction], ...]

    @property
    def free_g(self) -> Fraction:
        """Below nothing when more is reserved than is there."""
        return self.stock_g - self.reserved_g


@dataclass(frozen=True, slots=True)
class BatchCost:
    """What a batch costs. energy: its share of the firing; None where its price is not known."""

    name: str
    pieces: int
    ingredients: Cost
    energy: Fraction | None

    @property
    def each(self) -> Cost:
        """Of one piece, with what is known of the energy."""
        return (self.ingredients + Cost(self.energy or Fraction())).share(Fraction(1, self.pieces))


@dataclass(frozen=True, slots=True)
class FormulaCost:
    """What a formula costs when it is made for its own pieces."""

    slug: str
    batch: BatchCost


@dataclass(frozen=True, slots=True)
class BakeCost:
    """What a bake in hand costs, its culture's upkeep counted."""

    key: str
    ready: datetime
    batch: BatchCost


@dataclass(frozen=True, slots=True)
class PricedDiscard:
    """Discard with when, and what its flour cost."""

    discard: Discard
    at: datetime
    cost: Cost


@dataclass(frozen=True, slots=True)
class Offer:
    """A formula that can take discard. rows: its final dough by name, "discard" first.

    grams: what it takes of it, all there is or all it can. is_much: it will be tasted.
    """

    slug: str
    name: str
    pieces: int
    culture: str
    grams: Fraction
    rows: Mapping[str, Fraction]
    stands_in: Mapping[str, Fraction]
    is_much: bool


@dataclass(frozen=True, slots=True)
class RecentEntry:
    """Something recorded of the larder lately, which can be withdrawn. kind: the entry's kind."""

    entry: str
    kind: str
    at: datetime
    label: str
    grams: Fraction


@dataclass(frozen=True, slots=True)
class LarderNow:
    """The whole larder at an instant, with the days to come until `until`.

    shopping: a line for each ingredient that is needed. past: lots that will be past their best.
    week: what bakes and upkeep of those days cost. coming, gone: what is poured off in those days,
    and was in as many before. flags: what the larder cannot make sense of, a sentence each.
    """

    now: datetime
    until: datetime
    currency: str
    shelves: tuple[ShelfNow, ...]
    shopping: tuple[ShoppingLine, ...]
    past: tuple[Lot, ...]
    formulas: tuple[FormulaCost, ...]
    bakes: tuple[BakeCost, ...]
    week: Cost
    week_energy: Fraction | None
    coming: tuple[PricedDiscard, ...]
    gone: tuple[PricedDiscard, ...]
    offers: tuple[Offer, ...]
    recent: tuple[RecentEntry, ...]
    flags: tuple[str, ...]

    @property
    def worth(self) -> Cost:
        """What is in the stores."""
        return total(each.worth for each in self.shelves)

    @property
    def lost(self) -> Cost:
        """What is poured off, and was."""
        return total(each.cost for each in (*self.coming, *self.gone))

    @property
    def lacking(self) -> list[ShoppingLine]:
        """What there is to buy."""
        return [each for each in self.shopping if each.buy_g]

    @property
    def to_pay(self) -> Cost:
        """About what that will cost."""
        return total(each.cost for each in self.lacking)

    @property
    def whole_week(self) -> Cost | None:
        """What those days cost, the oven's energy counted in; None where its price is not known."""
        return None if self.week_energy is None else self.week + Cost(self.week_energy)


def kept_in_stock() -> list[Ingredient]:
    """The ingredients that lie in the stores of a kitchen: all but the water."""
    return [each for name, each in offered().items() if is_stocked(name)]
