"""A quantity as it was typed, kept beside its value in °C or grams: "76" and "F".

So it is given back as it was typed wherever it is shown to be put right, and nobody's 76 °F becomes
24.444 °C.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import isclose
from typing import Any

from pointage.bounds import Bound
from pointage.errors import InputError
from pointage.language import say
from pointage.quantities import with_a_point

LONGEST = 40
_PARTS = re.compile(r"\s*([+-]?[\d.,]+)\s*(.*?)\s*$", re.DOTALL)
BARE = {"°C": "C", "K": "C"}
"""The unit that a bare number is in, where it is not that of the bound by name."""
NEAR_K = 0.006
"""Degrees are kept to two decimals by some who write: that still agrees."""


def as_typed(text: str, bound: Bound) -> dict[str, str]:
    """The number and the unit of `text`, verbatim; for a bare number the unit that it is in."""
    match = _PARTS.match(text)
    value, unit = (match[1], match[2]) if match else (text.strip(), "")
    return {"value": value, "unit": unit or _bare(bound)}


def given_back(typed: Mapping[str, Any], bound: Bound) -> str:
    """The text that was typed, without the unit that a bare number is in anyway."""
    value, unit = str(typed.get("value", "")), str(typed.get("unit", ""))
    return value if unit in ("", _bare(bound)) else f"{value} {unit}"


def as_said(typed: Mapping[str, Any]) -> str:
    """The text that was typed with its unit."""
    return f"{typed.get('value', '')}{typed.get('unit', '')}"


def check_typed(typed: object, value: object, bound: Bound, field: str) -> dict[str, str]:
    """`typed` as it will be kept. Raises InputError where it does not say what `value` says."""
    expected = say("what was typed, as a value and a unit in text")
    if not isinstance(typed, Mapping) or set(typed) != {"value", "unit"}:
        raise InputError(field, say("this"), expected)
    found = {name: typed[name] for name in ("value", "unit")}
    if not all(isinstance(each, str) and len(each) <= LONGEST for each in found.values()):
        raise InputError(field, say("this"), expected)
    text = f"{found['value']}{found['unit']}"
    meant = bound.read(with_a_point(text), field)  # the value beside it says what was meant
    near = NEAR_K if bound.unit in BARE else 0.0
    if not bound.holds(value) or not isclose(meant, value, rel_tol=1e-9, abs_tol=near):
        said = f"{value:g}" if isinstance(value, int | float) else say("nothing")
        raise InputError(
            field, repr(text), say("one that agrees with the value beside it, {said}", said=said)
        )
    return found


def _bare(bound: Bound) -> str:
    return BARE.get(bound.unit, bound.unit)
