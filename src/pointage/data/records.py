"""The records of ingredients: those that come with the package, and those that a kitchen has added.

A record of one's own has an identifier that no other has, and the form of one in ingredients/, so
that engine, label, cost and search read both by one path. Which of them are known goes by the
kitchen that is asked; what is worked out from records is kept for each until they change.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextvars import ContextVar
from functools import cache, lru_cache, wraps
from typing import Any, Protocol, TypeVar, cast

from pointage.data import listed, load

Record = Mapping[str, Any]
OWN = "own"
"""The key under which a record of one's own has what was recorded of it."""
Kept = dict[object, Callable[..., Any]]


class _Cached(Protocol):
    @property
    def __wrapped__(self) -> Callable[..., Any]: ...
    def cache_parameters(self) -> Any: ...


K = TypeVar("K", bound=_Cached)


class KitchenRecords:
    """The records that one kitchen has added, and what was worked out from all that it knows."""

    def __init__(self) -> None:
        self.own: dict[str, Record] = {}
        self._kept: Kept = {}

    @property
    def kept(self) -> Kept:
        """What was worked out; another object as soon as a record is. Kitchens that have added
        none share theirs."""
        return self._kept if self.own else _of_shipped

    def keep(self, name: str, record: Record) -> None:
        """Add a record, or put it right."""
        if self.own.get(name) != record:
            self.own = {**self.own, name: record}
            self._kept = {}


_of_shipped: Kept = {}
_of_none = KitchenRecords()
"""What files that were read for no kitchen brought along: those of the one that is asked next."""
_here: ContextVar[KitchenRecords] = ContextVar("kitchen records", default=_of_none)


def records_here() -> KitchenRecords:
    """Those of the kitchen that was asked last, in this thread or request."""
    return _here.get()


def ask_records(of: KitchenRecords) -> None:
    """From here on ask the records of that kitchen."""
    for name, record in _of_none.own.items():
        if name not in of.own:
            of.keep(name, record)
    _here.set(of)


def until_changed(cached: K) -> K:
    """`cached`, which `functools.cache` made, once for each kitchen and anew whenever a record of
    it is added or put right."""

    @wraps(cached.__wrapped__)
    def ask(*given: Any, **named: Any) -> Any:
        kept = _here.get().kept
        found = kept.get(ask)
        if found is None:
            most = cached.cache_parameters()["maxsize"]
            found = kept.setdefault(ask, lru_cache(maxsize=most)(cached.__wrapped__))
        return found(*given, **named)

    return cast(K, ask)


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
    return {**shipped(), **_here.get().own}


def own_record(name: str) -> Record | None:
    """The record of one's own with that identifier."""
    return _here.get().own.get(name)


def keep_record(name: str, record: Record) -> None:
    """Add a record of one's own, or put it right."""
    _here.get().keep(name, record)


def forget_own() -> None:
    """Ask no kitchen, and let none of one's own be known, as at the start of a process."""
    _of_none.own = {}
    _here.set(_of_none)
