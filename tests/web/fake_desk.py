"""A desk made of fixture data that remembers what it was told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

import pytest
from tests.web import fixture_plan as fixture

from pointage.culture.life import Life
from pointage.culture.raising import RaisedDay
from pointage.daybook.entry import Entry, EntryKind, FormulaRecord, KitchenRecord
from pointage.daybook.readings import Reading, ReadingKind
from pointage.daybook.replay import Line, replay
from pointage.desk.answers import (
    Bake,
    CultureNow,
    FormulaSheet,
    FormulaSummary,
    NotThere,
    Planning,
    Report,
    SheetRow,
    StageColumn,
    StepNews,
    Wish,
)
from pointage.desk.bakes.rescue import RescueDesk
from pointage.desk.calculators.water_page import (
    Mix,
    Warmths,
    WaterDesk,
    dough_mix,
)
from pointage.desk.cultures.care import Care
from pointage.desk.formulas.book import BookDesk
from pointage.desk.formulas.label import LabelAnswer, label_formula
from pointage.desk.formulas.labels import LabelDesk
from pointage.desk.jobs import JobAnswer
from pointage.desk.kitchen.file import KitchenFileDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.desk.kitchen.places import PlacesDesk
from pointage.desk.larder.answers import BatchCost
from pointage.desk.larder.larder import LarderDesk
from pointage.desk.larder.own import OwnDesk
from pointage.desk.moves.desk import MoveDesk, Moves
from pointage.desk.now.present import Present, present_of
from pointage.desk.past.look import PastDesk
from pointage.desk.records.exchange import ExchangeDesk
from pointage.desk.records.records import RecordDesk, Saved
from pointage.desk.records.sensors import SensorDesk
from pointage.desk.sheets.shares import ShareDesk
from pointage.desk.week.desk import WeekDesk
from pointage.desk.wording.pours import BatchNow
from pointage.desk.work import Work, WorkDesk
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.ladder import Keep, corrected
from pointage.kitchen.friction import Friction
from pointage.kitchen.kitchen import Kitchen
from pointage.larder.cost import Cost
from pointage.timetable.plan import Plan, Step

HARBOUR = FormulaSummary("harbour-loaf", "Harbour loaf", 0.68, 0.0847, 168, 12, Fraction(850))
SUMMARIES = (
    HARBOUR,
    FormulaSummary("tinned-rye", "Tinned rye", 0.85, 0.32, 185, 8, Fraction(1000)),
    FormulaSummary("oat-rolls", "Seeded oat rolls", 0.71, 0.18, 171, 48, Fraction(90)),
)
# Name, percent of all flour, grams in the levain and in the final dough, for 12 × 850 g. Invented.
ROWS = (
    ("White wheat", "82", 400, 4646),
    ("Whole wheat", "18", 100, 1007),
    ("Water", "68", 460, 3724),
    ("Salt", "1.9", None, 117),
)


class FakeWater(WaterDesk):
    """The demonstration's doughs in a kitchen at 17 °C that has learned nothing."""

    def __init__(self) -> None:
        pass

    def mix(self, slug: str, pieces: int | None = None) -> Mix:
        formula = read_formula(demonstration_formulas()[slug])
        return dough_mix(formula, pieces or formula.pieces)

    def warmths(self, mix: Mix) -> Warmths:
        return Warmths(25.0, 17.0, 23.0, 17.0, 10.0, 2.0)

    def friction_of(self, mix: Mix) -> Friction:
        return Friction(2.0, 1.5)


class FakeLarder(LarderDesk):
    """Any batch costs twelve, and four for the oven; the rest is tried on a stored desk."""

    def __init__(self) -> None:
        """Without a store."""

    def formula_cost(self, slug: str, pieces: int, piece_g: Fraction) -> BatchCost:
        return BatchCost(slug, pieces, Cost(Fraction(12)), Fraction(4))


class FakeLabels(LabelDesk):
    """Whatever the formula, the label of the rolls: it has every part that a label can have."""

    def __init__(self) -> None:
        """Without a store."""

    def label(self, slug: str, **asked: Any) -> LabelAnswer:
        return label_formula(demonstration_formulas()["seeded-rolls"], f"{slug}.toml", **asked)


class FakeShares(ShareDesk):
    """A page that is made at once."""

    def __init__(self) -> None:
        """Without a store."""

    def page(self, slug: str) -> JobAnswer[str]:
        return JobAnswer(f"<!doctype html><title>{slug}</title>", True)

    def culture(self, name: str, whose: Mapping[str, str]) -> JobAnswer[str]:
        return JobAnswer(f"<!doctype html><title>{name}</title>{whose['author']}", True)


