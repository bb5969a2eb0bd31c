"""The desk: one kitchen's use cases over its store, as the faces call them."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from fractions import Fraction

from pointage.culture.life import Life
from pointage.culture.raising import RaisedDay
from pointage.daybook.readings import ReadingKind
from pointage.daybook.store.database import one_look
from pointage.daybook.store.store import Store
from pointage.desk.answers import (
    Bake,
    CultureNow,
    FormulaSheet,
    FormulaSummary,
    Planning,
    Report,
    Wish,
)
from pointage.desk.bakes.record import Recorder
from pointage.desk.bakes.rescue import RescueDesk
from pointage.desk.bakes.wish import AS_USUAL, wish
from pointage.desk.calculators.water_page import WaterDesk
from pointage.desk.cultures.care import Care, Found
from pointage.desk.cultures.record import CultureRecordDesk
from pointage.desk.formulas.book import BookDesk
from pointage.desk.formulas.labels import LabelDesk
from pointage.desk.formulas.sheets import sheet, summary
from pointage.desk.jobs import PLAN, Job, JobAnswer, Jobs
from pointage.desk.kitchen.file import KitchenFileDesk
from pointage.desk.kitchen.places import PlacesDesk
from pointage.desk.larder.larder import LarderDesk
from pointage.desk.larder.own import OwnDesk
from pointage.desk.moves.desk import MoveDesk
from pointage.desk.now.cultures.culture import ensemble
from pointage.desk.now.keeper import Keeper
from pointage.desk.one_kitchen import OneKitchen
from pointage.desk.past.look import PastDesk
from pointage.desk.records.exchange import ExchangeDesk
from pointage.desk.records.records import RecordDesk
from pointage.desk.records.sensors import SensorDesk
from pointage.desk.sheets.shares import ShareDesk
from pointage.desk.week.desk import WeekDesk
from pointage.desk.work import WorkDesk
from pointage.errors import PointageError
from pointage.formula.ladder import Keep
from pointage.kitchen.kitchen import Kitchen
from pointage.language import language, speaking
from pointage.shown import showing, shown
from pointage.timetable.plan import Plan


def utc_now() -> datetime:
    """The time, aware and in UTC."""
    return datetime.now(UTC)


PATIENCE_S = 0.8
"""So long the answer to a form waits for a plan, before it shows how far that is."""


class StoredDesk:
    """The use cases of one stored kitchen.

    since: the instant from which "fed so many days ago" in the kitchen's file counts where nobody
    noted when that file was kept. clock: what time it is, for what arrives. jobs: who does what
    takes long; else each is done when it is asked for.
    """

    def __init__(
        self,
        store: Store,
        kitchen_id: str,
        since: datetime,
        clock: Callable[[], datetime] = utc_now,
        jobs: Jobs | None = None,
    ) -> None:
        self._store = store
        self._id = kitchen_id
        self._since = since
        self._clock = clock
        self._planning = threading.Lock()
        self.jobs = jobs or Jobs(beside=False)
        self.present = Keeper(store, kitchen_id, since, self.jobs).look
        self.labels = LabelDesk(self.present)
        self.shares = ShareDesk(self.present, clock, self.jobs)
        self.kitchen_file = KitchenFileDesk(store, clock, self.present)
        self.places = PlacesDesk(self.kitchen_file, self.present)
        self.records = RecordDesk(store, kitchen_id, clock, self.present)
        self.culture_records = CultureRecordDesk(self.records)
        self.past = PastDesk(self.present)
        self.rescue = RescueDesk(self.present, self.records)
        self.exchange = ExchangeDesk(store, clock)
        self.sensors = SensorDesk(store, kitchen_id, clock, self.kitchen)
        given = OneKitchen(store, kitchen_id, since, clock, self.present, self.records, self.jobs)
        self.larder = LarderDesk(given)
        self.own = OwnDesk(given)
        self.book = BookDesk(store, kitchen_id, clock, self.present, self.larder, own=self.own)
        self.water = WaterDesk(self.present, clock)
        self.moves = MoveDesk(given)
        self.week = WeekDesk(given)
        self.work = WorkDesk(self.present, self.jobs)

    def revision(self) -> int:
        """Goes up with whatever may change a page: a write, and work that was under way and ended.

        Two looks at one revision see the same.
        """
        return self._store.changes(self._id) + self.jobs.changes

    def one_look(self) -> AbstractContextManager[None]:
        """Within it the store is asked for its revision once, and again after a write from here."""
        return one_look()

    def kitchen(self) -> Kitchen:
        """The kitchen as it stands."""
        return self.present().kitchen

    def lives(self) -> Sequence[Life]:
        """What is known of every culture, of those that are no more too."""
        return self.present().lives

    def bakes(self) -> Sequence[Bake]:
        """The bakes in hand: neither given up nor over, their courses moved by what was seen."""
        return self.present().in_hand(self._clock())

    def cultures(self, now: datetime) -> Sequence[CultureNow]:
        """The cultures at hand."""
        return self.present().cultures(now)

    def raising(self, culture: str) -> tuple[RaisedDay, ...]:
        """The days of a culture begun from flour and water. Raises NotThere, InputError."""
        return self.present().raising(culture, self._clock())

    def care(self, culture: str) -> Care:
        """Advice for a culture, by what is believed of it. Raises InputError."""
        present = self.present()
        at_hand = present.kitchen.culture(culture)
        believed = present.learning.beliefs(at_hand.name)

        def once(what: str, work: Callable[[], Found]) -> Found:
            stamp = (at_hand, present.revision, present.flours, believed.stamp)
            return self.jobs.at_once((f"care {what}", at_hand.name), stamp, lambda _: work())

        return Care(at_hand, present.kitchen, self._clock(), ensemble(believed.found), once)

    def formulas(self) -> Sequence[FormulaSummary]:
        """All formulas in a line each."""
        return [summary(formula) for formula in self.present().formulas.values()]

    def formula(self, slug: str, pieces: int | None, piece_g: Fraction | None) -> FormulaSheet:
        """The sheet of a formula. Raises NotThere, InputError."""
        present = self.present()
        return sheet(present.formula(slug), present.kitchen, pieces, piece_g)

    def wish(
        self,
        entry: str,
        formula: str,
        pieces: int,
        ready: datetime,
        now: datetime,
        *,
        culture: str = "",
        lean: Mapping[str, str] = AS_USUAL,
        reached: Callable[[float], None] = lambda share: None,
    ) -> Plan:
        """Make a plan; one at a time, so that two do not take the same hands."""
        with self._planning:
            return wish(
                self._store,
                self._id,
                self.present(),
                formula,
                self._since,
                entry=entry,
                pieces=pieces,
                ready=ready,
                now=now,
                culture=culture,
                lean=lean,
                reached=reached,
            )

    def wish_beside(
        self, entry: str, asked: Wish, now: datetime, seconds: float = PATIENCE_S
    ) -> Planning:
        """As `wish`, beside the pages: how it stands after so many seconds. Raises as it does."""
        spoken, how = language(), shown()  # of who asks, and to whom it is refused

        def work(job: Job) -> Plan | PointageError:
            wanted = asked.formula, asked.pieces, asked.ready
            try:
                with speaking(spoken), showing(how):
                    return self.wish(
                        entry, *wanted, now, culture=asked.culture, lean=dict(asked.lean),
                        reached=job.reached,
                    )  # fmt: skip
            except PointageError as error:
                return error  # it is for who asked, and no fault of ours

        return _planning(self.jobs.within(seconds, (PLAN, entry), asked, work))

    def planning(self, entry: str) -> Planning | None:
        """How a wish stands that was asked for; None for one that nobody knows of."""
        found = self.jobs.look((PLAN, entry))
        return None if found is None else _planning(found)

    def give_up(self, entry: str, bake: str, happened: datetime) -> None:
        """The bake will not be."""
        self._recorder().given_up(entry, bake, happened)

    def mark_done(self, report: Report) -> None:
        """The step was done."""
        self._recorder().done(report)

    def take_back(self, report: Report) -> None:
        """The step was not done after all."""
        self._recorder().not_done(report)

    def record_pour(
        self, report: Report, pour: int, display_g: Fraction, keep: Keep | None = None
    ) -> None:
        """After pour number `pour` the display said `display_g`; the rest keeps `keep`."""
        self._recorder().poured(report, pour, display_g, keep)

    def record_reading(
        self,
        report: Report,
        kind: ReadingKind,
        value: float | None,
        typed: Mapping[str, str] | None = None,
    ) -> None:
        """Something was seen; `typed` is its value and unit as they were typed."""
        self._recorder().seen(report, kind, value, typed)

    def _recorder(self) -> Recorder:
        return Recorder(self._store, self._id, self.present(), self._clock())


def _planning(answer: JobAnswer[Plan | PointageError]) -> Planning:
    if isinstance(answer.found, PointageError):
        raise answer.found
    if not isinstance(answer.stamp, Wish):
        raise TypeError("planning is asked for by a wish")
    return Planning(answer.stamp, answer.found, answer.waits)
