"""The three forms of the flour page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pointage.bounds import (
    ASH,
    DRY_PROTEIN,
    FALLING_NUMBER,
    FLOUR_MOISTURE,
    FLOUR_PERCENT,
    MOISTURE,
    TYPE_ASH,
    WEIGHED_G,
    Bound,
)
from pointage.errors import InputError
from pointage.language import mark
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form

Read = Callable[[str, str], Any]

# What the forms say before anything is typed: two flours as sheets often describe them.
FIRST = {
    "one-grams": "700", "one-moisture": "14", "one-ash": "0.55", "one-protein": "12.5",
    "one-falling": "320", "two-grams": "300", "two-moisture": "14", "two-ash": "1.6",
    "two-protein": "14", "two-falling": "250", "figure": "ash", "wanted": "",
    "value": "12", "from": "14", "to": "0", "type": "T65", "grain": "wheat",
}  # fmt: skip


def _number(name: str, label: str, read: Read, usual: str = "", *, needed: bool = False) -> Asked:
    return Asked(name, label, read=read, kind="decimal", usual=usual, needed=needed)


def _percent(bound: Bound) -> Read:
    """Reads a percentage of which the bound has the number alone."""
    return lambda text, field: bound.read(text.rstrip("% "), field)


def _figure(text: str, field: str) -> float:
    """The number of a figure, whichever it is; the two flours are its limits."""
    unit = "s" if text.endswith("s") else "%"
    return Bound(mark("a figure"), unit, 0.0, FALLING_NUMBER.high).read(text, field)


def _type(text: str, field: str) -> tuple[str, float | None]:
    """The name of a type, and the ash that it would be as a number."""
    try:
        return text, TYPE_ASH.read(text, field)
    except InputError:
        return text, None


SHEET = Form((
    _number("grams", mark("Grams"), WEIGHED_G.read, needed=True),
    _number("moisture", mark("Moisture %"), _percent(MOISTURE), "14"),
    _number("ash", mark("Ash %, dry"), _percent(ASH)),
    _number("protein", mark("Protein %, dry"), DRY_PROTEIN.read),
    _number("falling", mark("Falling no., s"), FALLING_NUMBER.read),
))  # fmt: skip
BLEND = Form((
    *SHEET.row("one").asked,
    *SHEET.row("two").asked,
    Asked("figure", mark("To reach"), choices=(
        Choice("ash", mark("ash")),
        Choice("protein", mark("protein")),
        Choice("falling", mark("falling number")),
    ), ours=True),
    _number("wanted", mark("of"), _figure),
))  # fmt: skip
BASIS = Form((
    _number("value", mark("Ash or protein, %"), FLOUR_PERCENT.read, needed=True),
    _number("from", mark("Given at moisture %"), FLOUR_MOISTURE.read, "0"),
    _number("to", mark("Wanted at moisture %"), FLOUR_MOISTURE.read, "14"),
))  # fmt: skip
TYPES = Form((
    Asked("type", mark("Type, or ash % dry"), read=_type),
    Asked("grain", mark("Grain"), choices=(
        Choice("wheat", mark("wheat")), Choice("rye", mark("rye")),
    ), ours=True),
))  # fmt: skip
