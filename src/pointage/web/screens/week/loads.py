"""The loads below the week: a thin bar for each oven, fridge and set of baskets, and a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from markupsafe import Markup

from pointage.desk.week.loads import CapacityLoad, LoadSpell
from pointage.language import say, say_many
from pointage.quantities import print_number
from pointage.shown import day_name
from pointage.web.drawing.svg import element, together
from pointage.web.screens.culture.page import Table
from pointage.web.words.clock import Clock

WIDTH, HEIGHT = 700.0, 24.0
NAMED = 2
"""So many firings of an oven are named beside its bar; all are in the table."""


@dataclass(frozen=True, slots=True)
class LoadBar:
    """One capacity: its name, the most at once in words, and its bar. near: to all there is."""

    name: str
    words: str
    bar: Markup
    near: bool


@dataclass(frozen=True, slots=True)
class LoadsBlock:
    """The bars over the same days, whose names stand above, and the table of all their spells."""

    days: tuple[str, ...]
    bars: tuple[LoadBar, ...]
    table: Table


NO_LOADS = LoadsBlock((), (), Table("", (), ()))


def loads_block(loads: Sequence[CapacityLoad], days: Sequence[date], clock: Clock) -> LoadsBlock:
    """The loads of the days that are shown."""
    if not loads:
        return NO_LOADS
    bars = tuple(
        LoadBar(each.name, _words(each, clock), _bar(each, days, clock), each.near)
        for each in loads
    )
    rows = tuple(
        (each.name, clock.span(spell.start, spell.end), _amount(each, spell))
        for each in loads
        for spell in each.spells
    )
    headings = ("", say("from and until"), say("in use"))
    table = Table(say("Oven, fridge and baskets, spell by spell"), headings, rows)
    return LoadsBlock(tuple(day_name(each) for each in days), bars, table)


def _words(load: CapacityLoad, clock: Clock) -> str:
    most = load.most
    if load.unit == "load":
        spans = [clock.span(each.start, each.end) for each in load.spells]
        more = len(spans) - NAMED
        named = "; ".join(spans[:NAMED])
        if more <= 0:
            return say("in use {spans}", spans=named)
        return say_many("in use {spans}, and once more", "in use {spans}, and {n} times more", more,
                        spans=named)  # fmt: skip
    at = clock.span(most.start, most.end)
    return say("at most {most}, {at}", most=_amount(load, most), at=at)


def _amount(load: CapacityLoad, spell: LoadSpell) -> str:
    """ "12 l of 20 l", "4 of 8", "4"."""
    if load.unit == "load":
        return say("in use")
    unit = " l" if load.unit == "l" else ""
    most = print_number(spell.amount, 1) + unit
    if load.whole is None:
        return most
    return say("{most} of {whole}", most=most, whole=print_number(load.whole, 1) + unit)


def _bar(load: CapacityLoad, days: Sequence[date], clock: Clock) -> Markup:
    first = clock.midnight(days[0])
    width = clock.midnight(days[-1] + timedelta(days=1)) - first
    whole = load.most.amount if load.whole is None else max(load.whole, load.most.amount)
    parts = []
    for n in range(1, len(days)):
        x = WIDTH * n / len(days)
        parts.append(element("line", class_="rule", x1=x, y1=0.0, x2=x, y2=HEIGHT))
    for spell in load.spells:
        left, right = (
            WIDTH * min(1.0, max(0.0, (at - first) / width)) for at in (spell.start, spell.end)
        )
        high = (HEIGHT - 2) * spell.amount / whole
        full = load.near and load.unit != "load" and spell.amount == load.most.amount
        parts.append(
            element("rect", class_="most" if full else "taken", x=left, y=HEIGHT - high,
                    width=max(2.0, right - left), height=high)
        )  # fmt: skip
    if load.near and load.whole is not None and load.unit != "load":
        y = HEIGHT - (HEIGHT - 2) * load.whole / whole
        parts.append(element("line", class_="limit", x1=0.0, y1=y, x2=WIDTH, y2=y))
    return element(
        "svg", together(parts), class_="load-bar", viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}",
        preserveAspectRatio="none", aria_hidden="true", focusable="false",
    )  # fmt: skip
