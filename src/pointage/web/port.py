"""What the web face asks of the desk: the one door between pages and the work behind them.

Every instant is aware and in UTC. A bake, step or formula which is not there raises NotThere;
something typed that cannot be used raises InputError whose `field` is the name of the field of the
form ("formula", "pieces", "piece", "ready", "display", "value"); one with any other field is shown
at the top of the form. A record carries an identifier (a UUID) made where it was written: sent
twice with the same one, it changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import datetime
from fractions import Fraction
from typing import Protocol

from pointage.culture.life import Life
from pointage.culture.raising import RaisedDay
from pointage.daybook.readings import ReadingKind
from pointage.desk.answers import (
    Bake,
    CultureNow,
    FormulaSheet,
    FormulaSummary,
    Planning,
    Report,
    Wish,
)
from pointage.desk.bakes.rescue import RescueDesk
from pointage.desk.calculators.water_page import WaterDesk
from pointage.desk.cultures.care import Care
from pointage.desk.cultures.record import CultureRecordDesk
from pointage.desk.formulas.book import BookDesk
from pointage.desk.formulas.labels import LabelDesk
from pointage.desk.kitchen.file import KitchenFileDesk
from pointage.desk.kitchen.places import PlacesDesk
from pointage.desk.larder.larder import LarderDesk
from pointage.desk.larder.own import OwnDesk
from pointage.desk.moves.desk import MoveDesk
from pointage.desk.now.present import Present
from pointage.desk.past.look import PastDesk
from pointage.desk.records.exchange import ExchangeDesk
from pointage.desk.records.records import RecordDesk
from pointage.desk.records.sensors import SensorDesk
from pointage.desk.sheets.shares import ShareDesk
from pointage.desk.week.desk import WeekDesk
from pointage.desk.work import WorkDesk
from pointage.formula.ladder import Keep
from pointage.kitchen.kitchen import Kitchen


class Desk(Protocol):
    """The use cases that the pages need. Methods may take their time: they run in a thread."""

    @property
    def exchange(self) -> ExchangeDesk:
        """The whole store: an archive of it, and its backups."""
        ...

    @property
    def kitchen_file(self) -> KitchenFileDesk:
        """The kitchen's own file."""
        ...

    @property
    def places(self) -> PlacesDesk:
        """Logs of thermometers, for places."""
        ...

    @property
    def labels(self) -> LabelDesk:
        """What the breads of the formulas contain."""
        ...

    @property
    def shares(self) -> ShareDesk:
        """The formulas as pages for other kitchens."""
        ...

    @property
    def book(self) -> BookDesk:
        """The formula book: revisions, drafts, and two formulas side by side."""
        ...

    @property
    def larder(self) -> LarderDesk:
        """What is in the stores, what it costs and what is lacking."""
        ...

    @property
    def week(self) -> WeekDesk:
        """Several bakes planned at once."""
        ...

    @property
    def moves(self) -> MoveDesk:
        """What has moved since the bakes were planned, and what is offered then."""
        ...

    @property
    def own(self) -> OwnDesk:
        """Ingredients of one's own."""
        ...

    @property
    def records(self) -> RecordDesk:
        """The daybook: append, correct, withdraw, look back."""
        ...

    @property
    def culture_records(self) -> CultureRecordDesk:
        """What was done to cultures and seen of them, to be recorded."""
        ...

    @property
    def past(self) -> PastDesk:
        """What was baked and kept, to look back on."""
        ...

    @property
    def rescue(self) -> RescueDesk:
        """Bakes that went too far, and what can still be made of them."""
        ...

    @property
    def sensors(self) -> SensorDesk:
        """Probes, and what they measured."""
        ...

    @property
    def water(self) -> WaterDesk:
        """Mixes whose water is asked for."""
        ...

    @property
    def work(self) -> WorkDesk:
        """What takes long, and is being worked out beside the pages."""
        ...

    def revision(self) -> int:
        """A number that every write of anything to the kitchen raises. Quick: one row is read."""
        ...

    def one_look(self) -> AbstractContextManager[None]:
        """Within it the store is asked for its revision once, and again after a write from here."""
        ...

    def present(self) -> Present:
        """The kitchen as it stands. Raises StoreError where the store cannot be reached."""
        ...

    def kitchen(self) -> Kitchen: ...

    def bakes(self) -> Sequence[Bake]:
        """The bakes in hand: neither given up nor over."""
        ...

    def lives(self) -> Sequence[Life]:
        """What the daybook has of every culture, of those that are no more too."""
        ...

    def raising(self, culture: str) -> tuple[RaisedDay, ...]:
        """The days of a culture begun from flour and water. Raises NotThere, InputError."""
        ...

    def care(self, culture: str) -> Care:
        """Advice for one culture. Raises InputError with the names there are."""
        ...

    def cultures(self, now: datetime) -> Sequence[CultureNow]: ...

    def formulas(self) -> Sequence[FormulaSummary]: ...

    def formula(self, slug: str, pieces: int | None, piece_g: Fraction | None) -> FormulaSheet:
        """The sheet of a formula; its own pieces and piece mass where None is given."""
        ...

    def wish_beside(self, entry: str, asked: Wish, now: datetime) -> Planning:
        """Make a plan, or begin to. It is in hand when its status is not IMPOSSIBLE."""
        ...

    def planning(self, entry: str) -> Planning | None:
        """How a plan that was begun stands; None for one that nobody knows of."""
        ...

    def give_up(self, entry: str, bake: str, happened: datetime) -> None: ...

    def mark_done(self, report: Report) -> None: ...

    def take_back(self, report: Report) -> None:
        """The step was not done after all."""
        ...

    def record_pour(
        self, report: Report, pour: int, display_g: Fraction, keep: Keep | None = None
    ) -> None:
        """After pour number `pour` (from 0) the display said `display_g`, tare included.

        The later pours follow it so that the ratios or the total are kept, as `keep` says, or as
        was recorded of the pour before. Recorded again for an earlier pour, it replaces what
        was recorded of that one and forgets those after it. Raises InputError, field "display", for
        a reading not above the one before.
        """
        ...

    def record_reading(
        self,
        report: Report,
        kind: ReadingKind,
        value: float | None,
        typed: Mapping[str, str] | None = None,
    ) -> None: ...
