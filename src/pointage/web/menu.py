"""The screens by name: the first stand at a thumb's reach on every page, the rest one tap away."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Screen:
    """A screen: where it is, and the word for it."""

    path: str
    word: str

    @property
    def key(self) -> str:
        """By this a page says which screen it belongs to."""
        return self.word.lower()


FIRST = (
    Screen("/", "Bench"),
    Screen("/week", "Week"),
    Screen("/cultures", "Cultures"),
    Screen("/formulas", "Formulas"),
)
FURTHER: tuple[Screen, ...] = (
    Screen("/water", "Water"),
    Screen("/oven", "Oven"),
    Screen("/flour", "Flour"),
    Screen("/larder", "Larder"),
    Screen("/daybook", "Daybook"),
    Screen("/kitchen", "Kitchen"),
)
