"""What is in the stores, lot by lot: what was bought, counted and used, replayed as it happened."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from fractions import Fraction

from pointage.mixture.flours import FlourFigures

NONE = Fraction()


@dataclass(frozen=True, slots=True)
class Lot:
    """Stock that came in at once.

    key: of the entry by which it came. grams: as bought. price: for all of it, in `currency`; None
    where nobody said. pack_g: mass of each pack where it came in packs. label: what the sack says
    of its lot; flour: what its mill's sheet says of it, if it is flour. A lot that only a count
    knows of has neither price nor date.
    """

    key: str
    ingredient: str
    at: datetime
    grams: Fraction
    price: Fraction | None = None
    currency: str = ""
    pack_g: Fraction | None = None
    best_before: date | None = None
    place: str = ""
    supplier: str = ""
    label: str = ""
    flour: FlourFigures | None = None

    @property
    def price_per_g(self) -> Fraction | None:
        """Exact price of a gram, None where it is not known."""
        return None if self.price is None or not self.grams else self.price / self.grams


@dataclass(frozen=True, slots=True)
class Counted:
    """A stock-take: what is there of an ingredient now, or of one lot of it."""

    key: str
    ingredient: str
    at: datetime
    grams: Fraction
    lot: str | None = None


@dataclass(frozen=True, slots=True)
class Used:
    """Stock that went out, oldest lot first unless a lot is named. what: for what."""

    key: str
    ingredient: str
    at: datetime
    grams: Fraction
    lot: str | None = None
    what: str = ""


Event = Lot | Counted | Used


@dataclass(frozen=True, slots=True)
class Draw:
    """Grams that a use took out of a lot; lot is None where the larder knew of none."""

    lot: str | None
    grams: Fraction


@dataclass(frozen=True, slots=True)
class Tally:
    """All that ever happened to an ingredient, in grams.

    found, missing: what counts added and took away. short: what was used although the larder knew
    of none. left = bought + found + short − used − missing, always.
    """

    bought: Fraction = NONE
    found: Fraction = NONE
    short: Fraction = NONE
    used: Fraction = NONE
    missing: Fraction = NONE

    @property
    def left(self) -> Fraction:
        return self.bought + self.found + self.short - self.used - self.missing


@dataclass(frozen=True, slots=True)
class Shelf:
    """All there is of one ingredient, and all that ever happened to it.

    lots: every lot, the oldest first, also the empty ones, for their prices. left: grams by lot.
    draws: by the key of each use, what it took. short: what was used since the last count beyond
    what was there.
    """

    lots: Mapping[str, Lot] = field(default_factory=dict)
    left: Mapping[str, Fraction] = field(default_factory=dict)
    draws: Mapping[str, tuple[Draw, ...]] = field(default_factory=dict)
    short: Fraction = NONE
    tally: Tally = Tally()

    def after(self, event: Event) -> Shelf:
        """The shelf after one more event, which is none before those it has seen."""
        match event:
            case Lot():
                return self._bought(event)
            case Used():
                return self._used(event)
            case Counted():
                return self._counted(event)

    def _bought(self, lot: Lot) -> Shelf:
        return replace(
            self,
            lots={**self.lots, lot.key: lot},
            left={**self.left, lot.key: lot.grams},
            tally=replace(self.tally, bought=self.tally.bought + lot.grams),
        )

    def _used(self, use: Used) -> Shelf:
        left, draws = _take(self.left, self._among(use), use.grams)
        lacking = use.grams - sum((draw.grams for draw in draws), NONE)
        if lacking:
            draws = (*draws, Draw(None, lacking))
        tally = self.tally
        return replace(
            self,
            left=left,
            draws={**self.draws, use.key: draws},
            short=self.short + lacking,
            tally=replace(tally, used=tally.used + use.grams, short=tally.short + lacking),
        )

    def _counted(self, count: Counted) -> Shelf:
        among = self._among(count)
        more = count.grams - sum((self.left[key] for key in among), NONE)
        lots, left = self.lots, self.left
        if more > 0 and among:
            left = {**left, among[-1]: left[among[-1]] + more}
        elif more > 0:
            lots = {**lots, count.key: Lot(count.key, count.ingredient, count.at, more)}
            left = {**left, count.key: more}
        elif more < 0:
            left, _ = _take(left, among, -more)
        tally = self.tally
        return replace(
            self,
            lots=lots,
            left=left,
            short=NONE,
            tally=replace(
                tally,
                found=tally.found + max(more, NONE),
                missing=tally.missing + max(-more, NONE),
            ),
        )

    def _among(self, event: Counted | Used) -> list[str]:
        """The lots that an event may be about, the oldest first."""
        return [key for key in self.lots if event.lot is None or key == event.lot]


NOTHING = Shelf()


@dataclass(frozen=True)
class Stock:
    """The stores after everything that happened: the shelf of each ingredient that was ever here.

    Years of lots and uses lie on the shelves, so they are looked up there and not gone through.
    """

    shelves: Mapping[str, Shelf] = field(default_factory=dict)

    def shelf(self, ingredient: str) -> Shelf:
        """The shelf of an ingredient; an empty one where there never was any."""
        return self.shelves.get(ingredient, NOTHING)

    def lots_of(self, ingredient: str) -> list[Lot]:
        """The lots of an ingredient of which something is left, the oldest first."""
        shelf = self.shelf(ingredient)
        return [lot for key, lot in shelf.lots.items() if shelf.left[key] > 0]

    def grams(self, ingredient: str) -> Fraction:
        """What is there of an ingredient."""
        return sum(filter(None, self.shelf(ingredient).left.values()), NONE)

    def last_bought(self, ingredient: str, currency: str) -> Lot | None:
        """The newest lot of an ingredient that has a price in this currency, empty or not."""
        newest_first = reversed(list(self.shelf(ingredient).lots.values()))
        mine = (lot for lot in newest_first if lot.currency == currency)
        return next((lot for lot in mine if lot.price_per_g is not None), None)

    def draw(self, ingredient: str, grams: Fraction) -> tuple[Draw, ...]:
        """What a use of `grams` would take now, without taking it."""
        shelf = self.shelf(ingredient)
        _, found = _take(shelf.left, shelf.lots, grams)
        wanting = grams - sum((draw.grams for draw in found), NONE)
        return (*found, Draw(None, wanting)) if wanting else found


def flours_in_use(stock: Stock) -> dict[str, FlourFigures]:
    """The figures of the flour in use: of each, those of the lot that the next use draws on.

    A flour whose oldest lot with something left has none is not in it: a younger sack's figures are
    not those of what is poured.
    """
    found: dict[str, FlourFigures] = {}
    for name in sorted(stock.shelves):
        lots = stock.lots_of(name)
        if lots and lots[0].flour:
            found[name] = lots[0].flour
    return found


def rank(event: Event) -> int:
    """At one instant purchases come before uses and uses before counts."""
    return {Lot: 0, Used: 1, Counted: 2}[type(event)]


def replay(events: Iterable[Event]) -> Stock:
    """The stock after `events`, in the order in which they happened, however they come.

    At one instant they come by `rank`, then by key. A count has the last word: what it finds more
    lies in the newest lot, or in a lot of its own where there is none; what it misses went out of
    the oldest. It settles what was used beyond what was there.
    """
    shelves: dict[str, Shelf] = {}
    for event in sorted(events, key=lambda each: (each.at, rank(each), each.key)):
        shelf = shelves.get(event.ingredient, Shelf())
        shelves[event.ingredient] = shelf.after(event)
    return Stock(shelves)


def _take(
    left: Mapping[str, Fraction], among: Iterable[str], grams: Fraction
) -> tuple[Mapping[str, Fraction], tuple[Draw, ...]]:
    """What is left of the lots once so much is taken out of these, and what each gave."""
    after, draws = dict(left), []
    for key in among:
        taken = min(after[key], grams)
        if taken:
            after[key] -= taken
            grams -= taken
            draws.append(Draw(key, taken))
    return after, tuple(draws)
