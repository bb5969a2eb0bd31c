"""What pages and commands ask of the engine is worked out once for the same arguments.

Many tests open the same kitchen, and each would learn from it, plan in it and advise on its
cultures anew, for seconds. These functions are pure, to which tests/whole/test_remembered.py holds
them, but for the grid of a shared page, which takes too long for that. Only what the desk asks for
is remembered: the engine's own tests run it every time. What one worker has worked out, another
finds on the `shelf`.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import wraps
from hashlib import blake2b
from importlib import import_module
from pathlib import Path
from typing import Any

from tests import shelf

from pointage.daybook.entry import Entry

ASKED = (
    ("pointage.desk.bakes.plan", "plan"),
    ("pointage.desk.cultures.care", "rests"),
    ("pointage.desk.cultures.care", "upkeep"),
    ("pointage.desk.cultures.care", "waking"),
    ("pointage.desk.cultures.raising", "raise_days"),
    ("pointage.desk.formulas.share", "grid_of"),
    ("pointage.desk.now.learned.learning", "learn"),
    ("pointage.desk.now.learned.learning", "own_oven"),
    ("pointage.desk.now.learned.learning", "scores"),
    ("pointage.desk.now.learned.learning", "taught"),
    ("pointage.desk.now.learned.learning", "vigour_in"),
    ("pointage.desk.now.learned.learning", "watched"),
    ("pointage.desk.now.cultures.young", "raise_days"),
    ("pointage.desk.moves.offer", "followed"),
    ("pointage.desk.moves.offer", "odds_on"),
    ("pointage.desk.moves.offer", "replan"),
    ("pointage.desk.now.cultures.followed", "courses"),
    ("pointage.desk.week.can_be", "answer_alone"),
    ("pointage.desk.week.plan", "plan_week"),
)


class Remembered:
    """The answers of this process. on: whether they are given; else all is worked out."""

    def __init__(self) -> None:
        self.on = False
        self.given = self.worked_out = 0
        self._known: dict[bytes, Any] = {}
        self._begun = False

    def begin(self) -> None:
        """From now on the desk asks here."""
        if self._begun:
            return
        self._begun = True
        for module, name in ASKED:
            there: Any = import_module(module)
            setattr(there, name, self.of(getattr(there, name)))
        kept: Any = import_module("pointage.desk.now.learned.kept")
        kept.cache_folder = _nowhere
        opening: Any = import_module("pointage.desk.opening")
        opening.demonstration_entries = self.past

    def past(
        self, kitchen: str, text: str, formulas: Mapping[str, str], now: datetime
    ) -> list[Entry]:
        """The demonstration's past, made once for all kitchens: their name alone differs."""
        made = import_module("pointage.desk.kitchen.demonstration").demonstration_entries
        entries = self.of(made)("hall", text, dict(formulas), now)
        return [replace(each, kitchen=kitchen) for each in entries]

    def of(self, function: Callable[..., Any]) -> Callable[..., Any]:
        """The same function, which remembers while `on`."""
        name = f"{function.__module__}.{function.__name__}"

        @wraps(function)
        def asked(*arguments: Any, **named: Any) -> Any:
            # Which ways are allowed is asked of a function, and so is no part of a name.
            plain = self.on and named.get("allowed") is None
            key = _key(name, arguments, named) if plain else None
            if key is None:
                return function(*arguments, **named)
            if key not in self._known and (kept := shelf.found(key)) is not None:
                (self._known[key],) = kept
            if key not in self._known:
                self._known[key] = function(*arguments, **named)
                self.worked_out += 1
                shelf.keep(key, self._known[key])
            else:
                self.given += 1
                hears = (*arguments, *(named[key] for key in named.keys() - {"so_far"}))
                for each in filter(callable, hears):
                    each(1.0)  # it hears how far the work is, and may raise
            return self._known[key]

        return asked


def _nowhere() -> Path:
    """What was learned is kept for no other process, and none is found of whoever runs this."""
    raise RuntimeError("a test has no home")


def _key(name: str, arguments: Sequence[Any], named: Mapping[str, Any]) -> bytes | None:
    """The same for the same arguments but for those that hear how far it is; None for no name."""
    said = [None if callable(each) else each for each in arguments]
    more = sorted((key, each) for key, each in named.items() if not callable(each))
    try:
        written = shelf.pickled((name, said, more), for_ever=False)
    except (pickle.PicklingError, AttributeError, TypeError):
        return None
    return blake2b(written, digest_size=20).digest()


remembered = Remembered()
