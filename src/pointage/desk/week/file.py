"""Read a file of wishes (TOML): what each asks for, and every fault of each, at its place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from math import ceil, floor
from typing import Annotated

from pydantic import BeforeValidator, Field

from pointage.bounds import PIECE_G, PIECES_MADE
from pointage.desk.calculators.water_page import friction_of
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.desk.now.present import Present
from pointage.desk.week.lean import LeanTable, read_lean
from pointage.desk.wording.amounts import mass
from pointage.errors import MISSING, At, Faults, InputError
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula
from pointage.kitchen.vessel import Vessel
from pointage.language import mark, say
from pointage.quantities import parse_instant, parse_mass, print_number
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.pin import PINNED, Pin
from pointage.timetable.plan import StepKind
from pointage.timetable.problem import Problem
from pointage.timetable.ways.builds import planned_builds
from pointage.timetable.ways.lean import Lean
from pointage.timetable.ways.stands import IN_BOWL, LEVAIN_GROWS, SPARE, tub_for
from pointage.timetable.week.question import (
    LONGEST,
    SOON,
    WantedStage,
    WantedWhen,
    WeekWish,
)
from pointage.toml import (
    Quantity,
    TomlTable,
    as_text,
    nearest,
    place_of,
    read_toml,
    row_of,
)

ReadBeside = Callable[[str, str], str]
"""The text of a file by its path, for a field; relative to the file of wishes."""
TextOrBool = Annotated[str | bool, BeforeValidator(as_text)]
MOST_WISHES = 64


class WishTable(TomlTable):
    """[[wish]]: a formula, how much of it, how far, and when."""

    formula: str = Field(description=mark("a formula's file, or the short name of a stored one"))
    culture: str = Field("", description=mark("the culture its levain is built from"))
    pieces: Quantity | None = Field(None, description=mark("a whole number of pieces"))
    piece: Quantity | None = Field(None, description=mark("the mass of a piece, such as 900g"))
    grams: Quantity | None = Field(None, description=mark("grams of dough, or of ripe levain"))
    stage: str = Field("baked", description=mark("ripe, mixed, bulk, shaped or baked"))
    ready: Quantity | None = Field(
        None, description=mark("a date and time such as 2026-12-05T09:00")
    )
    between: list[Quantity] | None = Field(None, description=mark("two dates and times in a list"))
    earliest: TextOrBool | None = Field(None, description=mark("true, or the first time it may be"))
    firm: bool = Field(True, description=mark("true or false"))
    at: dict[str, Quantity] | None = Field(
        None, description=mark("a step and its time, such as { mix = 2026-12-05T07:00:00 }")
    )


class WishesTable(TomlTable):
    """The whole file."""

    wish: list[WishTable] = Field(
        default_factory=list, max_length=MOST_WISHES, description=mark("one [[wish]] at least")
    )
    lean: LeanTable | None = None


@dataclass(frozen=True, eq=False)
class WishRow:
    """One wish of a file: as it was typed, and as it can be planned, None where it cannot.

    wanted: an instant, two, or none for as early as can be, as far as they can be read.
    """

    formula: str
    stage: str
    wanted: tuple[datetime, ...]
    earliest: bool
    wish: WeekWish | None
    fault: InputError | None = None


def read_wishes(
    text: str, source: str, present: Present, now: datetime, beside: ReadBeside
) -> tuple[WishRow, ...]:
    """The wishes of a file in a kitchen as it stands, those that cannot be planned with why.

    Raises InputError for what is no file of wishes.
    """
    table = read_toml(WishesTable, text, source)
    kitchen = present.kitchen
    if not table.wish and not kitchen.cultures:
        raise InputError("wish", MISSING, say("one [[wish]] at least"))
    occupied = tuple(
        each for bake in present.in_hand(now) for each in occupied_by(bake.plan, kitchen)
    )
    lean = read_lean(table.lean, source)
    reader = _WishReader(present, now, beside, occupied, lean)
    return tuple(
        reader.row(wish, row_of(source, "wish", number)) for number, wish in enumerate(table.wish)
    )


@dataclass(frozen=True, eq=False)
class _WishReader:
    present: Present
    now: datetime
    beside: ReadBeside
    occupied: tuple[Occupied, ...]
    lean: Lean

    def row(self, table: WishTable, here: At) -> WishRow:
        faults = Faults()
        formula = faults.take(self._formula, table.formula, place_of(here, "formula"))
        faults.take(_check_levain, formula, here)
        stage = faults.take(_stage, table.stage, place_of(here, "stage"))
        times = faults.take(self._times, table, here)
        amount = faults.take(_amount, table, formula, stage, here)
        pin = faults.take(self._pin, table.at, stage, place_of(here, "at"))
        culture = faults.take(self._culture, table.culture, formula, place_of(here, "culture"))
        made = faults.take(
            self._wish, table, formula, stage, times, here=here, amount=amount, culture=culture
        )
        named = formula.name if isinstance(formula, Formula) else table.formula
        wanted = times[1] if isinstance(times, tuple) else ()
        try:
            faults.check()
        except InputError as error:
            return WishRow(named, table.stage, wanted, table.earliest is not None, None, error)
        earliest = made.when is WantedWhen.EARLIEST
        return WishRow(named, table.stage, wanted, earliest, replace(made, pin=pin))

    def _formula(self, name: str, field: str) -> Formula:
        if name.endswith(".toml") or "/" in name:
            return read_formula(self.beside(name, field), name)
        if name in self.present.records:
            return self.present.formula(name)
        examples = demonstration_formulas()
        if name in examples:
            return read_formula(examples[name], f"{name}.toml")
        known = sorted({*self.present.records, *examples})
        raise InputError(field, repr(name), nearest(name, known))

    def _times(
        self, table: WishTable, here: At
    ) -> tuple[WantedWhen, tuple[datetime, ...], datetime]:
        """How it is wanted, the instants as typed, and the last that keeps it."""
        given = [
            name for name in ("ready", "between", "earliest") if getattr(table, name) is not None
        ]
        if table.earliest is False:
            given.remove("earliest")
        if len(given) != 1:
            value = " and ".join(given) or MISSING
            expected = say("one of ready, between and earliest")
            raise InputError(place_of(here, given[0] if given else "ready"), value, expected)
        field = place_of(here, given[0])
        if table.ready is not None:
            at = self._instant(table.ready, field)
            return WantedWhen.READY, (at,), at
        if table.between is not None:
            if len(table.between) != 2:
                value = ", ".join(table.between) or MISSING
                raise InputError(field, value, say("two dates and times in a list"))
            faults = Faults()
            first, last = (faults.take(self._instant, each, field) for each in table.between)
            faults.check()
            if last <= first:
                value = " to ".join(table.between)
                raise InputError(field, value, say("the earlier of the two times first"))
            return WantedWhen.BETWEEN, (first, last), last
        since = self.now
        if table.earliest is not True:
            since = self._instant(str(table.earliest), field)
        return WantedWhen.EARLIEST, (since,), min(since + SOON, self.now + LONGEST)

    def _pin(self, at: dict[str, str] | None, stage: WantedStage, field: At) -> Pin | None:
        """The step that is wanted at a time: "mix", or "build 2" of several."""
        if not at:
            return None
        if len(at) > 1:
            raise InputError(field, ", ".join(at), say("one step with its time"))
        ((name, text),) = at.items()
        word, _, number = name.partition(" ")
        known = [each.value for each in StepKind if each in PINNED & stage.steps]
        if word not in known:
            raise InputError(field, repr(name), nearest(word, known))
        if number and not (number.isascii() and number.isdigit() and int(number)):
            expected = say("{step}, or {step} 2 of several", step=word)
            raise InputError(field, repr(name), expected)
        return Pin(StepKind(word), self._instant(text, place_of(field, name)), int(number or 1))

    def _instant(self, text: str, field: str) -> datetime:
        zone = self.present.kitchen.zone
        at = parse_instant(text, zone, field)
        if at <= self.now:
            now = self.now.astimezone(zone)
            raise InputError(field, text, say("a time after now, {now:%Y-%m-%dT%H:%M}", now=now))
        if at > self.now + LONGEST:
            raise InputError(
                field, text, say("a time within {days} days from now", days=LONGEST.days)
            )
        return at

    def _wish(
        self,
        table: WishTable,
        formula: Formula,
        stage: WantedStage,
        times: tuple[WantedWhen, tuple[datetime, ...], datetime],
        *,
        here: At,
        amount: tuple[int, Fraction],
        culture: str,
    ) -> WeekWish:
        pieces, piece_g = amount
        kitchen = self.present.kitchen.that_gains(
            friction_of(self.present, formula, pieces, piece_g).kelvin
        )
        believed = self.present.learning.beliefs_now(culture)
        when, typed, last = times
        problem = Problem(
            formula=formula,
            kitchen=kitchen,
            culture=kitchen.culture(culture),
            now=self.now,
            ready=last,
            pieces=pieces,
            piece_g=piece_g,
            occupied=self.occupied,
            believed=None if believed is None else believed.traits,
            warming={} if believed is None else believed.warming,
        )
        _check(problem, stage, here, table.grams or "")
        since = None if when is WantedWhen.READY else typed[0]
        return WeekWish(problem, when, since, stage, table.firm, self.lean)

    def _culture(self, name: str, formula: Formula, field: At) -> str:
        kitchen = self.present.kitchen
        if not kitchen.cultures:
            raise InputError(field, MISSING, say("a [[culture]] to build a levain from"))
        wanted = name or formula.culture or kitchen.cultures[0].name
        return kitchen.culture(wanted, field).name


def _stage(text: str, field: At) -> WantedStage:
    try:
        return WantedStage(text)
    except ValueError:
        raise InputError(
            field, repr(text), nearest(text, [each.value for each in WantedStage])
        ) from None


def _amount(
    table: WishTable, formula: Formula, stage: WantedStage, here: At
) -> tuple[int, Fraction]:
    """Pieces and their mass. Of ripe levain, grams are of the levain itself."""
    faults = Faults()
    pieces = faults.maybe(PIECES_MADE.count, table.pieces, place_of(here, "pieces"))
    piece = faults.maybe(PIECE_G.grams, table.piece, place_of(here, "piece"))
    grams = faults.maybe(parse_mass, table.grams, place_of(here, "grams"))
    if table.grams is not None and table.pieces is not None and table.piece is not None:
        value = say("pieces, piece and grams")
        faults.found.append(InputError(place_of(here, "grams"), value, say("two of them at most")))
    faults.check()
    if grams is not None and grams <= 0:
        raise InputError(place_of(here, "grams"), table.grams, say("a mass above 0 g"))
    if grams is None:
        return pieces or formula.pieces, piece or formula.piece_g
    if stage is WantedStage.RIPE:
        whole = formula.whole(formula.builds[-1]).mass if formula.builds else Fraction(1)
        grams = grams * sum(formula.total.values(), Fraction()) / whole
    if stage in (WantedStage.RIPE, WantedStage.MIXED, WantedStage.BULK):
        number = ceil(grams / int(PIECE_G.high))
        PIECES_MADE.check(number, place_of(here, "grams"), table.grams)
        return number, grams / number
    number = pieces or max(1, round(grams / (piece or formula.piece_g)))
    PIECE_G.check(grams / number, place_of(here, "grams"), table.grams)
    return number, grams / number


def _check(problem: Problem, stage: WantedStage, here: At, grams: str) -> None:
    """Refuse what no plan could make of it; grams: as typed, else it is pieces that are too many.

    Raises InputError at the wish.
    """
    faults = Faults()
    with faults:
        _ = problem.process
    _at_wish(faults, here).check()
    faults.take(problem.check_warmth)
    faults.take(_check_tub if stage is WantedStage.RIPE else _check_bowl, problem, grams)
    if stage is WantedStage.BAKED:
        faults.take(problem.check_oven)
        faults.take(problem.check_pieces)
    _at_wish(faults, here).check()


def _check_levain(formula: Formula, here: At) -> None:
    faults = Faults()
    faults.take(planned_builds, formula)
    _at_wish(faults, here).check()


def _at_wish(faults: Faults, here: At) -> Faults:
    placed = Faults()
    placed.found = [
        fault.at(lambda it: At(f"{here}, {it.field}", (*here.path, *it.path)))
        for fault in faults.found
    ]
    return placed


def _check_tub(problem: Problem, typed: str) -> None:
    """Refuse more levain than the largest tub or bowl holds."""
    levain = problem.build_stages[-1]
    grams = float(problem.formula.whole(levain).mass) * problem.flour_g() / 100
    litres = grams / 1000 * LEVAIN_GROWS
    tub = tub_for(problem.kitchen, grams, last=True)
    if tub.takes(litres, grams):
        return
    most = min(grams * tub.volume_l / litres, tub.most_g)
    expected = say(
        "at most {most}: ripe, it needs {litres} l, and {vessel}, the largest, holds {volume} l",
        most=mass(10 * floor(most / 10)),
        litres=print_number(litres),
        vessel=tub.name,
        volume=print_number(tub.volume_l),
    )
    raise InputError("grams" if typed else "pieces", typed or problem.pieces, expected)


def _check_bowl(problem: Problem, typed: str) -> None:
    """Refuse a dough that bowls and tubs would not hold, in equal parts, once it has risen."""
    vessels: list[Vessel] = [each for each in problem.kitchen.vessels if each.use in IN_BOWL]
    if not vessels:
        return
    levain = problem.prime(problem.builds[-1], problem.likeliest)
    dough = problem.dough(levain, problem.room_c(problem.now)).mixture
    litres = dough.mass / 1000 * dough.volume * problem.process.bulk_rise[2] * SPARE
    bowls = problem.stands.bowls(dough)
    if len(bowls) > 1 or bowls[0].takes(litres, dough.mass):
        return
    parts = [
        min(each.volume_l / litres, (each.said_most_g or dough.mass) / dough.mass)
        for each in vessels
        for _ in range(each.count)
    ]
    parts.sort(reverse=True)
    part = max(n * each for n, each in enumerate(parts, start=1))
    whole_g = float(problem.pieces * problem.piece_g)
    most = mass(10 * floor(part * whole_g / 10)) if typed else int(part * problem.pieces)
    largest = max(vessels, key=lambda each: each.volume_l)
    expected = say(
        "at most {most}: risen, the dough needs {litres} l, in equal parts if in several bowls, "
        "and {vessel}, the largest, holds {volume} l",
        most=most,
        litres=print_number(litres),
        vessel=largest.name,
        volume=print_number(largest.volume_l),
    )
    raise InputError("grams" if typed else "pieces", typed or problem.pieces, expected)
