"""Looking back: what was baked and kept, in the order in which it was."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from pointage.daybook.store import Store
from pointage.desk.answers import Bake
from pointage.desk.bakes import every_bake


class PastDesk:
    """The past of one kitchen."""

    def __init__(self, store: Store, kitchen_id: str, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._kitchen = kitchen_id
        self._clock = clock

    def bakes(self) -> dict[str, Bake]:
        """Every bake that was not given up, by key, over or not."""
        return every_bake(self._store, self._kitchen)
