"""The desk: one kitchen's use cases over its store, as the faces call them."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from functools import lru_cache

from pointage.culture.life import Life
from pointage.culture.raising import RaisedDay
from pointage.daybook.entry import KitchenRecord
from pointage.daybook.store import Store
from pointage.desk import cultures as culture_room
from pointage.desk.answers import (
    Bake,
    CultureNow,
    FormulaSheet,
    FormulaSummary,
    NotThere,
    ReadingKind,
    Telling,
    Wished,
)
from pointage.desk.bakes import bakes, every_bake
from pointage.desk.book import BookDesk, formula_of
from pointage.desk.care import Care, care_of
from pointage.desk.exchange import ExchangeDesk
from pointage.desk.kitchen_file import KitchenFileDesk
from pointage.desk.labels import LabelDesk
from pointage.desk.larder import LarderDesk
from pointage.desk.learned import Beliefs
from pointage.desk.lives import as_lived, lives
from pointage.desk.own_oven import OwnOvens
from pointage.desk.past import PastDesk
from pointage.desk.places import PlacesDesk
from pointage.desk.records import RecordDesk
from pointage.desk.sensors import SensorDesk
from pointage.desk.sheets import named, sheet, summary
from pointage.desk.tell import Teller
from pointage.desk.watch import SEED, watched
from pointage.desk.water_page import WaterDesk
from pointage.desk.wish import wish
from pointage.desk.young import on_its_way
from pointage.formula.formula import Formula
from pointage.formula.ladder import Keep
from pointage.heat.own_oven import OwnOven
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.read import read_kitchen
from pointage.mixture.traits import Traits, draw_traits
from pointage.timetable.plan import Plan

CARE_MEMBERS = 64


# A page asks for the same files again and again; their texts say when they have changed.
_kitchen_of = lru_cache(maxsize=16)(read_kitchen)


def utc_now() -> datetime:
    """The time, aware and in UTC."""
    return datetime.now(UTC)


class StoredDesk:
    """The use cases of one stored kitchen.

    since: the instant from which "fed so many days ago" in the kitchen's file counts; a kitchen
    whose file gives dates does not need it. clock: what time it is, for what arrives.
    """

    def __init__(
        self,
        store: Store,
        kitchen_id: str,
        since: datetime,
        clock: Callable[[], datetime] = utc_now,
    ) -> None:
        self._store = store
        self._id = kitchen_id
        self._since = since
        self._clock = clock
        self._planning = threading.Lock()
        self._kept: dict[str, tuple[tuple[str, int], Bake]] = {}
        self._beliefs = Beliefs()
        self._ovens = OwnOvens()
        self.labels = LabelDesk(store, kitchen_id)
        self.kitchen_file = KitchenFileDesk(store, kitchen_id, since, clock)
        self.places = PlacesDesk(store, kitchen_id, clock)
        self.records = RecordDesk(store, kitchen_id, clock)
        self.past = PastDesk(store, kitchen_id, clock, self._file, self.lives)
        self.exchange = ExchangeDesk(store, clock)
        self.sensors = SensorDesk(store, kitchen_id, clock, self.kitchen)
        self.larder = LarderDesk(store, kitchen_id, clock, self.kitchen, self._file)
        self.book = BookDesk(store, kitchen_id, clock, self.kitchen, self.larder)
        self.water = WaterDesk(store, kitchen_id, since, clock)

    def revision(self) -> int:
        """A number that every write of anything to the kitchen raises."""
        return self._store.revision(self._id)

    def kitchen(self) -> Kitchen:
        """The kitchen of its stored file, its cultures as the daybook has left them."""
        kitchen = as_lived(self._file(), self.lives())
        learned = self.own_oven()
        if learned is None:
            return kitchen
        return replace(kitchen, oven=replace(kitchen.oven, offset_k=learned.offset_k))

    def own_oven(self) -> OwnOven | None:
        """How much hotter the oven bakes than it says, by the bakes that were measured."""
        entries = self._store.entries(self._id)
        return self._ovens.of(entries, every_bake(self._store, self._id))

    def lives(self) -> list[Life]:
        """What the daybook tells of every culture, of those that are no more too."""
        known = every_bake(self._store, self._id).values()
        return lives(self._file(), self._store.entries(self._id), known, self._clock())

    def bakes(self) -> Sequence[Bake]:
        """The bakes in hand: neither given up nor over, their courses moved by what was seen."""
        known = every_bake(self._store, self._id)
        return [self._watched(bake, known) for bake in bakes(self._store, self._id, self._clock())]

    def cultures(self, now: datetime) -> Sequence[CultureNow]:
        """The cultures at hand."""
        known, kitchen = every_bake(self._store, self._id).values(), self.kitchen()
        return [
            culture_room.culture_now(
                each,
                kitchen,
                now,
                self._beliefs.of(known, each.name),
                self._beliefs.foretold(known, each.name),
            )
            for each in kitchen.cultures
        ]

    def raising(self, culture: str) -> tuple[RaisedDay, ...]:
        """The days of a culture begun from flour and water. Raises NotThere, InputError."""
        entries = self._store.standing(self._id)
        for life in self.lives():
            if culture in life.names:
                return on_its_way(life, entries, self._file(), self._clock())
        raise NotThere("culture", culture)

    def care(self, culture: str) -> Care:
        """Advice for a culture, by what is believed of it. Raises InputError."""
        known = every_bake(self._store, self._id).values()

        def traits(name: str) -> Traits:
            believed = self._beliefs.of(known, name)
            return draw_traits(CARE_MEMBERS, SEED) if believed is None else believed.traits

        return care_of(culture, self.kitchen(), self._clock(), traits)

    def formulas(self) -> Sequence[FormulaSummary]:
        """All formulas in a line each."""
        return [summary(formula) for formula in self._formulas().values()]

    def formula(self, slug: str, pieces: int | None, piece_g: Fraction | None) -> FormulaSheet:
        """The sheet of a formula. Raises NotThere, InputError."""
        return sheet(named(self._formulas(), slug), self.kitchen(), pieces, piece_g)

    def wish(self, entry: str, formula: str, pieces: int, ready: datetime, now: datetime) -> Plan:
        """Make a plan; one at a time, so that two wishes do not take the same hands."""
        with self._planning:
            record = self._record()
            known = named(self._formulas(), formula)
            kitchen = self.kitchen()
            culture = known.culture or kitchen.cultures[0].name
            every = every_bake(self._store, self._id).values()
            friction_k = self.water.friction(known, pieces).kelvin
            text = next(f.text for f in self._store.formulas(self._id) if f.slug == formula)
            return wish(
                self._store,
                self._id,
                kitchen.that_gains(friction_k),
                Wished(
                    text,
                    record.text,
                    self._since,
                    known.piece_g,
                    kitchen.culture(culture),
                    friction_k,
                ),
                bakes(self._store, self._id, self._clock()),
                entry=entry,
                pieces=pieces,
                ready=ready,
                now=now,
                believed=self._beliefs.of(every, culture),
            )

    def give_up(self, entry: str, bake: str, happened: datetime) -> None:
        """The bake will not be."""
        self._teller().given_up(entry, bake, happened)

    def mark_done(self, told: Telling) -> None:
        """The step was done."""
        self._teller().done(told)

    def take_back(self, told: Telling) -> None:
        """The step was not done after all."""
        self._teller().not_done(told)

    def record_pour(
        self, told: Telling, pour: int, display_g: Fraction, keep: Keep | None = None
    ) -> None:
        """After pour number `pour` the display said `display_g`; the rest keeps `keep`."""
        self._teller().poured(told, pour, display_g, keep)

    def record_reading(self, told: Telling, kind: ReadingKind, value: float | None) -> None:
        """Something was seen."""
        self._teller().seen(told, kind, value)

    def _file(self) -> Kitchen:
        record = self._record()
        return _kitchen_of(record.text, self._since, record.name)

    def _record(self) -> KitchenRecord:
        return next(each for each in self._store.kitchens() if each.id == self._id)

    def _watched(self, bake: Bake, known: Mapping[str, Bake]) -> Bake:
        """Learning takes a moment, so the last answer is kept for as long as nothing is new."""
        believed = self._beliefs.of(known.values(), bake.plan.culture, but=bake.key)
        told = (repr(sorted(bake.news.items())), id(believed))
        kept = self._kept.get(bake.key)
        if kept is None or kept[0] != told:
            kept = (told, watched(bake, believed))
            self._kept[bake.key] = kept
        return kept[1]

    def _teller(self) -> Teller:
        known = every_bake(self._store, self._id)
        return Teller(self._store, self._id, known, self._clock())

    def _formulas(self) -> dict[str, Formula]:
        records = self._store.formulas(self._id)
        return {each.slug: formula_of(each) for each in records}
