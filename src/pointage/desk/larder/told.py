"""What is told of the larder, from the words a person types to the body of an entry."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, time
from difflib import get_close_matches
from fractions import Fraction
from typing import Any

from pointage.bounds import PACKS, WEIGHED_G
from pointage.errors import Faults, InputError
from pointage.formula.flour.figures import read_figures
from pointage.formula.ingredients import ingredients
from pointage.kitchen.kitchen import Kitchen
from pointage.larder.cost import is_stocked
from pointage.larder.stock import Stock
from pointage.mixture.flours import FIGURES
from pointage.money import parse_money
from pointage.quantities import parse_day, print_number

NOON = time(12)
FIRST_YEAR = 2000
WHOLE, KILOGRAM, PACK = "all", "kg", "pack"
WORDS = ("place", "supplier", "label")


def item(text: str, field: str = "item") -> str:
    """The ingredient that is meant, by its name or its label, capitals or not.

    Raises InputError with the nearest of both, and for water, which is not kept.
    """
    known = ingredients()
    meant = {each.label.casefold(): name for name, each in known.items()}
    meant |= {name.casefold(): name for name in known}
    name = meant.get(text.strip().casefold())
    if name is None:
        near = get_close_matches(text.strip().casefold(), meant, n=4, cutoff=0.5)
        labels = list(dict.fromkeys(known[meant[each]].label for each in near))[:3]
        such = " or ".join(labels) if labels else "White wheat flour or Salt"
        raise InputError(field, repr(text), f"an ingredient such as {such}")
    if not is_stocked(name):
        raise InputError(field, repr(text), "something that is kept; it comes from the tap")
    return name


def bought(
    fields: Mapping[str, str], kitchen: Kitchen, now: datetime
) -> tuple[datetime, dict[str, Any]]:
    """When it was bought and the body of the entry, from the fields of a purchase.

    item, mass (of each pack where `packs` says how many), price with `per` (all, kg or pack),
    bought and best_before as dates, place, supplier and label; of a flour also what its mill's
    sheet says (formula/flour/figures.py). Raises InputError by those names.
    """
    faults = Faults()
    take = faults.take
    name = take(_item, fields)
    each = take(_mass, fields, "mass")
    packs = fields.get("packs", "").strip()
    number = take(PACKS.count, packs, "packs") if packs else None
    grams = take(_grams, each, number)
    body: dict[str, Any] = {"item": name}
    if fields.get("price", "").strip():
        price = take(parse_money, fields["price"], "price", kitchen.currency)
        paid = take(_in_all, price, fields.get("per", WHOLE), grams, number)
    if fields.get("best_before", "").strip():
        day = take(parse_day, fields["best_before"], "best_before")
    body |= {key: text for key in WORDS if (text := fields.get(key, "").strip())}
    sheet = take(_sheet, name, fields)
    when = take(_when, fields.get("bought", ""), kitchen, now)
    faults.check()
    if number:
        body["pack_g"] = float(each)
    if fields.get("price", "").strip():
        body |= {"price": float(paid), "currency": price[1]}
    if fields.get("best_before", "").strip():
        body["best_before"] = day.isoformat()
    return when, body | {"grams": float(grams)} | sheet


def _item(fields: Mapping[str, str]) -> str:
    return item(_text(fields, "item"))


def _grams(each: Fraction, packs: int | None) -> Fraction:
    grams = each * (packs or 1)
    WEIGHED_G.check(grams, "mass", f"{print_number(float(grams / 1000))} kg")
    return grams


def _sheet(name: str, fields: Mapping[str, str]) -> dict[str, float]:
    """What a mill's sheet says of a flour, by figure."""
    said = {figure: text for figure in FIGURES if (text := fields.get(figure, "").strip())}
    if not said:
        return {}
    if ingredients()[name].kind != "flour":
        figure, text = next(iter(said.items()))
        raise InputError(figure, repr(text), "a mill's figure of a flour alone")
    own = read_figures(said, name)
    return {figure: getattr(own, figure) for figure in said}


def taken(fields: Mapping[str, str], stock: Stock, *, counted: bool) -> dict[str, Any]:
    """The body of a count or of a use: item, mass, and the lot if one is named.

    A count may find nothing; a use of nothing is none. Raises InputError.
    """
    faults = Faults()
    name = faults.take(_item, fields)
    grams = faults.take(_mass, fields, "mass", none=counted)
    faults.check()
    body: dict[str, Any] = {"item": name, "grams": float(grams)}
    key = fields.get("lot", "").strip()
    if key:
        if key not in stock.shelf(name).lots:
            label = ingredients()[name].label
            raise InputError("lot", "the lot chosen", f"a lot of {label}, or none in particular")
        body["lot"] = key
    if fields.get("remark", "").strip():
        body["remark"] = fields["remark"].strip()
    return body


def exact(value: float) -> Fraction:
    """The decimal that was meant: 0.1 is a tenth."""
    return Fraction(str(value))


def _text(fields: Mapping[str, str], field: str) -> str:
    text = fields.get(field, "").strip()
    if not text:
        raise InputError(field, "nothing", "something in this field")
    return text


def _mass(fields: Mapping[str, str], field: str, *, none: bool = False) -> Fraction:
    text = _text(fields, field)
    grams = WEIGHED_G.grams(text, field)
    if not grams and not none:
        raise InputError(field, repr(text), "a mass above nothing, such as 25kg")
    return grams


def _in_all(price: tuple[Fraction, str], per: str, grams: Fraction, packs: int | None) -> Fraction:
    if per == KILOGRAM:
        return price[0] * grams / 1000
    if per == PACK:
        if packs is None:
            raise InputError("packs", "nothing", "how many packs, for a price by the pack")
        return price[0] * packs
    if per != WHOLE:
        raise InputError("per", repr(per), f"one of {WHOLE}, {KILOGRAM}, {PACK}")
    return price[0]


def _when(text: str, kitchen: Kitchen, now: datetime) -> datetime:
    """Now for today; noon of a day that is past, which nobody knows the hour of."""
    today = now.astimezone(kitchen.zone).date()
    day = parse_day(text, "bought") if text.strip() else today
    if day > today:
        raise InputError("bought", repr(text), "today or a day that is past")
    if day == today:
        return now
    if day.year < FIRST_YEAR:
        raise InputError("bought", repr(text), f"a day since the year {FIRST_YEAR}")
    return datetime.combine(day, NOON, kitchen.zone).astimezone(UTC)
