"""What can still be made of a bake that went too far, and going on another way."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any

from pointage.daybook.entry import EntryKind
from pointage.desk.answers import Bake, NotThere, Report
from pointage.desk.now.bakes.rescued import MORE_LEVAIN, TIN
from pointage.desk.now.bakes.so_far import may_be_too_far, so_far, standing
from pointage.desk.now.present import Present
from pointage.desk.now.texts import formula_of
from pointage.desk.records.records import RecordDesk
from pointage.errors import InputError, PointageError
from pointage.formula.file.write import write_formula
from pointage.formula.ladder import PourKind, in_bowls
from pointage.language import say
from pointage.timetable.plan import Step, StepKind
from pointage.timetable.rescue.too_far import BakeSoFar, RescueKind, too_far, with_fewer
from pointage.timetable.rescue.too_far import TooFar as TooFar  # noqa: PLC0414
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import run_thread
from pointage.timetable.ways.pours import dough_pours

RECORDED = {RescueKind.TIN: TIN, RescueKind.MORE_LEVAIN: MORE_LEVAIN}
"""The ways out that change what is to be done; all others are advice."""

log = logging.getLogger(__name__)


class RescueDesk:
    """Bakes of one kitchen that went too far."""

    def __init__(self, present: Callable[[], Present], records: RecordDesk) -> None:
        self._present = present
        self._records = records

    def too_far(self, bake: Bake, now: datetime) -> TooFar | None:
        """What went too far in a bake, as it stands; None where nothing has."""
        if not may_be_too_far(bake, now):
            return None
        try:
            found = self._so_far(bake, now)
            return None if found is None else too_far(found)
        except PointageError as error:  # what is stored shuts no screen
            log.warning("what can be made of bake %s is not known: %s", bake.key, error)
            return None

    def take(self, report: Report, way: str) -> None:
        """Go on this way, of the step that stands. Raises NotThere, and InputError for a way that
        is advice alone or is not to be had."""
        if self._records.has(report.entry):
            return  # it was recorded, and who sent it has only not heard so
        present = self._present()
        if report.bake not in present.every_bake:
            raise NotThere("bake", report.bake)
        bake = present.every_bake[report.bake]
        stands = standing(bake)
        if stands is None or stands.key != report.step:
            raise InputError("step", repr(report.step), say("the mixture that stands now"))
        if way == TIN:
            body = _in_tins(bake)
        elif way == MORE_LEVAIN:
            body = _smaller(bake, self._so_far(bake, report.happened))
        else:
            raise InputError(
                "way", repr(way), say("one of {known}", known=", ".join(RECORDED.values()))
            )
        self._records.record(
            report.entry, EntryKind.RESCUED, report.happened, body | {"bake": bake.key, "way": way}
        )

    def _so_far(self, bake: Bake, now: datetime) -> BakeSoFar | None:
        believed = self._present().learning.beliefs(bake.plan.culture).found
        return so_far(bake, believed, now)


def _in_tins(bake: Bake) -> dict[str, Any]:
    shape, text = _step(bake, StepKind.SHAPE), "" if bake.wished is None else bake.wished.formula
    formula = formula_of(text)
    if formula.process is not None:
        formula = replace(formula, process=replace(formula.process, shape=TIN))
    return {"step": shape.key, "formula": write_formula(formula)}


def _smaller(bake: Bake, found: BakeSoFar | None) -> dict[str, Any]:
    """Fewer pieces, with the levain that was built for all."""
    gone = None if found is None else too_far(found)
    ways = () if gone is None else gone.ways
    pieces = next((each.pieces for each in ways if each.kind is RescueKind.MORE_LEVAIN), None)
    smaller = None
    if found is not None and pieces is not None:
        smaller = with_fewer(found.problem, pieces)
    if found is None or smaller is None:
        raise InputError("way", repr(MORE_LEVAIN), say("a way that this bake has"))
    mix = _step(bake, StepKind.MIX)
    thread = found.mixed_now
    grams = amounts(smaller, thread.feeds)
    run = run_thread(smaller, thread, smaller.likeliest, grams.masses)
    pours = [each for each in dough_pours(smaller, grams, run) if each.grams]
    if mix.ladder is not None and mix.ladder.more:
        pours = in_bowls(pours, len(mix.ladder.bowls), mix.ladder.step_g)
    water = next((e for e in pours if (e.kind, e.name) == (PourKind.INGREDIENT, "water")), None)
    return {
        "step": mix.key,
        "formula": write_formula(smaller.formula),
        "pieces": pieces,
        "pours": [each.grams for each in pours],
        "water_c": None if water is None else water.temperature_c,
    }


def _step(bake: Bake, kind: StepKind) -> Step:
    found = next((each for each in bake.plan.steps if each.kind is kind), None)
    if found is None:
        raise NotThere("step", kind.value)
    return found
