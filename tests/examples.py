"""How many examples a property is tried on, where each of them takes long."""

from __future__ import annotations

from tests.conftest import EVERYTHING

FEWEST = 4


def some(count: int) -> int:
    """So many where everything is tried (`CI` is set), else a quarter of them."""
    return count if EVERYTHING else max(count // 4, FEWEST)