class FakeRecords(RecordDesk):
    """The daybook as a list."""

    def __init__(self, told: list[Entry]) -> None:
        self._told = told

    def record(
        self,
        entry: str,
        kind: EntryKind,
        happened: datetime,
        body: Mapping[str, Any],
        author: str = "baker",
        *,
        sure: bool = True,
    ) -> Saved:
        new = Entry(entry, "hall", kind, happened, happened, author, dict(body))
        known = any(each.id == entry for each in self._told)
        if not known:
            self._told.append(new)
        return Saved(new, not known)

    def lines(self, *asked: Any, **named: Any) -> list[Line]:
        return replay(self._told)


class FakeMoves(MoveDesk):
    """Nothing moves: it is tried on a stored desk."""

    def __init__(self) -> None:
        pass

    def look(self, now: datetime) -> Moves:
        return Moves(())

    def taken(self, now: datetime) -> None:
        return None


class FakeWork(WorkDesk):
    """Nothing takes long."""

    def __init__(self) -> None:
        pass

    @property
    def changes(self) -> int:
        return 0

    def all(self) -> list[Work]:
        return []


@dataclass
class FakeDesk:
    """Told things are kept by entry, so that telling one twice changes nothing."""

    plans: dict[str, Plan] = field(default_factory=lambda: {"harbour": fixture.harbour_loaf()})
    news: dict[tuple[str, str], StepNews] = field(default_factory=dict)
    entries: list[str] = field(default_factory=list)
    begun: dict[str, Planning] = field(default_factory=dict)
    told: list[Entry] = field(default_factory=list)

    @property
    def labels(self) -> LabelDesk:
        return FakeLabels()

    @property
    def shares(self) -> ShareDesk:
        return FakeShares()

    @property
    def work(self) -> WorkDesk:
        return FakeWork()

    @property
    def water(self) -> WaterDesk:
        return FakeWater()

    @property
    def exchange(self) -> ExchangeDesk:
        raise AssertionError("it is tried on a stored desk")

    @property
    def kitchen_file(self) -> KitchenFileDesk:
        raise AssertionError("it is tried on a stored desk")

    @property
    def places(self) -> PlacesDesk:
        raise AssertionError("they are tried on a stored desk")

    @property
    def book(self) -> BookDesk:
        raise AssertionError("it is tried on a stored desk")

    @property
    def own(self) -> OwnDesk:
        raise AssertionError("it is tried on a stored desk")

    @property
    def larder(self) -> LarderDesk:
        return FakeLarder()

    @property
    def records(self) -> RecordDesk:
        return FakeRecords(self.told)

    @property
    def week(self) -> WeekDesk:
        raise AssertionError("it is tried on a stored desk")

    @property
    def moves(self) -> MoveDesk:
        return FakeMoves()

    @property
    def past(self) -> PastDesk:
        past = PastDesk(lambda: pytest.fail("it is tried on a stored desk"))
        past.to_ask = lambda now: []  # type: ignore[method-assign]
        return past

    @property
    def rescue(self) -> RescueDesk:
        rescue = RescueDesk(lambda: pytest.fail("it is tried on a stored desk"), self.records)
        rescue.too_far = lambda bake, now: None  # type: ignore[method-assign]
        return rescue

    @property
    def sensors(self) -> SensorDesk:
        raise AssertionError("they are tried on a stored desk")

    def lives(self) -> list[Life]:
        raise AssertionError("they are tried on a stored desk")

    def care(self, culture: str) -> Care:
        raise AssertionError("it is tried on a stored desk")

    def raising(self, culture: str) -> tuple[RaisedDay, ...]:
        raise AssertionError("it is tried on a stored desk")

    def revision(self) -> int:
        return len(self.entries) + len(self.told)

    def one_look(self) -> AbstractContextManager[None]:
        return nullcontext()

    def present(self) -> Present:
        records = [FormulaRecord("hall", *each) for each in self._revisions()]
        return present_of(
            KitchenRecord("hall", "Skerry Hall", "Europe/Dublin", ""), self.kitchen(), records, ()
        )

    def _revisions(self) -> list[tuple[str, int, str]]:
        return [(slug, 1, text) for slug, text in demonstration_formulas().items()]

    def kitchen(self) -> Kitchen:
        return fixture.skerry_hall()

    def bakes(self) -> Sequence[Bake]:
        return [
            Bake(key, plan, {step: n for (bake, step), n in self.news.items() if bake == key})
            for key, plan in self.plans.items()
        ]

    def cultures(self, now: datetime) -> Sequence[CultureNow]:
        gannet, plover = self.kitchen().cultures
        course = fixture.standing(gannet.fed, 120, 1.6, None, 5)
        feed = fixture.standing(plover.fed, 24, 2.4, (15.5, 21), 24)
        return [
            CultureNow(gannet, course, now + timedelta(days=11), 1.9),
            CultureNow(plover, feed, None, 1.55),
        ]

    def formulas(self) -> Sequence[FormulaSummary]:
        return SUMMARIES

    def formula(self, slug: str, pieces: int | None, piece_g: Fraction | None) -> FormulaSheet:
        summary = next((each for each in SUMMARIES if each.slug == slug), None)
        if summary is None:
            raise NotThere("formula", slug)
        if pieces is not None and pieces > 500:
            raise InputError("pieces", pieces, "at most 500 pieces")
        summary = replace(
            summary, pieces=pieces or summary.pieces, piece_g=piece_g or summary.piece_g
        )
        factor = summary.pieces * summary.piece_g / Fraction(12 * 850)

        def scaled(grams: int | None) -> Fraction | None:
            return None if grams is None else Fraction(round(grams * factor))

        rows = tuple(
            SheetRow(
                name, Fraction(percent), scaled((levain or 0) + dough),
                (scaled(levain), scaled(dough)),
            )
            for name, percent, levain, dough in ROWS
        )  # fmt: skip
        levain = Fraction(round(960 * factor))
        rows += (SheetRow("Levain", None, None, (None, levain)),)
        total = Fraction(round(10454 * factor))
        return FormulaSheet(
            summary,
            (StageColumn("Levain", levain), StageColumn("Final dough", total)),
            rows,
            Fraction("169.9"),
            total,
        )

    def wish_beside(self, entry: str, asked: Wish, now: datetime) -> Planning:
        self.begun[entry] = Planning(
            asked, self.wish(entry, asked.formula, asked.pieces, asked.ready, now)
        )
        return self.begun[entry]

    def planning(self, entry: str) -> Planning | None:
        return self.begun.get(entry)

    def wish(self, entry: str, formula: str, pieces: int, ready: datetime, now: datetime) -> Plan:
        if pieces > 500:
            raise InputError("pieces", pieces, "at most 500 pieces")
        if ready <= now:
            raise InputError("ready", ready.isoformat(), "a time still to come")
        if formula == "tinned-rye":
            return fixture.impossible()
        if entry not in self.entries:
            self.entries.append(entry)
            self.plans[entry] = fixture.harbour_loaf()
        return self.plans[entry]

    def give_up(self, entry: str, bake: str, happened: datetime) -> None:
        self._step(bake, None)
        self.entries.append(entry)
        del self.plans[bake]

    def mark_done(self, report: Report) -> None:
        self._tell(report, done=report.happened)

    def take_back(self, report: Report) -> None:
        self._tell(report, done=None)

    def record_pour(
        self, report: Report, pour: int, display_g: Fraction, keep: Keep | None = None
    ) -> None:
        ladder = self._step(report.bake, report.step).ladder
        if ladder is None or pour >= len(ladder.pours):
            raise NotThere("pour", str(pour))
        news = self.news.get((report.bake, report.step), StepNews())
        poured = (*news.poured[:pour], float(display_g))
        keep = keep or news.keep
        batch = None
        for number, said in enumerate(poured):
            found = corrected(ladder, number, said, keep)
            ladder = found.ladder
            if found.factor != 1:
                batch = BatchNow(found.factor)
        self._tell(report, poured=poured, ladder=ladder, keep=keep, batch=batch)

    def record_reading(
        self,
        report: Report,
        kind: ReadingKind,
        value: float | None,
        typed: Mapping[str, str] | None = None,
    ) -> None:
        self._step(report.bake, report.step)
        old = self.news.get((report.bake, report.step), StepNews()).readings
        self._tell(report, readings=(*old, Reading(kind, value, report.happened)))

    def _step(self, bake: str, step: str | None) -> Step:
        if bake not in self.plans:
            raise NotThere("bake", bake)
        steps = self.plans[bake].steps
        found = next((each for each in steps if step in (None, each.key)), None)
        if found is None:
            raise NotThere("step", str(step))
        return found

    def _tell(self, report: Report, **changes: object) -> None:
        self._step(report.bake, report.step)
        if report.entry not in self.entries:
            self.entries.append(report.entry)
            key = (report.bake, report.step)
            self.news[key] = replace(self.news.get(key, StepNews()), **changes)  # type: ignore[arg-type]


def empty_desk() -> FakeDesk:
    return FakeDesk(plans={})


def friday_desk() -> FakeDesk:
    """Friday 12:40: fed and built, the mix comes next."""
    desk = FakeDesk()
    desk.mark_done(Report("a", "harbour", "feed", fixture.at(fixture.THURSDAY, "18:38")))
    desk.mark_done(Report("b", "harbour", "build", fixture.at(fixture.FRIDAY, "06:36")))
    return desk
