"""The texts of kitchens and formulas, each parsed once: a text never changes."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from datetime import UTC, datetime
from functools import cache
from typing import TYPE_CHECKING, Generic, TypeVar

from pointage.data.records import records_here, until_changed
from pointage.desk.now.counts import counts
from pointage.errors import InputError
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.kitchen import Kitchen
from pointage.language import ENGLISH, Language, language, speaking
from pointage.shown import PLAIN, Shown, showing, shown

if TYPE_CHECKING:  # a kitchen is read without formulas, which have a reader of their own
    from pointage.formula.formula import Formula

Read = TypeVar("Read")
_Refused = dict[tuple[Language, Shown], InputError]
"""Why a text cannot be read, by how its reader has it."""

MOST_KITCHENS, MOST_FORMULAS = 64, 500
RELATIVE = "fed_days_ago"
WHENEVER = datetime(2300, 1, 1, tzinfo=UTC)
"""Later than any feed that a text can name: a clock set back must not shut a kitchen."""


class _Parsed(Generic[Read]):
    """What texts were read as, the latest `most` of them; of one that cannot be read, why.

    What it was read as is kept for every reader, and made in English; why it cannot be, as each
    reader has it.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._turn = threading.Lock()
        self._known: OrderedDict[Hashable, Read | _Refused] = OrderedDict()

    def of(self, key: Hashable, read: Callable[[], Read]) -> Read:
        with self._turn:
            found = self._known.get(key)
            if found is None:
                counts.texts += 1
                before = records_here().kept
                try:
                    with showing(PLAIN), speaking(ENGLISH):
                        found = read()
                except InputError as error:
                    found = {(ENGLISH, PLAIN): error}
                if records_here().kept is before:  # what it brought along is its own kitchen's
                    self._known[key] = found
                if len(self._known) > self._most:
                    self._known.popitem(last=False)
            else:
                self._known.move_to_end(key)
        if isinstance(found, dict):
            here = language(), shown()
            if here not in found:
                try:
                    return read()
                except InputError as error:
                    found[here] = error
            raise found[here].at(lambda fault: fault.field)
        return found


@until_changed
@cache
def _kitchens() -> _Parsed[Kitchen]:
    return _Parsed(MOST_KITCHENS)


@until_changed
@cache
def _formulas() -> _Parsed[Formula]:
    return _Parsed(MOST_FORMULAS)


def kitchen_of(text: str, since: datetime | None = None, source: str = "kitchen.toml") -> Kitchen:
    """The kitchen that a text describes. Raises InputError.

    since: from when "fed so many days ago" counts, for a text that says so; None where the
    cultures do not matter.
    """
    counted = since if since is not None and RELATIVE in text else WHENEVER
    return _kitchens().of((text, counted, source), lambda: read_kitchen(text, counted, source))


def formula_of(text: str, source: str = "formula.toml") -> Formula:
    """The formula that a text describes. Raises InputError."""
    from pointage.formula.file.read import read_formula

    return _formulas().of((text, source), lambda: read_formula(text, source))
