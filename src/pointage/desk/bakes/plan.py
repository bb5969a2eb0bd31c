"""Plan a bake: from texts and wishes as a person gives them to a timetable."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from pointage.bounds import PIECE_G, PIECES_MADE
from pointage.desk.at_hand import at_hand, said_now, standing_at_hand_at
from pointage.desk.calculators.water_page import friction_of
from pointage.desk.now.unrecorded import PlainKitchen
from pointage.desk.planner.planner import HERE, Planner
from pointage.desk.week.lean import read_leans, words_of
from pointage.desk.wording import (
    caution,
    cautions,
    conflict_words,
    note,
    pour_label,
    title,
)
from pointage.errors import Faults, InputError
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula
from pointage.formula.ladder import PourKind
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.language import say
from pointage.mixture.traits import Traits
from pointage.quantities import parse_instant, parse_zone, print_number
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.plan import (
    Ladder,
    Plan,
    Quantiles,
    Shortage,
    Step,
    StepCourse,
)
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import plan
from pointage.timetable.ways.lean import AS_USUAL, Lean

MOST_AHEAD = timedelta(days=365)


def plan_text(
    formula_text: str,
    source: str,
    ready: str,
    *,
    zone: str | None = None,
    kitchen_text: str | None = None,
    kitchen_source: str | None = None,
    pieces: str | None = None,
    piece: str | None = None,
    now: str | None = None,
    lean: Sequence[str] = (),
    faults: Faults | None = None,
) -> Plan:
    """The plan for a formula's text, with bread out of the oven at the local clock time `ready`.

    zone: of that clock, else the kitchen's. lean: each "early", "night=strongly" and so on
    (docs/week.md). faults: of what was read before. Raises InputError with every fault.
    """
    faults = faults or Faults()
    take, maybe, any_zone = faults.take, faults.maybe, ZoneInfo("UTC")
    count = maybe(PIECES_MADE.count, pieces, "--pieces")
    piece_g = maybe(PIECE_G.grams, piece, "--piece")
    local = maybe(parse_zone, zone, "--zone")
    leans = take(read_leans, lean, "--lean")
    # As far as they can be read without the zone, which the kitchen's file may be needed for.
    maybe(said_now, now, any_zone)
    take(parse_instant, ready, any_zone, "--ready")
    formula = take(read_formula, formula_text, source)
    if faults.found:
        take(at_hand, datetime.now(UTC), kitchen_text, kitchen_source)
    faults.check()
    here, actual = standing_at_hand_at(now, kitchen_text, kitchen_source, local)
    wanted = parse_instant(ready, local or here.file.zone, "--ready")
    return plan_here(here, formula, wanted, actual, pieces=count, piece_g=piece_g, lean=leans)


def plan_here(
    here: PlainKitchen,
    formula: Formula,
    ready: datetime,
    now: datetime,
    *,
    pieces: int | None = None,
    piece_g: Fraction | None = None,
    lean: Lean = AS_USUAL,
    reached: Callable[[float], None] = lambda share: None,
) -> Plan:
    """The plan for a formula in a kitchen as it stands: every page and command plans by it.

    It leaves to the bakes in hand what they occupy, and goes by what is believed of the culture and
    of what mixing warms a dough by. Raises InputError.
    """
    kitchen = here.kitchen
    culture = culture_for(formula, kitchen)
    believed = here.believed(culture.name)
    wanted = _pieces(formula, pieces)
    each_g = _piece_g(formula, piece_g)
    return plan_bake(
        formula,
        kitchen.that_gains(friction_of(here, formula, wanted, each_g).kelvin),
        ready,
        now,
        pieces=wanted,
        piece_g=each_g,
        occupied=tuple(
            each for bake in here.in_hand(now) for each in occupied_by(bake.plan, kitchen)
        ),
        believed=None if believed is None else believed.traits,
        warming=None if believed is None else believed.warming,
        lean=lean,
        reached=reached,
        planner=here.planner,
    )


def culture_for(formula: Formula, kitchen: Kitchen) -> CultureAtHand:
    """The culture whose levain a formula is made with: its own, else the kitchen's first."""
    kitchen.check_culture()
    name = formula.culture or kitchen.cultures[0].name
    return kitchen.culture(name, say("{formula}, culture", formula=formula.slug))


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
    lean: Lean = AS_USUAL,
    reached: Callable[[float], None] = lambda share: None,
    planner: Planner = HERE,
) -> Plan:
    """The plan for a formula in a kitchen; pieces and their mass are the formula's unless given.

    occupied: what of the kitchen's capacities is at other bakes. believed: what has been learned of
    the culture; warming: of vessels in places, with it (`Problem`). reached: as `timetable.plan`.
    planner: who solves it.
    """
    culture = culture_for(formula, kitchen)
    wanted, each_g = _pieces(formula, pieces), _piece_g(formula, piece_g)
    if ready - now > MOST_AHEAD:
        raise InputError("ready", f"{ready:%Y-%m-%d}", say("a time within a year from now"))
    problem = Problem(
        formula=formula,
        kitchen=kitchen,
        culture=culture,
        now=now,
        ready=ready,
        pieces=wanted,
        piece_g=each_g,
        occupied=occupied,
        believed=believed,
        warming=warming or {},
    )
    return planner.ask(plan, problem, reached=reached, lean=lean)


