"""Round what a food contains as the law wants it printed.

The rules are data: data/label/us.toml (21 CFR 101.9(c)) and data/label/eu.toml (the guidance to
Regulation (EU) No 1169/2011), each with its source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor
from typing import Any

from pointage.data import load
from pointage.errors import RangeError
from pointage.language import mark
from pointage.quantities import print_number


class Style(StrEnum):
    """Whose rules."""

    US = "us"
    EU = "eu"


@dataclass(frozen=True, slots=True)
class Rounded:
    """What is printed ("0", "12", "less than 1"), and as a number; None when it says less than."""

    text: str
    value: Fraction | None


@dataclass(frozen=True, slots=True)
class PanelFigure:
    """A line of a panel. figure: what of the contents; part: indented, as a part of the one above.

    rule: how it is rounded. daily: the daily value, and percent the rule for its share; or None.
    """

    figure: str
    name: str
    unit: str
    rule: str
    part: bool = False
    daily: float | None = None
    percent: str | None = None


def label_lines(style: Style) -> tuple[PanelFigure, ...]:
    """The lines of the panel, in the order of the law."""
    return tuple(PanelFigure(**each) for each in load(f"label/{style}.toml")["lines"])


def round_for_label(style: Style, rule: str, amount: Fraction) -> Rounded:
    """`amount` as `rule` of `style` prints it, in the unit of the line; half rounds up.

    Raises RangeError for less than nothing.
    """
    if amount < 0:
        raise RangeError(rule, float(amount), 0.0, float("inf"), mark("on a label"))
    bands: Sequence[Mapping[str, Any]] = load(f"label/{style}.toml")["rules"][rule]
    band = next(each for each in bands if _holds(each, amount))
    if "says" in band:
        text: str = band["says"]
        return Rounded(text, Fraction(0) if text == "0" else None)
    step = _exact(band["step"])
    value = floor(amount / step + Fraction(1, 2)) * step
    return Rounded(print_number(float(value), 2), value)


def _holds(band: Mapping[str, Any], amount: Fraction) -> bool:
    if "under" in band:
        return amount < _exact(band["under"])
    return "to" not in band or amount <= _exact(band["to"])


def _exact(number: float) -> Fraction:
    return Fraction(str(number))
