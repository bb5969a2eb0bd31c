"""Sheets of one kitchen: asked for by kind and subject, answered as a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from pointage.desk.now.unrecorded import PlainKitchen
from pointage.documents.blocks import Sheet
from pointage.documents.paper import Paper, sheet_data, typeset
from pointage.quantities import parse_instant

if TYPE_CHECKING:
    from pointage.desk.answers import Bake
    from pointage.desk.now.present import Present
    from pointage.formula.formula import Formula, Rights
    from pointage.timetable.plan import Plan

# What only some sheets need is imported where those are made: a process prints one of them.
RAISED_DAYS = 10
USUAL_FLOUR = "wheat-whole"


@dataclass(frozen=True)
class PlainSheets:
    """The sheets of formulas, and of a culture to begin, in a kitchen at an instant.

    address: of the pages, such as http://kitchen.local:8000; "" where there are none.
    """

    present: PlainKitchen
    now: datetime
    paper: Paper = Paper.A4
    address: str = ""

    def bench(self, formula: Formula, pieces: int | None = None, plan: Plan | None = None) -> Sheet:
        """A formula for so many pieces, or for a plan. Raises InputError."""
        from pointage.desk.sheets.bench import BenchBatch, bench_sheet

        at = self._address(f"/formulas/{formula.slug}")
        return bench_sheet(BenchBatch.of(formula, pieces, plan), self.present, self.now, at)

    def handout(self, formula: Formula, pieces: int | None = None) -> Sheet:
        """What is given out in a class. Raises InputError."""
        from pointage.desk.sheets.bench import BenchBatch
        from pointage.desk.sheets.handout import handout_sheet

        at = self._address(f"/formulas/{formula.slug}")
        return handout_sheet(BenchBatch.of(formula, pieces), self.present, self.now, at)

    def new_culture(self, given: Mapping[str, object] | None = None) -> Sheet:
        """One to begin. given: what `raise_culture` is to be asked otherwise. Raises InputError."""
        from pointage.desk.cultures.raising import raise_culture
        from pointage.desk.sheets.raising import of_answer, raising_sheet, usual_tub

        kitchen = self.present.kitchen
        tub, vessel = usual_tub(kitchen)
        celsius = round(kitchen.warmest_place.mean_c(self.now, 0.0, 24.0), 1)
        room_c = round(kitchen.room.mean_c(self.now, 0.0, 24.0), 1)
        asked = {
            "kind": USUAL_FLOUR, "tub": tub, "celsius": celsius, "days": RAISED_DAYS,
            "room_c": room_c, **(given or {}),
        }  # fmt: skip
        answer = raise_culture(**asked, start=self.now)  # type: ignore[arg-type]
        begun = of_answer(answer, vessel if asked["tub"] is tub else "")
        at = self._address("/cultures/raise")
        return raising_sheet(begun, self.present, self.now, at)

    def as_pdf(self, sheet: Sheet) -> bytes:
        """A sheet as PDF."""
        return typeset("sheet.typ", sheet_data(sheet, self.paper))

    def as_pictures(self, sheet: Sheet) -> list[bytes]:
        """Its pages as PNG."""
        return typeset("sheet.typ", sheet_data(sheet, self.paper), "png")

    def _address(self, path: str) -> str:
        from urllib.parse import quote

        return f"{self.address}{quote(path)}" if self.address else ""


@dataclass(frozen=True)
class Sheets(PlainSheets):
    """All sheets of a kitchen as it stands."""

    present: Present

    def planned(self, formula: Formula, ready: str, pieces: int | None) -> Plan:
        """A plan for bread out of the oven at a local time. Raises InputError."""
        from pointage.desk.bakes.plan import plan_here

        zone = self.present.file.zone
        at = parse_instant(ready, zone, "ready")
        return plan_here(self.present, formula, at, self.now, pieces=pieces)

    def bake(self, bake: Bake) -> Sheet:
        """The bench sheet of a planned bake, with the formula it was planned with."""
        from pointage.desk.sheets.bench import BenchBatch, bench_sheet

        batch = BenchBatch.of(self.formula_of(bake), plan=bake.plan)
        return bench_sheet(batch, self.present, self.now, self._address("/"))

    def formula_of(self, bake: Bake) -> Formula:
        """The formula as it was when the bake was planned. Raises NotThere, InputError."""
        from pointage.desk.answers import NotThere
        from pointage.desk.now.texts import formula_of

        if bake.wished is not None:
            return formula_of(bake.wished.formula, bake.plan.formula)
        for formula in self.present.formulas.values():
            if formula.name == bake.plan.formula:
                return formula
        raise NotThere("formula", bake.plan.formula)

    def culture(self, name: str) -> Sheet:
        """One that is raised, by its days; a grown one for whoever is given a piece of it."""
        from pointage.desk.now.cultures.young import is_young
        from pointage.desk.sheets.raising import Begun, last_vessel, raising_sheet

        at = self._address(f"/cultures/{name}")
        life = next((each for each in self.present.lives if name in each.names), None)
        if life is None or not is_young(life, self.now):
            return self.travel(name)
        days = self.present.raising(name, self.now)
        culture = self.present.kitchen.culture(name)
        kind = max(culture.flours, key=lambda each: culture.flours[each])
        tub, vessel = last_vessel(life, self.present)
        begun = Begun(days, tub, kind, culture.place, name, vessel, dated=True)
        return raising_sheet(begun, self.present, self.now, at)

    def travel(self, name: str, room_c: float | None = None, rights: Rights | None = None) -> Sheet:
        """For whoever is given a piece of a grown culture. Raises InputError for a young one."""
        from pointage.desk.sheets.travelling import travelling_sheet

        at = self._address(f"/cultures/{name}")
        return travelling_sheet(
            name, self.present, self.now, at, room_c=room_c, rights=rights
        )  # fmt: skip

    def week(self) -> Sheet:
        """What hands do in the days to come."""
        from pointage.desk.sheets.week import tasks, week_sheet

        bakes = self.present.in_hand(self.now)
        ready = [(b.plan.formula, b.plan.pieces, b.plan.ready) for b in bakes]
        found = tasks(self.present, self.now)
        at = self._address("/week")
        return week_sheet(found, ready, self.present, self.now, address=at)

    def shopping(self) -> Sheet:
        """What is to be bought for them."""
        from pointage.desk.larder.shopping import shopping_of
        from pointage.desk.sheets.shopping import shopping_sheet

        lines, until = shopping_of(self.present, self.now)
        at = self._address("/larder")
        return shopping_sheet(lines, until, self.present, self.now, at)
