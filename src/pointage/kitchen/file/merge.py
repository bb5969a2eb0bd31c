"""A change of one table of the kitchen file, made on a text that others have changed meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pointage.errors import InputError
from pointage.kitchen.file.edit import lists, table
from pointage.language import say

Table = Mapping[str, Any] | None


class RowChangedError(InputError):
    """A table was changed or taken out since the text that a change was made from.

    now, was: what it says in the latest text, and said in that text. None where it is not there, or
    where nobody ever kept that text.
    """

    def __init__(self, kind: str, name: str, now: Table, was: Table) -> None:
        self.kind = kind
        self.name = name
        self.now = now
        self.was = was
        super().__init__(
            "revision",
            say("{kind} {name!r} of an earlier revision", kind=kind, name=name),
            say("a change of the row as it is now"),
        )

    @property
    def beside(self) -> dict[str, Any]:
        """What the table says beside its plain values: now, else before it was taken out."""
        return lists(self.kind, self.was if self.now is None else self.now)


def on_latest(
    base: str | None,
    latest: str,
    kind: str,
    name: str,
    change: Callable[[str], str],
    *,
    renamed: str | None = None,
) -> str:
    """The latest text with a change of one table that was made from the text `base`.

    A change that the latest text has already is not made twice: its form may be sent again, because
    the answer was lost. name: of the table in `base`, or of the new one; renamed: its name after
    that. base: None for a text that nobody kept. Raises RowChangedError where the table is another
    than it was, or nobody knows what it was.
    """
    now, was = table(latest, kind, name), None
    if base is not None:
        was = table(base, kind, name)
        if now == was:
            return change(latest)
        after = name if renamed is None else renamed
        if table(change(base), kind, after) == table(latest, kind, after):
            return latest
    raise RowChangedError(kind, name, now, was)
