"""A change of one table of the kitchen file, made on a text that others have changed meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pointage.errors import InputError
from pointage.kitchen.file.edit import table


class RowChangedError(InputError):
    """A table was changed or taken out since the text that a change was made from.

    now: what it says in the latest text; None where it is not there.
    """

    def __init__(self, kind: str, name: str, now: Mapping[str, Any] | None) -> None:
        self.kind = kind
        self.name = name
        self.now = now
        super().__init__(
            "revision", f"{kind} {name!r} of an earlier revision", "a change of what stands now"
        )


def on_latest(
    base: str,
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
    that. Raises RowChangedError where the table is another than it was.
    """
    now = table(latest, kind, name)
    if now == table(base, kind, name):
        return change(latest)
    after = name if renamed is None else renamed
    if table(change(base), kind, after) == table(latest, kind, after):
        return latest
    raise RowChangedError(kind, name, now)