def _pieces(formula: Formula, pieces: int | None) -> int:
    wanted = formula.pieces if pieces is None else pieces
    PIECES_MADE.check(wanted, "pieces")
    return wanted


def _piece_g(formula: Formula, piece_g: Fraction | None) -> Fraction:
    if piece_g is None:
        return formula.piece_g
    PIECE_G.check(piece_g, "piece")
    return piece_g


def plan_json(found: Plan, lean: Lean = AS_USUAL) -> dict[str, Any]:
    """A plan as the JSON object of `pointage plan`: instants are ISO 8601 in the plan's zone.

    lean: what was leaned to.
    """
    zone = ZoneInfo(found.zone)
    return {
        "formula": found.formula,
        "culture": found.culture,
        "ready": iso(found.ready, zone),
        "zone": found.zone,
        "pieces": found.pieces,
        "piece_g": found.piece_g,
        "status": found.status.value,
        "penalty": found.penalty,
        "bound": found.bound,
        "lean": words_of(lean),
        "conflicts": [
            dict(zip(("name", "sentence", "relaxed"), texts, strict=True))
            for each in found.conflicts
            for texts in [(each.name.replace("-", " "), *conflict_words(each, zone))]
        ],
        "steps": [step_json(step, zone) for step in found.steps],
        "cautions": list(cautions(found)),
        "shortages": [_shortage(each, zone) for each in found.shortages],
    }


def shortage_words(lacks: Shortage) -> str:
    """A shortage in a sentence."""
    needed, free = print_number(lacks.needed), print_number(lacks.free)
    if lacks.unit == "l":
        return say(
            "{capacity}: {needed} l are needed at once and {free} are free.",
            capacity=lacks.capacity,
            needed=needed,
            free=free,
        )
    return say(
        "{capacity}: {needed} are needed at once and {free} are free.",
        capacity=lacks.capacity,
        needed=needed,
        free=free,
    )


def _shortage(lacks: Shortage, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "name": lacks.name,
        "capacity": lacks.capacity,
        "needed": lacks.needed,
        "free": lacks.free,
        "unit": lacks.unit,
        "start": iso(lacks.start, zone),
        "end": iso(lacks.end, zone),
        "free_from": None if lacks.free_from is None else iso(lacks.free_from, zone),
        "most_pieces": lacks.most_pieces,
    }


def step_json(step: Step, zone: ZoneInfo) -> dict[str, Any]:
    """A step as a row of the JSON of `pointage plan`."""
    return {
        "key": step.key,
        "start": iso(step.start, zone),
        "end": iso(step.end, zone),
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
        **({} if step.keep is None else {"keep": step_json(step.keep, zone)}),
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
        **(
            {"more": [{"vessel": b.vessel, "tare_g": b.tare_g} for b in ladder.more]}
            if ladder.more
            else {}
        ),
    }


def _window(standing: StepCourse | None, zone: ZoneInfo) -> dict[str, Any]:
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
                "at": iso(row.at, zone),
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
    return {name: iso(getattr(found, name), zone) for name in ("p10", "p50", "p90")}


def iso(at: datetime, zone: ZoneInfo) -> str:
    """ISO 8601 in a zone, to the minute."""
    return at.astimezone(zone).isoformat(timespec="minutes")
