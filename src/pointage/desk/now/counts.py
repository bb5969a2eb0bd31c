"""How often texts were parsed and entries gone through, counted for the tests."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass
class Counts:
    """texts: of kitchens and formulas that were parsed. entries: that were brought into the
    picture or gone through again."""

    texts: int = 0
    entries: int = 0


counts = Counts()
