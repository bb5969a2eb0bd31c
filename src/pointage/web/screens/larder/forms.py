"""The forms of the larder."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from pointage.bounds import PACKS, PART_G, PIECES_MADE, WEIGHED_G
from pointage.desk.larder.recorded import KILOGRAM, PACK, WHOLE, Purchase, TakenOrCounted, item
from pointage.errors import Faults
from pointage.formula.flour.figures import read_figures
from pointage.language import mark, say
from pointage.mixture.flours import FIGURES
from pointage.money import parse_money
from pointage.quantities import parse_day
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form, plain
from pointage.web.words.asked import ingredient_typed

Read = Callable[[str, str], Any]
ALSO = "also"
PER = (
    Choice(WHOLE, mark("all of it")),
    Choice(PACK, mark("each pack")),
    Choice(KILOGRAM, mark("a kilogram")),
)


def _free(name: str, label: str, hint: str = "", kind: str = "text", read: Read = plain) -> Asked:
    return Asked(name, label, hint, read, kind, needed=False)


def _choose(name: str, label: str, nothing: str, choices: Sequence[Choice]) -> Asked:
    return Asked(name, label, choices=(Choice("", say(nothing)), *choices), needed=False)


def _item(text: str, field: str) -> str:
    return item(ingredient_typed(text), field)


def forms(
    formulas: Sequence[Choice] = (),
    lots: Sequence[Choice] = (),
    currency: str = "",
    today: str = "",
) -> Mapping[str, Form]:
    """Each by its name; to read one, nothing need be known of what can be chosen, or is usual."""
    what = Asked("item", mark("What"), read=_item, among="items")

    def price(text: str, field: str) -> tuple[Fraction, str]:
        return parse_money(text, field, currency)

    return {
        "buy": Form((
            what,
            Asked("mass", mark("How much"), mark("such as 25kg"), PART_G.grams),
            _free("packs", mark("Packs"), mark("of that, if any"), "numeric", PACKS.count),
            _free("price", mark("Price"), currency, "decimal", price),
            Asked("per", mark("for"), choices=PER, usual=WHOLE, ours=True),
            replace(_free("bought", mark("Bought on"), "", "date", parse_day), usual=today),
            _free("best_before", mark("Best before"), "", "date", parse_day),
            _free("supplier", mark("Supplier")),
            _free("label", mark("Lot"), mark("as the sack says")),
            _free("place", mark("Where it is kept")),
            _free("ash", mark("Ash"), mark("% of dry matter, such as 0.62; or “0.53 as bought”")),
            _free("falling_number", mark("Falling number"), "s", "numeric"),
            _free("protein", mark("Protein"), mark("% as bought; or “13 dry”")),
            _free("moisture", mark("Moisture"), "%", "decimal"),
            _free("absorption", mark("Absorption"), mark("% water at 14 % moisture"), "decimal"),
        )),
        "count": Form((
            what,
            Asked("mass", mark("In stock"), mark("0g for none"), WEIGHED_G.grams),
            _choose("lot", mark("Lot"), mark("all lots together"), lots),
        )),
        "use": Form((
            what,
            Asked("mass", mark("How much"), read=PART_G.grams),
            _choose("lot", mark("From lot"), mark("the oldest lot first"), lots),
            _free("remark", mark("Used for")),
        )),
        ALSO: Form((
            _choose("formula", mark("If you also bake"), mark("nothing else"), formulas),
            Asked("pieces", mark("pieces"), read=PIECES_MADE.count, kind="numeric", needed=False),
        )),
    }  # fmt: skip


def purchase(given: Mapping[str, str], currency: str) -> Purchase:
    """What was typed into "buy", its prices in `currency`. Raises InputError by its fields."""
    faults = Faults()
    said = forms(currency=currency)["buy"].read(given, faults)
    sheet = {key: text for key in FIGURES if isinstance(text := said.pop(key), str)}
    figures = faults.take(read_figures, sheet, said["item"])
    faults.check()
    return Purchase(grams=said.pop("mass"), figures=figures, **_known(said))


def taken(form: str, given: Mapping[str, str]) -> TakenOrCounted:
    """What was typed into "count" or "use". Raises InputError by its fields."""
    said = forms()[form].read(given)
    return TakenOrCounted(grams=said.pop("mass"), **_known(said))


def _known(said: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in said.items() if value is not None}
