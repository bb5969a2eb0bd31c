"""What is poured into each mix of a plan, in pouring order, by identifier."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from pointage.formula.formula import Stage, StageKind
from pointage.formula.ladder import Pour, PourKind, PourState
from pointage.formula.scale import ScaledRow, ScaledStage
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import Amounts, seed_grams
from pointage.timetable.ways.bands import PlannedFeed, Run

_STATES = {StageKind.LEVAIN: PourState.RIPE, StageKind.OLD_DOUGH: PourState.KEPT}


def feed_pours(
    problem: Problem, feed: dict[str, Fraction], fed: PlannedFeed, *, first: bool
) -> list[Pour]:
    """A waking feed of the culture; `first`: as it comes from where it rests."""
    fresh = [(kind, grams) for kind, grams in feed.items() if kind not in ("seed", "water")]
    return [
        _culture(problem, feed["seed"], first=first),
        _fresh("water", feed["water"], fed.mixed.water_c),
        *(_fresh(kind, grams) for kind, grams in fresh),
    ]


def build_pours(
    problem: Problem, stage: ScaledStage, fed: PlannedFeed, *, first: bool
) -> list[Pour]:
    """A build of the levain, from the culture or from the build before."""
    seeds = [
        Pour(PourKind.STAGE, name, float(grams), state=PourState.RIPE)
        for name, grams in stage.takes.items()
    ] or [_culture(problem, seed_grams(stage), first=first)]
    rows = sorted(stage.rows, key=lambda row: row.name != "water")
    return seeds + [
        _fresh(row.name, row.grams, fed.mixed.water_c if row.name == "water" else None)
        for row in rows
        if row.name != "seed"
    ]


def soak_pours(grams: Amounts, stage: Stage) -> list[Pour]:
    """A soaker or a scald, its water last."""
    rows = grams.batch.stage(stage.name).rows
    return _rows(sorted(rows, key=lambda row: row.name == "water"))


def dough_pours(problem: Problem, grams: Amounts, run: Run) -> list[Pour]:
    """The final dough: water, what was made before, flours, salt, and what is added at the mix."""
    formula = problem.formula
    dough = grams.batch.stage(formula.dough.name)
    pours = [
        _fresh(row.name, row.grams, run.dough.water_c) for row in dough.rows if row.name == "water"
    ][:1]
    for stage in formula.stages:
        if stage.name in dough.takes and stage.kind is not StageKind.ADDITION:
            state = _STATES.get(stage.kind, PourState.PLAIN)
            taken = float(dough.takes[stage.name])
            pours.append(Pour(PourKind.STAGE, stage.name, taken, state=state))
    loose = [row for row in dough.rows if row.name != "water"]
    pours += _rows(sorted(loose, key=lambda row: row.name == "salt"))
    for stage in formula.additions:
        if not stage.fold:
            pours += addition_pours(grams, stage)
    return pours


def addition_pours(grams: Amounts, stage: Stage) -> list[Pour]:
    """What is added to a dough, at its mix or with a fold."""
    scaled = grams.batch.stage(stage.name)
    taken = [Pour(PourKind.STAGE, name, float(each)) for name, each in scaled.takes.items()]
    return taken + _rows(scaled.rows)


def _culture(problem: Problem, grams: Fraction, *, first: bool) -> Pour:
    state = PourState.PLAIN if first else PourState.RIPE
    return Pour(PourKind.CULTURE, problem.culture.name, float(grams), state=state)


def _rows(rows: Iterable[ScaledRow]) -> list[Pour]:
    return [_fresh(row.name, row.grams) for row in rows]


def _fresh(name: str, grams: Fraction, celsius: float | None = None) -> Pour:
    warm = None if celsius is None else round(celsius, 1)
    return Pour(PourKind.INGREDIENT, name, float(grams), temperature_c=warm)
