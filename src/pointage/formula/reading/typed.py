"""A line as somebody typed it, kept beside what it was taken for, with what is not sure of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class LineDoubt:
    """Something that is not sure: a word for what, and the values it is about."""

    what: str
    about: Mapping[str, object] = field(default_factory=dict)

    def plain(self) -> LineDoubt:
        """The same as a file has it: numbers to the fourth place, all else as text."""
        about = {
            key: value if isinstance(value, str) else round(float(str(_number(value))), 4)
            for key, value in self.about.items()
        }
        return LineDoubt(self.what, about)


def _number(value: object) -> object:
    numerator = getattr(value, "numerator", None)
    return value if numerator is None else numerator / getattr(value, "denominator", 1)


@dataclass(frozen=True, slots=True)
class TypedLine:
    """line: as it was typed. taken: an ingredient's name, or a stage's; "" where it was left out.

    doubts: what is still to be settled.
    """

    line: str
    taken: str = ""
    doubts: tuple[LineDoubt, ...] = ()
