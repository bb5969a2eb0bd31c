"""Plan a bake: from texts and wishes as a person gives them to a timetable."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from pointage.desk.kitchens import kitchen_at_hand
from pointage.desk.wording import (
    caution,
    cautions,
    conflict_name,
    conflict_words,
    note,
    pour_label,
    title,
)
from pointage.errors import InputError
from pointage.formula.formula import MOST_PIECE_G, Formula
from pointage.formula.ladder import PourKind
from pointage.formula.read import read_formula
from pointage.kitchen.kitchen import Kitchen
from pointage.mixture.traits import Traits
from pointage.quantities import parse_instant, parse_zone, print_number
from pointage.timetable.occupied import Occupied
from pointage.timetable.plan import Ladder, Plan, Quantiles, Shortage, Standing, Step
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import plan

MOST_PIECES = 2000
MOST_AHEAD = timedelta(days=365)
FIRST_YEAR, LAST_YEAR = 2000, 2199


def plan_text(
    formula_text: str,
    source: str,
    ready: str,
    *,
    zone: str | None = None,
    kitchen_text: str | None = None,
    kitchen_source: str | None = None,
    pieces: int | None = None,
    piece_g: Fraction | None = None,
    now: str | None = None,
) -> Plan:
    """The plan for a formula's text, with bread out of the oven at the local clock time `ready`.

    zone: of that clock, else the kitchen's. Raises InputError, one line, for what cannot be used.
    """
    actual = datetime.now(UTC)
    formula = read_formula(formula_text, source)
    local = parse_zone(zone, "--zone") if zone is not None else None
    if now is not None:
        # The kitchen's zone is not known before its file is read, and reading it needs now.
        actual = parse_instant(now, local or ZoneInfo("UTC"), "--now")
        if not FIRST_YEAR <= actual.year <= LAST_YEAR:
            raise InputError("--now", now, f"a time from {FIRST_YEAR} to {LAST_YEAR}")
    kitchen = kitchen_at_hand(actual, kitchen_text, kitchen_source)
    if now is not None and local is None:
        actual = parse_instant(now, kitchen.zone, "--now")
    wanted = parse_instant(ready, local or kitchen.zone, "--ready")
    return plan_bake(formula, kitchen, wanted, actual, pieces=pieces, piece_g=piece_g)


def plan_bake(
    formula: Formula,
    kitchen: Kitchen,
    ready: datetime,
    now: datetime,
    *,
    pieces: int | None = None,
    piece_g: Fraction | None = None,
    occupied: tuple[Occupied, ...] = (),
    believed: Traits | None = None,
    warming: Mapping[str, NDArray[np.float64]] | None = None,
) -> Plan:
    """The plan for a formula in a kitchen; pieces and their mass are the formula's unless given.

    occupied: what of the kitchen's capacities is at other bakes. believed: what has been learned of
    the culture; warming: of vessels in places, with it (`Problem`).
    """
    if not kitchen.cultures:
        raise InputError(f"{kitchen.name}, culture", "none", "a [[culture]] to build a levain from")
    name = formula.culture or kitchen.cultures[0].name
    wanted = formula.pieces if pieces is None else pieces
    if not 1 <= wanted <= MOST_PIECES:
        raise InputError("pieces", wanted, f"a whole number from 1 to {MOST_PIECES}")
    if piece_g is not None and not 0 < piece_g <= MOST_PIECE_G:
        expected = "the mass of a piece, such as 900g, up to 50kg"
        raise InputError("piece", f"{float(piece_g):g} g", expected)
    if ready - now > MOST_AHEAD:
        raise InputError("ready", f"{ready:%Y-%m-%d}", "a time within a year from now")
    problem = Problem(
        formula=formula,
        kitchen=kitchen,
        culture=kitchen.culture(name, f"{formula.slug}, culture"),
        now=now,
        ready=ready,
        pieces=wanted,
        piece_g=formula.piece_g if piece_g is None else piece_g,
        occupied=occupied,
        believed=believed,
        warming=warming or {},
    )
    return plan(problem)


def plan_json(found: Plan) -> dict[str, Any]:
    """A plan as the JSON object of `pointage plan`: instants are ISO 8601 in the plan's zone."""
    zone = ZoneInfo(found.zone)
    return {
        "formula": found.formula,
        "culture": found.culture,
        "ready": _iso(found.ready, zone),
        "zone": found.zone,
        "pieces": found.pieces,
        "piece_g": found.piece_g,
        "status": found.status.value,
        "penalty": found.penalty,
        "bound": found.bound,
        "conflicts": [
            dict(zip(("name", "sentence", "relaxed"), told, strict=True))
            for each in found.conflicts
            for told in [(conflict_name(each), *conflict_words(each, zone))]
        ],
        "steps": [_step(step, zone) for step in found.steps],
        "cautions": list(cautions(found)),
        "shortages": [_shortage(each, zone) for each in found.shortages],
    }


