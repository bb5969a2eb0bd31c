"""Looking back: what was baked and kept, how it went, and what changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from pointage.culture.life import Life
from pointage.daybook.store import Store
from pointage.desk.answers import Bake, NotThere
from pointage.desk.bakes import every_bake
from pointage.desk.changed import WhatChanged, what_changed
from pointage.desk.past_culture import CulturePast, Vigours, culture_past
from pointage.desk.past_formula import FormulaPast, formula_past
from pointage.kitchen.kitchen import Kitchen


class PastDesk:
    """The past of one kitchen."""

    def __init__(
        self,
        store: Store,
        kitchen_id: str,
        clock: Callable[[], datetime],
        kitchen: Callable[[], Kitchen],
        lives: Callable[[], Sequence[Life]],
    ) -> None:
        self._store = store
        self._kitchen = kitchen_id
        self._clock = clock
        self._file = kitchen
        self._lives = lives
        self.vigours = Vigours()

    def bakes(self) -> dict[str, Bake]:
        """Every bake that was not given up, by key, over or not."""
        return every_bake(self._store, self._kitchen)

    def culture(self, name: str) -> CulturePast:
        """A culture's past. Raises NotThere."""
        for life in self._lives():
            if name.casefold() in (each.casefold() for each in life.names):
                entries = self._store.standing(self._kitchen)
                bakes = self.bakes().values()
                return culture_past(life, bakes, entries, self.vigours.of, self._file().zone)
        raise NotThere("culture", name)

    def formula(self, name: str) -> FormulaPast:
        """The past of the formula called `name`, empty when it was never baked."""
        entries = self._store.standing(self._kitchen)
        return formula_past(name, self.bakes().values(), entries)

    def changed(self, first: str, second: str) -> WhatChanged:
        """What changed from one bake to another, by key. Raises NotThere."""
        bakes = self.bakes()
        for key in (first, second):
            if key not in bakes:
                raise NotThere("bake", key)
        entries = self._store.standing(self._kitchen)
        return what_changed(bakes[first], bakes[second], entries)
