"""Ingredients of one's own, as a page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pointage.desk.larder.own import OwnHeld
from pointage.desk.wording.lists import all_of
from pointage.errors import InputError
from pointage.formula.ingredients import ingredient, offered
from pointage.formula.own.ingredient import OwnIngredient
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.web.forms.field import Field
from pointage.web.forms.form import NOTHING
from pointage.web.frame import Frame
from pointage.web.screens.ingredients.forms import as_typed, form
from pointage.web.screens.ingredients.page import GoneLine, IngredientsPage, OwnLine
from pointage.web.words.words import mass

FIGURES = {
    "water": mark("{number} % water"),
    "protein": mark("{number} % protein"),
    "ash": mark("{number} % ash of dry matter"),
}
NAMES = {"water": mark("water"), "protein": mark("protein"), "ash": mark("ash")}


def ingredients_page(
    frame: Frame,
    held: Sequence[OwnHeld],
    gone: Sequence[tuple[str, OwnIngredient]],
    currency: str,
    names: Mapping[str, str],
    *,
    given: Mapping[str, str] = NOTHING,
    error: InputError | None = None,
    which: str = "",
) -> IngredientsPage:
    """names: of formulas, by slug. given, error: what came back; which: for the entry of which."""
    asked = form(currency)
    fields, above = asked.fields(given if not which else {}, None if which else error)
    back = {which: (given, error)}
    shown = [(each, *back.get(each.entry, (as_typed(each.own), None))) for each in held]
    return IngredientsPage(
        frame,
        tuple(
            _line(each, asked.fields(typed, wrong), names, opened=each.entry == which)
            for each, typed, wrong in shown
        ),
        fields,
        (bool(given) and not which) or not held,
        above,
        tuple(GoneLine(removal, own.name) for removal, own in gone),
        tuple(say(it.label) for it in offered().values() if not it.like),
    )


def _line(
    each: OwnHeld,
    form: tuple[tuple[Field, ...], str],
    names: Mapping[str, str],
    *,
    opened: bool,
) -> OwnLine:
    own, (fields, above) = each.own, form
    return OwnLine(
        each.entry, own.name, _facts(own), _lacks(own), _hangs(each, names), fields, opened, above
    )


def _facts(own: OwnIngredient) -> str:
    facts = [say("like {label}", label=say(ingredient(own.like).label))]
    for key, words in FIGURES.items():
        value = getattr(own, key)
        if value is not None:
            facts.append(say(words, number=print_number(value, 3)))
    if own.allergens:
        facts.append(say("contains {names}", names=", ".join(own.allergens)))
    elif own.allergens is not None:
        facts.append(say("no allergens"))
    if own.price_per_kg is not None:
        price = print_number(own.price_per_kg, 2)
        facts.append(say("{price} {currency} a kilogram", price=price, currency=own.currency))
    return "; ".join(facts)


def _lacks(own: OwnIngredient) -> str:
    """What is not known of it, and what follows."""
    found = []
    if own.borrowed:
        found.append(
            say(
                "Not known, so taken as in {label}: {names}.",
                label=say(ingredient(own.like).label),
                names=all_of(say(NAMES[key]) for key in own.borrowed),
            )
        )
    if own.allergens is None:
        found.append(say("Its allergens are not known, so nothing with it gets a label."))
    return " ".join(found)


def _hangs(each: OwnHeld, names: Mapping[str, str]) -> str:
    found = [names.get(slug, slug) for slug in each.formulas]
    if each.stock_g:
        found.append(say("{mass} in stock", mass=mass(each.stock_g)))
    return ", ".join(found)
