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


@dataclass(frozen=True)
class Stock:
    """The stores after everything that happened.

    lots: every lot, the oldest first, also the empty ones, for their prices. left: grams by lot.
    draws: by the key of each use, what it took. short: by ingredient, what was used since the last
    count beyond what was there.
    """

    lots: Mapping[str, Lot] = field(default_factory=dict)
    left: Mapping[str, Fraction] = field(default_factory=dict)
    draws: Mapping[str, tuple[Draw, ...]] = field(default_factory=dict)
    short: Mapping[str, Fraction] = field(default_factory=dict)
    tallies: Mapping[str, Tally] = field(default_factory=dict)

    def lots_of(self, ingredient: str) -> list[Lot]:
        """The lots of an ingredient of which something is left, the oldest first."""
        return [
            lot
            for lot in self.lots.values()
            if lot.ingredient == ingredient and self.left[lot.key] > 0
        ]

    def grams(self, ingredient: str) -> Fraction:
        """What is there of an ingredient."""
        return sum((self.left[lot.key] for lot in self.lots_of(ingredient)), NONE)

    def last_bought(self, ingredient: str, currency: str) -> Lot | None:
        """The newest lot of an ingredient that has a price in this currency, empty or not."""
        priced = (
            lot
            for lot in self.lots.values()
            if lot.ingredient == ingredient
            and lot.currency == currency
            and lot.price_per_g is not None
        )
        return max(priced, key=lambda lot: (lot.at, lot.key), default=None)

    def draw(self, ingredient: str, grams: Fraction) -> tuple[Draw, ...]:
        """What a use of `grams` would take now, without taking it."""
        found, wanting = [], grams
        for lot in self.lots_of(ingredient):
            taken = min(self.left[lot.key], wanting)
            if taken:
                found.append(Draw(lot.key, taken))
                wanting -= taken
        return (*found, Draw(None, wanting)) if wanting else tuple(found)


def flours_in_use(stock: Stock) -> dict[str, FlourFigures]:
    """The figures of the flour in use: of each, those of the lot that the next use draws on.

    A flour whose oldest lot with something left has none is not in it: a younger sack's figures are
    not those of what is poured.
    """
    found: dict[str, FlourFigures] = {}
    for name in sorted({lot.ingredient for lot in stock.lots.values()}):
        lots = stock.lots_of(name)
        if lots and lots[0].flour:
            found[name] = lots[0].flour
    return found


def replay(events: Iterable[Event]) -> Stock:
    """The stock after `events`, in the order in which they happened, however they come.

    At one instant purchases come before uses and uses before counts, then by key. A count has the
    last word: what it finds more lies in the newest lot, or in a lot of its own where there is
    none; what it misses went out of the oldest. It settles what was used beyond what was there.
    """
    shelf = _Shelf()
    ranks = {Lot: 0, Used: 1, Counted: 2}
    for event in sorted(events, key=lambda each: (each.at, ranks[type(each)], each.key)):
        match event:
            case Lot():
                shelf.bought(event)
            case Used():
                shelf.used(event)
            case Counted():
                shelf.counted(event)
    return shelf.stock()


class _Shelf:
    """The stock while it is replayed."""

    def __init__(self) -> None:
        self._lots: dict[str, Lot] = {}
        self._left: dict[str, Fraction] = {}
        self._draws: dict[str, tuple[Draw, ...]] = {}
        self._short: dict[str, Fraction] = {}
        self._tallies: dict[str, Tally] = {}

    def stock(self) -> Stock:
        return Stock(self._lots, self._left, self._draws, self._short, self._tallies)

    def bought(self, lot: Lot) -> None:
        self._lots[lot.key] = lot
        self._left[lot.key] = lot.grams
        self._add(lot.ingredient, bought=lot.grams)

    def used(self, use: Used) -> None:
        draws = self._take(self._among(use), use.grams)
        lacking = use.grams - sum((draw.grams for draw in draws), NONE)
        if lacking:
            draws = (*draws, Draw(None, lacking))
            self._short[use.ingredient] = self._short.get(use.ingredient, NONE) + lacking
        self._draws[use.key] = draws
        self._add(use.ingredient, used=use.grams, short=lacking)

    def counted(self, count: Counted) -> None:
        among = self._among(count)
        more = count.grams - sum((self._left[key] for key in among), NONE)
        if more > 0:
            self._find(count, among, more)
        elif more < 0:
            self._take(among, -more)
        self._short.pop(count.ingredient, None)
        self._add(count.ingredient, found=max(more, NONE), missing=max(-more, NONE))

    def _find(self, count: Counted, among: list[str], more: Fraction) -> None:
        if among:
            self._left[among[-1]] += more
            return
        self._lots[count.key] = Lot(count.key, count.ingredient, count.at, more)
        self._left[count.key] = more

    def _among(self, event: Counted | Used) -> list[str]:
        """The lots that an event may be about, the oldest first."""
        of_it = [key for key, lot in self._lots.items() if lot.ingredient == event.ingredient]
        return of_it if event.lot is None else [key for key in of_it if key == event.lot]

    def _take(self, among: list[str], grams: Fraction) -> tuple[Draw, ...]:
        draws = []
        for key in among:
            taken = min(self._left[key], grams)
            if taken:
                self._left[key] -= taken
                grams -= taken
                draws.append(Draw(key, taken))
        return tuple(draws)

    def _add(self, ingredient: str, **grams: Fraction) -> None:
        old = self._tallies.get(ingredient, Tally())
        changes = {name: getattr(old, name) + more for name, more in grams.items()}
        self._tallies[ingredient] = replace(old, **changes)
