"""The kitchen's earlier texts: what it was like before it was changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property

from pointage.daybook.entry import KitchenText
from pointage.desk.now.texts import kitchen_of
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen


@dataclass(frozen=True, eq=False)
class Earlier:
    """The texts before the one in use, read when something asks for them, no further than needed.

    kept: when the text in use was kept; None where nobody noted it, then it always was so.
    read: every text, the first first.
    """

    kept: datetime | None = None
    read: Callable[[], Sequence[KitchenText]] = tuple

    def kitchens(self, since: datetime) -> list[tuple[datetime, Kitchen]]:
        """The kitchen as it was from `since` on, each with until when, the earliest first.

        The first text holds for whatever was before it. One that cannot be read was never in use:
        the one before it held on.
        """
        found: list[tuple[datetime, Kitchen]] = []
        until = self.kept
        if until is None or until <= since:
            return found
        for text in self._texts:
            if text.kept is not None and text.kept >= until:
                continue
            try:
                found.append((until, kitchen_of(text.text)))
            except InputError:
                continue
            if text.kept is None or text.kept <= since:
                break
            until = text.kept
        return found[::-1]

    def under(self, kitchen: Kitchen, since: datetime) -> Kitchen:
        """The kitchen with its places as they were from `since` on."""
        before = tuple((until, then.places) for until, then in self.kitchens(since))
        return replace(kitchen, before=before) if before else kitchen

    @cached_property
    def _texts(self) -> Sequence[KitchenText]:
        """Those before the one in use, the last first."""
        return list(self.read())[-2::-1]
