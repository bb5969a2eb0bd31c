"""Several things in one sentence."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce

from pointage.language import say


def all_of(texts: Iterable[str]) -> str:
    """ "Plover and Gannet"; "" of none."""
    found = list(texts)
    return reduce(_and, found) if found else ""


def _and(one: str, other: str) -> str:
    return say("{one} and {other}", one=one, other=other)
