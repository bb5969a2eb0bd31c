"""The form of an ingredient of one's own."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from pointage.bounds import FLOUR_PERCENT
from pointage.errors import MISSING, InputError
from pointage.formula.ingredients import ingredient
from pointage.formula.names import find_ingredient
from pointage.formula.own.ingredient import KNOWN, OwnIngredient, new_id
from pointage.language import mark, say
from pointage.money import parse_money
from pointage.quantities import print_number
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form, several
from pointage.web.words.asked import ingredient_typed

ALLERGENS = (
    Choice("", mark("I do not know yet")),
    Choice("like", mark("the same as the one it is like")),
    Choice("none", mark("none")),
    Choice("these", mark("those I name below")),
)


def _like(text: str, field: str) -> str:
    found = find_ingredient(ingredient_typed(text), field)
    return found.like or found.name


def _percent(name: str, label: str, hint: str) -> Asked:
    return Asked(name, label, hint, FLOUR_PERCENT.read, "decimal", needed=False)


def form(currency: str) -> Form:
    """Its fields; prices are in `currency`."""

    def price(text: str, field: str) -> tuple[Fraction, str]:
        return parse_money(text, field, currency)

    return Form((
        Asked("name", mark("Name"), mark("as you will write it"), longest=80),
        Asked("like", mark("Most like"), mark("one from the list"), _like, among="known"),
        Asked("allergens", mark("Its allergens"), choices=ALLERGENS, needed=False, ours=True),
        Asked("named", mark("Which allergens"), mark("such as wheat, milk"), several, needed=False),
        _percent("protein", mark("Protein"), mark("% as bought")),
        _percent("water", mark("Water"), mark("% as bought")),
        _percent("ash", mark("Ash"), mark("% of dry matter, as a flour's type has it")),
        Asked("price", mark("Price of a kilogram"), currency, price, "decimal", needed=False),
    ))  # fmt: skip


def described(given: Mapping[str, str], entry: str, currency: str, own: str = "") -> OwnIngredient:
    """What was typed. own: its identifier, made of `entry` for a new one. Raises InputError."""
    said = form(currency).read(given)
    choice, named = said["allergens"], said["named"] or ()
    allergens: tuple[str, ...] | None = None
    if named or choice == "these":
        allergens = tuple(each.casefold() for each in named)
        if not allergens:
            raise InputError("named", MISSING, say("at least one allergen, such as wheat"))
    elif choice in ("like", "none"):
        allergens = ingredient(said["like"]).allergens if choice == "like" else ()
    money = said["price"]
    return OwnIngredient(
        own or new_id(said["name"], entry), said["name"], said["like"],
        said["water"], said["protein"], said["ash"], allergens,
        None if money is None else float(money[0]),
        "" if money is None else money[1],
    )  # fmt: skip


def as_typed(own: OwnIngredient) -> dict[str, str]:
    """The fields with what is known of one."""
    found = {"name": own.name, "like": say(ingredient(own.like).label)}
    numbers = {key: getattr(own, key) for key in KNOWN} | {"price": own.price_per_kg}
    found |= {key: print_number(value, 3) for key, value in numbers.items() if value is not None}
    if own.allergens is not None:
        found["allergens"] = "these" if own.allergens else "none"
        found["named"] = ", ".join(own.allergens)
    return found


def at_fields(error: InputError) -> InputError:
    """Faults of the allergens that were named, under that field."""
    return error.at(
        lambda fault: "named" if fault.field == "allergens" else str((*fault.path, fault.field)[0])
    )
