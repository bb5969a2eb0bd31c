"""`pointage ingredient`: list, add, correct, remove and bring back ingredients of one's own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any
from uuid import uuid4

from pointage.cli.declared import Argument, Option
from pointage.language import say

if TYPE_CHECKING:
    from pointage.desk.desk import StoredDesk
    from pointage.desk.larder.own import OwnHeld

Name = Annotated[str, Argument(help="What it is called.")]
Water = Annotated[str | None, Option(help="Percent of water as bought.", metavar="PERCENT")]
Protein = Annotated[str | None, Option(help="Percent of protein as bought.", metavar="PERCENT")]
Ash = Annotated[
    str | None,
    Option(help="Ash in percent of the dry matter, as a type has it.", metavar="PERCENT"),
]
Price = Annotated[str | None, Option(help="The price of a kilogram, such as 2.80.")]
Allergens = Annotated[
    str | None,
    Option(help="Such as 'wheat, milk'; none; or same as the one it is like. Else not known."),
]
Json = Annotated[bool, Option("--json", help="Print one JSON object.")]
LIKE = "The ingredient that it is most like, such as wheat-white: its figures stand in."


def list_all(*, json: Json = False) -> None:
    """List the ingredients of your own.

    Also what has them, and those that were removed.
    """
    from pointage.cli.table import print_json, table

    own = _desk().own
    held, removed = own.held(), [each.name for _, each in own.removed()]
    if json:
        print_json({"ingredients": [_row(each) for each in held], "removed": removed})
        return
    headings = [say("ingredient"), say("most like"), say("allergens"), say("in formulas")]
    rows = [
        [each.own.name, each.own.like, _allergens(each), ", ".join(each.formulas)] for each in held
    ]
    print(table(headings, rows) if rows else say("There are none of your own yet."))
    if removed:
        print(say("Removed: {names}", names=", ".join(removed)))


def add(
    name: Name,
    *,
    like: Annotated[str, Option(help=LIKE)],
    water: Water = None,
    protein: Protein = None,
    ash: Ash = None,
    price: Price = None,
    allergens: Allergens = None,
    json: Json = False,
) -> None:
    """Add an ingredient of your own.

    Formulas, stock, labels and forecasts then know it.
    """
    _describe(
        None, json, name=name, like=like, water=water, protein=protein, ash=ash, price=price,
        allergens=allergens,
    )  # fmt: skip


def correct(
    name: Name,
    *,
    rename: Annotated[str | None, Option(help="What it is called from now on.")] = None,
    like: Annotated[str | None, Option(help=LIKE)] = None,
    water: Water = None,
    protein: Protein = None,
    ash: Ash = None,
    price: Price = None,
    allergens: Allergens = None,
    json: Json = False,
) -> None:
    """Correct what is known of one.

    What is not given stays, and "unknown" takes a figure away.
    """
    _describe(
        name, json, name=rename, like=like, water=water, protein=protein, ash=ash, price=price,
        allergens=allergens,
    )  # fmt: skip


def remove(name: Name, *, json: Json = False) -> None:
    """Stop offering one; formulas and stores that have it keep it."""
    desk = _desk()
    held = _held(desk, name)
    desk.own.remove(str(uuid4()), held.entry)
    _say(say("{name} is removed.", name=held.own.name), {"removed": held.own.name}, json)


def bring_back(name: Name, *, json: Json = False) -> None:
    """Bring back one that was removed."""
    from pointage.errors import InputError

    own = _desk().own
    gone = own.removed()
    for removal, each in gone:
        if name.casefold() in (each.name.casefold(), each.id):
            own.bring_back(str(uuid4()), removal)
            _say(say("{name} is back.", name=each.name), {"ingredient": each.name}, json)
            return
    names = ", ".join(each.name for _, each in gone) or say("none was")
    raise InputError("NAME", repr(name), say("one that was removed: {names}", names=names))


def _describe(which: str | None, json: bool, **said: str | None) -> None:
    """Add one, or correct the one called `which`."""
    from pointage.cli.options import as_options
    from pointage.desk.larder.described import described

    desk, entry = _desk(), str(uuid4())
    held = None if which is None else _held(desk, which)
    given = {key: text for key, text in said.items() if text is not None}
    options = {key: text for key, text in given.items() if key != "name"}
    with as_options(**options):
        own = described(given, entry, desk.kitchen().currency, None if held is None else held.own)
        if held is None:
            desk.own.describe(entry, own)
        else:
            desk.own.put_right(entry, held.entry, own)
    now = next(each for each in desk.own.held() if each.own.id == own.id)
    words = (
        say("{name} is known from now on.", name=own.name)
        if held is None
        else say("{name} is corrected.", name=own.name)
    )
    if own.allergens is None:
        words += " " + say("Its allergens are not known, so that a label with it is refused.")
    _say(words, _row(now), json)


def _desk() -> StoredDesk:
    from datetime import UTC, datetime

    from pointage.desk.opening import open_own

    return open_own(datetime.now(UTC))


def _held(desk: StoredDesk, name: str) -> OwnHeld:
    from pointage.errors import InputError

    held = desk.own.held()
    for each in held:
        if name.casefold() in (each.own.name.casefold(), each.own.id):
            return each
    names = ", ".join(each.own.name for each in held) or say("there is none yet")
    raise InputError("NAME", repr(name), say("one of your own: {names}", names=names))


def _allergens(each: OwnHeld) -> str:
    found = each.own.allergens
    if found is None:
        return say("not known")
    return ", ".join(map(say, found)) or say("none")


def _row(each: OwnHeld) -> dict[str, Any]:
    own = each.own
    return {
        "id": own.id,
        "name": own.name,
        "like": own.like,
        "water": own.water,
        "protein": own.protein,
        "ash": own.ash,
        "allergens": None if own.allergens is None else list(own.allergens),
        "price_per_kg": own.price_per_kg,
        "currency": own.currency or None,
        "formulas": list(each.formulas),
        "stock_g": each.stock_g,
    }


def _say(words: str, answer: dict[str, Any], json: bool) -> None:
    from pointage.cli.table import print_json

    print_json(answer) if json else print(words)
