"""The records of ingredients: those that come with the package, and those that kitchens have added.

A record of one's own has an identifier that no other has, and the form of one in ingredients/, so
that engine, label, cost and search read both by one path. What is worked out from records is kept
until they change.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, Protocol, TypeVar

from pointage.data import listed, load

Record = Mapping[str, Any]
OWN = "own"
"""The key under which a record of one's own has what was recorded of it."""


class _Kept(Protocol):
    def cache_clear(self) -> None: ...


K = TypeVar("K", bound=_Kept)

_own: dict[str, Record] = {}
_kept: list[_Kept] = []


def until_changed(kept: K) -> K:
    """`kept`, such as what `functools.cache` makes, emptied whenever a record is added or put
    right."""
    _kept.append(kept)
    return kept


@cache
def shipped() -> Mapping[str, Record]:
    """Those of the package by name; what holds for every one of a file stands in each."""
    found = {}
    for path in listed("ingredients"):
        file = load(path)
        every = file.get("every", {"grams": {}, "source": ""})
        for name, given in file.items():
            if name != "every":
                sources = dict.fromkeys(every["grams"].keys() - given["grams"], every["source"])
                found[name] = {
                    **given,
                    "grams": every["grams"] | given["grams"],
                    "sources": sources | given.get("sources", {}),
                }
    return found


def records() -> Mapping[str, Record]:
    """All of them by name, one's own last."""
    return {**shipped(), **_own}


def own_record(name: str) -> Record | None:
    """The record of one's own with that identifier."""
    return _own.get(name)


def keep_record(name: str, record: Record) -> None:
    """Add a record of one's own, or put it right."""
    if _own.get(name) != record:
        _own[name] = record
        for each in _kept:
            each.cache_clear()


def forget_own() -> None:
    """Let no record of one's own be known, as at the start of a process."""
    if _own:
        _own.clear()
        for each in _kept:
            each.cache_clear()
