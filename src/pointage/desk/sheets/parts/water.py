"""The water of a dough on a day that is warmer or colder than planned, as a small table."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from pointage.desk.calculators.water_page import Warmths, dough_mix, question, warmths_of
from pointage.desk.now.unrecorded import PlainKitchen
from pointage.documents.blocks import PrintedTable
from pointage.errors import InputError
from pointage.formula.formula import Formula
from pointage.formula.water import STOP_C, answer
from pointage.language import say
from pointage.shown import at_least, degrees_sign, in_degrees, of_degrees, shown, warmth_number

STEPS = {"C": (2.0, 1.0), "F": (4.0, 2.0)}
"""From row to row and from column to column, in the degrees of the reader."""
ROWS, COLUMNS = range(-2, 3), range(-1, 2)


def water_table(
    formula: Formula,
    present: PlainKitchen,
    now: datetime,
    pieces: int,
    planned_c: float | None = None,
) -> PrintedTable | None:
    """Rows: how warm flour and room are; columns: how warm the dough is to be.

    planned_c: the water of the plan, which stands in the middle; the others are as far from it as
    the heat balance says. None for a dough without water of its own.
    """
    try:
        mix = dough_mix(formula, pieces, present.flours)
    except InputError:
        return None
    try:
        usual = warmths_of(mix, formula, present, now)
    except InputError:  # its levain stands in a place that this kitchen has not
        usual = warmths_of(mix, None, present, now)
        if formula.process is not None:
            usual = replace(usual, wanted=formula.process.dough_temperature.celsius)
    scale = shown().degrees
    down, across = STEPS[scale]
    rooms = [_about(usual.room, down * n) for n in ROWS]
    doughs = [_about(usual.wanted, across * n) for n in COLUMNS]

    def water(wanted: float, room: float) -> float:
        warmths = _in_a_room(usual, room, wanted)
        return answer(question(mix, warmths)).water_c

    middle = water(doughs[len(doughs) // 2], rooms[len(rooms) // 2])
    moved = 0.0 if planned_c is None else planned_c - middle
    cells = [[water(dough, room) + moved for dough in doughs] for room in rooms]
    rows = tuple(
        (warmth_number(room), *(_cell(each) for each in row))
        for room, row in zip(rooms, cells, strict=True)
    )
    under = [say("The middle row is the day as planned.")]
    if any(each > STOP_C for row in cells for each in row):
        under.append(say("–: it would take water in which yeast dies."))
    if any(each < present.file.tap_c for row in cells for each in row):
        tap = at_least(present.file.tap_c)
        under.append(say("Below {tap} it takes ice or water out of the fridge.", tap=tap))
    return PrintedTable(
        say("Water for the dough, {degrees}", degrees=degrees_sign()),
        (say("flour and room"), *(say("dough {warmth}", warmth=warmth_number(t)) for t in doughs)),
        rows,
        "r" * (1 + len(doughs)),
        under=" ".join(under),
        strong=(1 + len(doughs) // 2,),
    )


def _about(celsius: float, degrees: float) -> float:
    """So many degrees of the reader's scale from a temperature."""
    return of_degrees(in_degrees(celsius) + degrees)


def _in_a_room(usual: Warmths, room: float, wanted: float) -> Warmths:
    """A day on which the room, and what stood in it, is otherwise."""
    return replace(usual, wanted=wanted, room=room, flour=usual.flour + room - usual.room)


def _cell(celsius: float) -> str:
    if celsius > STOP_C:
        return "–"
    return warmth_number(celsius) if celsius >= 0 else say("ice")


def of_batch(pieces: int, piece_g: Fraction, formula: Formula) -> int:
    """So many of the formula's own pieces weigh the same, one at least: the water is by shares."""
    return max(1, round(pieces * piece_g / formula.piece_g))
