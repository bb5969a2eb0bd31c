"""What is recorded of the larder, as the body of an entry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from difflib import get_close_matches
from fractions import Fraction
from functools import reduce
from typing import Any

from pointage.bounds import WEIGHED_G
from pointage.errors import MISSING, Faults, InputError
from pointage.formula.ingredients import ingredients
from pointage.formula.names import resolve
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.larder.cost import is_stocked
from pointage.larder.stock import Stock
from pointage.mixture.flours import FIGURES, FlourFigures
from pointage.quantities import print_number

NOON = time(12)
FIRST_YEAR = 2000
WHOLE, KILOGRAM, PACK = "all", "kg", "pack"
WORDS = ("place", "supplier", "label")
NO_FIGURES = FlourFigures()


def item(text: str, field: str = "item") -> str:
    """The ingredient that is meant, by its name, its label or what people call it.

    Raises InputError with the nearest of both, and for water, which is not kept.
    """
    known = ingredients()
    meant = {each.label.casefold(): name for name, each in known.items()}
    meant |= {name.casefold(): name for name in known}
    name = meant.get(text.strip().casefold())
    if name is None and (called := resolve(text)) is not None and called.sure:
        name = called.name
    if name is None:
        near = get_close_matches(text.strip().casefold(), meant, n=4, cutoff=0.5)
        labels = list(dict.fromkeys(known[meant[each]].label for each in near))[:3]
        such = _any_of(labels or ("White wheat flour", "Salt"))
        raise InputError(field, repr(text), say("an ingredient such as {such}", such=such))
    if not is_stocked(name):
        raise InputError(
            field,
            repr(text),
            say("an ingredient that is kept in stock; this one comes from the tap"),
        )
    return name


def _any_of(labels: Sequence[str]) -> str:
    return reduce(lambda one, other: say("{one} or {other}", one=one, other=other), labels)


@dataclass(frozen=True, slots=True)
class Purchase:
    """Stock that came in.

    grams: of it all, or of each pack where `packs` says how many. price: an amount with its
    currency, for all of it, a kilogram or a pack as `per` says. bought: the day; None for today.
    figures: what its mill's sheet says of a flour.
    """

    item: str
    grams: Fraction
    packs: int | None = None
    price: tuple[Fraction, str] | None = None
    per: str = WHOLE
    bought: date | None = None
    best_before: date | None = None
    place: str = ""
    supplier: str = ""
    label: str = ""
    figures: FlourFigures = NO_FIGURES


@dataclass(frozen=True, slots=True)
class TakenOrCounted:
    """What was counted or used of an ingredient, or of one lot of it."""

    item: str
    grams: Fraction
    lot: str = ""
    remark: str = ""


def bought(what: Purchase, kitchen: Kitchen, now: datetime) -> tuple[datetime, dict[str, Any]]:
    """When it was bought and the body of the entry. Raises InputError by the names of a form."""
    faults = Faults()
    grams = faults.take(_grams, what)
    paid = faults.take(_in_all, what, grams)
    figures = faults.take(_figures, what)
    when = faults.take(_when, what.bought, kitchen, now)
    faults.check()
    body: dict[str, Any] = {"item": what.item, "grams": float(grams)}
    body |= {key: text for key in WORDS if (text := getattr(what, key))}
    if what.packs:
        body["pack_g"] = float(what.grams)
    if what.price is not None:
        body |= {"price": float(paid), "currency": what.price[1]}
    if what.best_before is not None:
        body["best_before"] = what.best_before.isoformat()
    return when, body | figures


def taken(what: TakenOrCounted, stock: Stock) -> dict[str, Any]:
    """The body of a count or of a use. Raises InputError for a lot of something else."""
    body: dict[str, Any] = {"item": what.item, "grams": float(what.grams)}
    if what.lot:
        if what.lot not in stock.shelf(what.item).lots:
            label = say(ingredients()[what.item].label)
            raise InputError(
                "lot",
                say("the lot chosen"),
                say("a lot of {label}, or none in particular", label=label),
            )
        body["lot"] = what.lot
    return body | ({"remark": what.remark} if what.remark else {})


def exact(value: float) -> Fraction:
    """The decimal that was meant: 0.1 is a tenth."""
    return Fraction(str(value))


def _grams(what: Purchase) -> Fraction:
    grams = what.grams * (what.packs or 1)
    WEIGHED_G.check(grams, "mass", say("{number} kg", number=print_number(float(grams / 1000))))
    return grams


def _figures(what: Purchase) -> dict[str, float]:
    """What a mill's sheet says of a flour, by figure."""
    said = {key: value for key in FIGURES if (value := getattr(what.figures, key)) is not None}
    if said and ingredients()[what.item].kind != "flour":
        figure, value = next(iter(said.items()))
        raise InputError(figure, f"{value:g}", say("a mill's figure of a flour alone"))
    return said


def _in_all(what: Purchase, grams: Fraction) -> Fraction:
    price = Fraction() if what.price is None else what.price[0]
    if what.price is None or what.per == WHOLE:
        return price
    if what.per == KILOGRAM:
        return price * grams / 1000
    if what.per != PACK:
        raise InputError(
            "per",
            repr(what.per),
            say("one of {whole}, {kilogram}, {pack}", whole=WHOLE, kilogram=KILOGRAM, pack=PACK),
        )
    if what.packs is None:
        raise InputError("packs", MISSING, say("the number of packs, for a price by the pack"))
    return price * what.packs


def _when(day: date | None, kitchen: Kitchen, now: datetime) -> datetime:
    """Now for today; noon of a day that is past, which nobody knows the hour of."""
    today = now.astimezone(kitchen.zone).date()
    if day is None or day == today:
        return now
    if day > today:
        raise InputError("bought", day.isoformat(), say("today or an earlier day"))
    if day.year < FIRST_YEAR:
        raise InputError(
            "bought",
            day.isoformat(),
            say("a day since the year {year}", year=FIRST_YEAR),
        )
    return datetime.combine(day, NOON, kitchen.zone).astimezone(UTC)