def shortage_words(lacks: Shortage) -> str:
    """A shortage in a sentence."""
    needed, free = print_number(lacks.needed), print_number(lacks.free)
    if lacks.unit == "l":
        return f"{lacks.capacity}: {needed} l are needed at once and {free} are free."
    return f"{lacks.capacity}: {needed} are needed at once and {free} are free."


def _shortage(lacks: Shortage, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "name": lacks.name,
        "capacity": lacks.capacity,
        "needed": lacks.needed,
        "free": lacks.free,
        "unit": lacks.unit,
        "start": _iso(lacks.start, zone),
        "end": _iso(lacks.end, zone),
        "free_from": None if lacks.free_from is None else _iso(lacks.free_from, zone),
        "most_pieces": lacks.most_pieces,
    }


def _step(step: Step, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "key": step.key,
        "start": _iso(step.start, zone),
        "end": _iso(step.end, zone),
        "kind": step.kind.value,
        "title": title(step),
        "hands": step.hands,
        "place": step.place,
        "mixture": step.mixture,
        "grams": step.grams,
        "pieces": step.pieces,
        "ladder": None if step.ladder is None else _ladder(step.ladder),
        "temperatures": {
            "water_c": step.water_temperature_c,
            "mixture_c": step.mixture_temperature_c,
            "oven_c": step.oven_temperature_c,
        },
        "ripe_odds": step.ripe_odds,
        "note": note(step, zone),
        **_window(step.standing, zone),
        **({} if step.keep is None else {"keep": _step(step.keep, zone)}),
    }


def _ladder(ladder: Ladder) -> dict[str, Any]:
    return {
        "vessel": ladder.vessel,
        "tare_g": ladder.tare_g,
        "step_g": ladder.step_g,
        "pours": [
            {
                "name": pour_label(pour),
                "kind": pour.kind.value,
                "ingredient": pour.name if pour.kind is PourKind.INGREDIENT else None,
                "grams": pour.grams,
                "display_g": pour.display_g,
                "temperature_c": pour.temperature_c,
            }
            for pour in ladder.pours
        ],
    }


def _window(standing: Standing | None, zone: ZoneInfo) -> dict[str, Any]:
    if standing is None:
        return {}
    return {
        "ripe_from": _quantiles(standing.ripe_from, zone),
        "ripe_until": _quantiles(standing.ripe_until, zone),
        "peak": _quantiles(standing.peak, zone),
        "rise_at_end": standing.rise_at_end,
        "ph_at_end": standing.ph_at_end,
        "vessel": standing.vessel,
        "full": standing.full,
        "core_lag_h": standing.core_lag_h,
        "caution": caution(standing, zone),
        "course": [
            {
                "at": _iso(row.at, zone),
                "temperature_c": row.temperature_c,
                "rise": row.rise,
                "rise_p10": row.rise_p10,
                "rise_p90": row.rise_p90,
                "ph": row.ph,
            }
            for row in standing.rows
        ],
    }


def _quantiles(found: Quantiles | None, zone: ZoneInfo) -> dict[str, str] | None:
    if found is None:
        return None
    return {name: _iso(getattr(found, name), zone) for name in ("p10", "p50", "p90")}


def _iso(at: datetime, zone: ZoneInfo) -> str:
    return at.astimezone(zone).isoformat(timespec="minutes")
