"""The larder, and its shopping list for paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame, Moment


@dataclass(frozen=True, slots=True)
class StoreLine:
    """One ingredient of the stores. lacks: more is reserved than is there. best: "29 Nov".

    soon: it is past its best within the days ahead, or already. asks: one sentence, or empty.
    lots: a line each.
    """

    name: str
    stock: str
    reserved: str
    free: str
    lacks: bool
    worth: str
    best: str
    soon: bool
    asks: str
    lots: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BuyLine:
    """One thing to buy: how much, in which packs, for about how much, and what for."""

    name: str
    buy: str
    packs: str
    about: str
    sums: str
    what_for: str


@dataclass(frozen=True, slots=True)
class ShoppingNote:
    """What the days until `until` need. enough: what needs no buying. past: a line each."""

    until: str
    lines: tuple[BuyLine, ...]
    about: str
    enough: str
    past: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CostLine:
    """What a batch costs: one piece, and all of it in its two parts."""

    name: str
    each: str
    ingredients: str
    energy: str


@dataclass(frozen=True, slots=True)
class PouredLine:
    """Discard: how much of what, when, and what its flour cost."""

    text: str
    at: Moment
    cost: str


@dataclass(frozen=True, slots=True)
class OfferLine:
    """A formula that takes discard: its final dough with it, a row each, and what to mind."""

    title: str
    culture: str
    rows: tuple[tuple[str, str], ...]
    note: str


@dataclass(frozen=True, slots=True)
class RecentLine:
    """Something recorded lately, which can be withdrawn."""

    entry: str
    text: str
    at: Moment


@dataclass(frozen=True, slots=True)
class LarderPage:
    """The larder. forms: "buy", "count", "use" and "also", the fields of each by name.

    opened: the form that cannot be used as it is, or empty; above: a line on the whole of it.
    sheet: something is said of a flour's figures.
    """

    template: ClassVar[str] = "larder.html"
    frame: Frame
    flags: tuple[str, ...]
    stores: tuple[StoreLine, ...]
    worth: str
    shopping: ShoppingNote
    query: str
    items: tuple[str, ...]
    forms: Mapping[str, Mapping[str, Field]]
    opened: str
    above: str
    sheet: bool
    bakes: tuple[CostLine, ...]
    recipes: tuple[CostLine, ...]
    week: str
    coming: tuple[PouredLine, ...]
    gone: tuple[PouredLine, ...]
    lost: str
    offers: tuple[OfferLine, ...]
    recent: tuple[RecentLine, ...]


@dataclass(frozen=True, slots=True)
class ShoppingPage:
    """The shopping list for paper."""

    template: ClassVar[str] = "shopping.html"
    frame: Frame
    shopping: ShoppingNote
