"""Keeps the present of one stored kitchen, brought up to date from the newest entries alone."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import datetime

from pointage.data.records import KitchenRecords, ask_records
from pointage.daybook.entry import Snapshot
from pointage.daybook.store.store import Store
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import BARE
from pointage.desk.now.described import described, known
from pointage.desk.now.earlier import Earlier
from pointage.desk.now.present import Present
from pointage.desk.now.replayed import Replayed, opened
from pointage.desk.now.set_aside import SetAside, set_aside
from pointage.desk.now.texts import kitchen_of
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen
from pointage.language import ENGLISH, speaking
from pointage.shown import PLAIN, showing


class Keeper:
    """The present of a kitchen, for as long as the store has not changed. Safe between threads.

    since: from when "fed so many days ago" counts in a text that has no date.
    """

    def __init__(self, store: Store, kitchen_id: str, since: datetime, jobs: Jobs) -> None:
        self._store = store
        self._id = kitchen_id
        self._since = since
        self._jobs = jobs
        self._turn = threading.Lock()
        self._held: Present | None = None
        self._known: Snapshot | None = None
        self._records = KitchenRecords()

    def look(self) -> Present:
        """The present; from here on its ingredients are asked. Raises StoreError where the store
        cannot be reached."""
        ask_records(self._records)
        held = self._held
        if held is not None and held.change == self._store.changes(self._id):
            return held
        with self._turn:
            held = self._held
            snapshot = self._store.snapshot(self._id, self._known)
            if held is None or held.change != snapshot.change:
                with showing(PLAIN), speaking(ENGLISH):  # it is kept for every reader
                    self._held = held = self._next(held, snapshot)
            self._known = replace(snapshot, entries=[])
            return held

    def _next(self, held: Present | None, snapshot: Snapshot) -> Present:
        described(snapshot.entries)
        file, aside = self._file(snapshot)
        replayed: Replayed
        if held is None:
            replayed = opened(file)
        elif held.file is file:
            replayed = held.replayed
        else:
            replayed = held.replayed.with_file(file)
        present = Present(
            snapshot.change,
            snapshot.kitchen,
            snapshot.revision,
            {record.slug: record for record in snapshot.formulas},
            replayed.with_new(snapshot.entries, snapshot.change),
            self._jobs,
            aside,
            self._earlier(snapshot),
        )
        own = held is None or held.replayed.own is not present.replayed.own
        if own and known(present.replayed):
            self._jobs.forget(lambda _: False)  # what was worked out may have gone by its figures
        self._jobs.forget(present.is_subject)
        return present

    def _earlier(self, snapshot: Snapshot) -> Earlier:
        """The texts before the last one, as long as that is the last."""
        held = self._held
        if held is not None and held.revision == snapshot.revision:
            return held.earlier
        return Earlier(snapshot.kept, lambda: self._store.kitchen_texts(self._id))

    def _file(self, snapshot: Snapshot) -> tuple[Kitchen, tuple[SetAside, ...]]:
        """The kitchen of its last text, else of the last one that can be read."""
        record, held = snapshot.kitchen, self._held
        if held is not None and (held.revision, held.record) == (snapshot.revision, record):
            return held.file, held.aside
        try:
            return kitchen_of(record.text, snapshot.kept or self._since, record.name), ()
        except InputError as error:
            aside = (set_aside("kitchen", str(snapshot.revision), error),)
        for text in reversed(self._store.kitchen_texts(self._id)):
            try:
                return kitchen_of(text.text, text.kept or self._since, text.name), aside
            except InputError:
                continue
        return kitchen_of(BARE, self._since), aside
