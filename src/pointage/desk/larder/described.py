"""What is said of an ingredient of one's own in words and figures, as it is recorded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pointage.bounds import FLOUR_PERCENT
from pointage.errors import MISSING, Faults, InputError
from pointage.formula.ingredients import ingredient
from pointage.formula.names import find_ingredient
from pointage.formula.own.ingredient import KNOWN, OwnIngredient, new_id
from pointage.language import say
from pointage.money import parse_money

UNKNOWN, NONE, SAME = "unknown", "none", "same"


def described(
    said: Mapping[str, str], entry: str, currency: str, before: OwnIngredient | None = None
) -> OwnIngredient:
    """The ingredient that is described; what is not said is as `before`, or not known.

    said: name, like, water, protein, ash, price and allergens ("wheat, milk", "none", or "same" as
    the one it is like), each of which may be "unknown" but the first two. entry: of which a new
    identifier is made. Raises InputError by those names.
    """
    faults = Faults()
    own = before or OwnIngredient("", "", "")
    for key in ("name", "like"):
        if not (said.get(key) or getattr(own, key)):
            faults.found.append(InputError(key, MISSING, say("what it is called and most like")))
    if name := said.get("name", "").strip():
        own = replace(own, name=name)
    if like := said.get("like", "").strip():
        with faults:
            found = find_ingredient(like, "like")
            own = replace(own, like=found.like or found.name)
    figures: dict[str, Any] = {}
    for key in KNOWN:
        if text := said.get(key, "").strip():
            with faults:
                figures[key] = None if text == UNKNOWN else FLOUR_PERCENT.read(text, key)
    own = replace(own, **figures)
    if text := said.get("price", "").strip():
        with faults:
            money = None if text == UNKNOWN else parse_money(text, "price", currency)
            price = (None, "") if money is None else (float(money[0]), money[1])
            own = replace(own, price_per_kg=price[0], currency=price[1])
    if (text := said.get("allergens", "").strip()) and (own.like or text != SAME):
        own = replace(own, allergens=_allergens(text, own.like))
    faults.check()
    return own if own.id else replace(own, id=new_id(own.name, entry))


def _allergens(text: str, like: str) -> tuple[str, ...] | None:
    if text == UNKNOWN:
        return None
    if text == SAME:
        return ingredient(like).allergens
    return () if text == NONE else tuple(each.strip().casefold() for each in text.split(","))
