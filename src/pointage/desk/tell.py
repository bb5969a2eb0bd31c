"""Tell the daybook what was done and seen at the bench."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction
from typing import Any

from pointage.bounds import DISPLAY_G
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import KINDS, ReadingKind
from pointage.daybook.store import Store
from pointage.daybook.typed import check_typed
from pointage.desk.answers import AskFirst, Bake, NotThere, Telling
from pointage.desk.now.bakes import kept, pours, step_of
from pointage.desk.wish import AUTHOR
from pointage.formula.ladder import Keep

MUCH = 2.0
"""So many times the whole batch is poured by nobody: it is asked about."""


class Teller:
    """Writes news of bakes. `now` is when it arrives."""

    def __init__(self, store: Store, kitchen_id: str, bakes: Mapping[str, Bake], now: datetime):
        self._store = store
        self._kitchen = kitchen_id
        self._bakes = bakes
        self._now = now

    def done(self, told: Telling) -> None:
        """The step was done."""
        step_of(self._bake(told.bake), told.step)
        self._write(EntryKind.DONE, told, {})

    def not_done(self, told: Telling) -> None:
        """The step was not done after all."""
        step_of(self._bake(told.bake), told.step)
        self._write(EntryKind.WITHDRAWN, told, {})

    def poured(
        self, told: Telling, pour: int, display_g: Fraction, keep: Keep | None = None
    ) -> None:
        """After pour number `pour` the display said `display_g`. Raises InputError, NotThere.

        keep: what the rest of the ladder then keeps; None for what was said last.
        """
        bake = self._bake(told.bake)
        news, display = bake.told(told.step), DISPLAY_G.check(display_g, "display")
        step = step_of(bake, told.step)
        pours(step, news.poured, pour, display, keep=kept(news, keep))
        last_g = step.ladder.pours[-1].display_g if step.ladder is not None else display
        if not told.sure and display > MUCH * last_g:
            raise AskFirst([f"the display at {display:g} g, where all of it comes to {last_g:g} g"])
        body: dict[str, Any] = {"pour": pour, "display_g": display}
        self._write(EntryKind.READING, told, body if keep is None else {**body, "keep": keep})

    def seen(
        self,
        told: Telling,
        kind: ReadingKind,
        value: float | None,
        typed: Mapping[str, str] | None = None,
    ) -> None:
        """Something was seen. typed: the value and unit as they were typed.

        Raises InputError, field "value", for what cannot be and for what was not typed so.
        """
        step_of(self._bake(told.bake), told.step)
        body: dict[str, Any] = {"reading": kind.value, "value": None}
        if (bound := KINDS[kind].bound) is not None:
            body["value"] = bound.check(value, "value")
            doubt = bound.doubt(body["value"])
            if doubt and not told.sure:
                raise AskFirst([doubt])
            if typed is not None:
                body["typed"] = check_typed(typed, value, bound, "value")
        self._write(EntryKind.READING, told, body)

    def given_up(self, entry: str, bake: str, happened: datetime) -> None:
        """The bake will not be."""
        if bake not in self._bakes and self._is_told(entry):
            return
        self._bake(bake)
        told = Telling(entry, bake, "", happened)
        self._append(EntryKind.WITHDRAWN, told, {"bake": bake})

    def _is_told(self, entry: str) -> bool:
        return any(each.id == entry for each in self._store.entries(self._kitchen))

    def _bake(self, key: str) -> Bake:
        if key not in self._bakes:
            raise NotThere("bake", key)
        return self._bakes[key]

    def _write(self, kind: EntryKind, told: Telling, body: dict[str, Any]) -> None:
        self._append(kind, told, {"bake": told.bake, "step": told.step, **body})

    def _append(self, kind: EntryKind, told: Telling, body: dict[str, Any]) -> None:
        entry = Entry(told.entry, self._kitchen, kind, told.happened, self._now, AUTHOR, body)
        self._store.append(entry)
