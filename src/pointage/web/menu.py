"""The screens by name: the first stand at a thumb's reach on every page, the rest one tap away."""

from __future__ import annotations

from dataclasses import dataclass

from pointage.language import mark


@dataclass(frozen=True, slots=True)
class Screen:
    """A screen: where it is, by what a page says that it belongs to it, and the word for it."""

    path: str
    key: str
    word: str


FIRST = (
    Screen("/", "bench", mark("Bench")),
    Screen("/week", "week", mark("Week")),
    Screen("/cultures", "cultures", mark("Cultures")),
    Screen("/formulas", "formulas", mark("Formulas")),
)
FURTHER: tuple[Screen, ...] = (
    Screen("/water", "water", mark("Water")),
    Screen("/oven", "oven", mark("Oven")),
    Screen("/flour", "flour", mark("Flour")),
    Screen("/larder", "larder", mark("Larder")),
    Screen("/daybook", "daybook", mark("Daybook")),
    Screen("/kitchen", "kitchen", mark("Kitchen")),
    Screen("/sheets", "sheets", mark("Sheets")),
)
