"""Looking back: what was baked and kept, how it went, and what changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime

from pointage.daybook.entry import EntryKind
from pointage.desk.answers import Bake, NotThere
from pointage.desk.now.present import Present
from pointage.desk.past.changed import WhatChanged, what_changed
from pointage.desk.past.culture import CulturePast, culture_past
from pointage.desk.past.formula import FormulaPast, formula_past
from pointage.desk.past.outcome import ASKED_FOR, BakeOutcome, outcome


class PastDesk:
    """The past of one kitchen."""

    def __init__(self, present: Callable[[], Present]) -> None:
        self._present = present

    def bakes(self) -> Mapping[str, Bake]:
        """Every bake that was not given up, by key, over or not."""
        return self._present().every_bake

    def culture(self, name: str, week_from: int = 0) -> CulturePast:
        """A culture's past; week_from: on which day weeks begin, Monday is 0. Raises NotThere."""
        present = self._present()
        life = present.life(name)
        return culture_past(
            life,
            present.every_bake.values(),
            present.about_culture(life),
            present.learning.vigour(life.name),
            present.file.zone,
            week_from=week_from,
        )

    def formula(self, name: str) -> FormulaPast:
        """The past of the formula called `name`, empty when it was never baked."""
        present = self._present()
        return formula_past(name, present.every_bake.values(), present.about_bake)

    def outcome(self, key: str) -> BakeOutcome:
        """How a bake came out, by its key, and why. Raises NotThere."""
        present = self._present()
        record = present.replayed.bakes.get(key)
        if record is None or record.bake.given_up:
            raise NotThere("bake", key)
        return outcome(record, present.about_bake(key), present.learning)

    def to_ask(self, now: datetime) -> list[Bake]:
        """The bakes that are out of the oven lately and of which nobody has said how they were."""
        present = self._present()
        lately = [each.bake for each in present.ended_since(now - ASKED_FOR)]
        return [
            bake
            for bake in lately
            if now - ASKED_FOR < bake.plan.ready <= now
            and any(news.done for news in bake.news.values())
            and not any(e.kind is EntryKind.TASTED for e in present.about_bake(bake.key))
        ]

    def changed(self, first: str, second: str) -> WhatChanged:
        """What changed from one bake to another, by key. Raises NotThere."""
        present = self._present()
        for key in (first, second):
            if key not in present.every_bake:
                raise NotThere("bake", key)
        before, after = present.every_bake[first], present.every_bake[second]
        return what_changed(before, after, present.about_bake)
