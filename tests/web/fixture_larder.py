"""A larder with everything in it that its page tells apart. All of it is invented."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

from tests.web.fixture_plan import NOW

from pointage.desk.larder.answers import (
    BakeCost,
    BatchCost,
    FormulaCost,
    LarderNow,
    Offer,
    PricedDiscard,
    RecentEntry,
    ShelfNow,
)
from pointage.larder.cost import Cost
from pointage.larder.shopping import ShoppingLine
from pointage.larder.stock import Lot
from pointage.larder.upkeep import Discard

ENTRY = "6f1c2f52-6a3c-4f0e-9b59-0d4c6a0f9d11"
WHITE, SALT = "wheat-white", "salt"
KILO = Fraction(1000)


def busy() -> LarderNow:
    """Flour reserved beyond what is there, salt used beyond it, and something of everything."""
    sack = Lot(
        ENTRY, WHITE, NOW - timedelta(days=20), 25 * KILO, Fraction(28), "EUR", 25 * KILO,
        date(2026, 12, 7), "Dry store", "Tidemill", "W 0907",
    )  # fmt: skip
    priced, unpriced = Cost(Fraction(6)), Cost(Fraction(), frozenset((SALT,)))
    loaf = BatchCost("Harbour loaf", 12, priced, Fraction(4))
    discard = Discard("Plover", Fraction(160), Fraction(3, 5), {WHITE: Fraction(1)})
    poured = PricedDiscard(discard, NOW, Cost(Fraction(1, 5)))
    none = Fraction()
    return LarderNow(
        now=NOW,
        until=NOW + timedelta(days=7),
        currency="EUR",
        shelves=(
            ShelfNow(WHITE, "White wheat flour", 3 * KILO, 4 * KILO, priced, sack.best_before, none,
                  ((sack, 3 * KILO),)),
            ShelfNow(SALT, "Salt", none, none, Cost(), None, Fraction(200), ()),
        ),
        shopping=(
            ShoppingLine(WHITE, 4 * KILO, 3 * KILO, 25 * KILO, 1, 25 * KILO, priced, ("Rolls",)),
            ShoppingLine(SALT, Fraction(80), none, Fraction(80), None, None, unpriced, ("Rolls",)),
            ShoppingLine("oats", KILO, KILO, none, 0, KILO, Cost(), ("Rolls",)),
        ),
        past=(sack,),
        formulas=(FormulaCost("harbour-loaf", loaf),),
        bakes=(BakeCost(ENTRY, NOW, BatchCost("Tinned rye", 6, priced + unpriced, None)),),
        week=priced,
        week_energy=Fraction(4),
        coming=(poured,),
        gone=(poured,),
        offers=(
            Offer("tinned-rye", "Tinned rye", 6, "Plover", Fraction(160),
                  {"discard": Fraction(160), "rye-whole": KILO}, {WHITE: Fraction(100)}, True),
        ),
        recent=(RecentEntry(ENTRY, "bought", NOW, "White wheat flour", 25 * KILO),),
        flags=("Harbour loaf uses 'Sand', which is not a known ingredient.",),
    )  # fmt: skip


def bare() -> LarderNow:
    """Nothing in it, and nothing asked of it; what energy costs is not known."""
    return LarderNow(
        NOW, NOW + timedelta(days=7), "EUR", (), (), (), (), (), Cost(), None, (), (), (), (), ()
    )
