"""What every plan of a demonstration formula in Skerry Hall promises, checked from the outside.

Clock times are checked with zoneinfo, grams against the formula's TOML, and temperatures with a
heat balance written here: nothing of the timetable's own is asked whether it is right.
"""

from __future__ import annotations

from datetime import datetime, time, timedelta
from fractions import Fraction
from itertools import pairwise
from math import cos, pi
from typing import Any

import pytest
from tests.timetable.hall import DUBLIN, minutes, of_kind, step, written

from pointage.formula.ingredients import ingredient, ingredients
from pointage.timetable.plan import (
    Ladder,
    Plan,
    Status,
    Step,
)

MINUTE = timedelta(minutes=1)
UP, DOWN = time(6), time(22, 30)
LOAD = {"boule": 8, "tin": 8, "roll": 48}
MINUTES_TO_HEAT = 60
LEAST_RETARD = timedelta(hours=4)

# kJ/(kg·K): flour from Geankoplis, Transport Processes, A.4-1 (middle of 1.80 to 1.88); water from
# IAPWS; salt from memory. Seeds, honey and oil are taken as flour: rough, but little of the heat.
FLOUR_HEAT, WATER_HEAT, SALT_HEAT = 1.84, 4.18, 0.86
FRICTION_K = 2.0
FRIDGE_C = 4.5


def keeps_its_promises(plan: Plan, slug: str) -> None:
    """Every promise at once, for a plan that is one."""
    assert plan.status is Status.BEST
    assert plan.penalty is not None
    assert plan.bound is not None
    assert plan.penalty >= plan.bound
    assert not plan.conflicts
    ends_in_time(plan)
    lets_the_baker_sleep(plan)
    asks_for_one_pair_of_hands(plan)
    bakes_as_the_oven_takes_it(plan, slug)
    keeps_the_lags(plan, slug)
    feeds_from_what_is_ripe(plan, slug)
    reads_as_the_display_will(plan)
    weighs_what_the_formula_says(plan, slug)
    balances_its_heat(plan, slug)


def ends_in_time(plan: Plan) -> None:
    bakes = of_kind(plan, "bake")
    assert plan.ready - timedelta(hours=3, minutes=15) <= bakes[-1].end <= plan.ready
    assert all(first.start <= second.start for first, second in pairwise(plan.steps))
    assert all(each.start < each.end for each in plan.steps)
    assert step(plan, "cool").start == bakes[-1].end


def lets_the_baker_sleep(plan: Plan) -> None:
    for each in plan.steps:
        at = each.start
        while each.hands and at < each.end:
            assert UP <= at.astimezone(DUBLIN).time() < DOWN, f"{each.key} wakes the baker"
            at += MINUTE


def asks_for_one_pair_of_hands(plan: Plan) -> None:
    for first, second in pairwise(each for each in plan.steps if each.hands):
        assert first.end <= second.start, f"{first.key} runs into {second.key}"


def bakes_as_the_oven_takes_it(plan: Plan, slug: str) -> None:
    process = written(slug)["process"]
    bakes = of_kind(plan, "bake")
    heated = step(plan, "preheat").start + timedelta(minutes=MINUTES_TO_HEAT)
    assert heated == bakes[0].start
    assert all(first.end < second.start for first, second in pairwise(bakes))
    assert sum(each.pieces for each in bakes) == plan.pieces
    for each in bakes:
        assert 1 <= each.pieces <= LOAD[process["shape"]]
        lasts = minutes(process["load"]) + minutes(process["bake"])
        assert each.end - each.start == timedelta(minutes=lasts)


def keeps_the_lags(plan: Plan, slug: str) -> None:
    process = written(slug)["process"]
    mix, bulk, divide, shape = (step(plan, key) for key in ("mix", "bulk", "divide", "shape"))
    assert mix.end - mix.start == timedelta(minutes=minutes(process["mix"]))
    folds = of_kind(plan, "fold")
    assert len(folds) == process.get("folds", 0)
    for number, fold in enumerate(folds, start=1):
        after = number * minutes(process["fold_every"])
        assert fold.start == mix.end + timedelta(minutes=after)
        assert fold.end <= divide.start
    assert (bulk.start, bulk.end) == (mix.end, divide.start)
    rest = minutes(process.get("bench_rest", "0min"))
    assert shape.start == divide.end + timedelta(minutes=rest)
    assert len(of_kind(plan, "rest")) == (rest > 0)
    (proof,) = of_kind(plan, "proof", "retard")
    assert (proof.start, proof.end) == (shape.end, of_kind(plan, "bake")[0].start)
    if proof.kind == "retard":
        assert proof.place == "Fridge"
        assert proof.end - proof.start >= LEAST_RETARD
    soakers = [each for each in written(slug)["stage"] if each["kind"] in ("soaker", "scald")]
    for stage, soak in zip(soakers, of_kind(plan, "soak"), strict=True):
        stood = (mix.start - soak.start) / timedelta(minutes=1)
        assert minutes(stage["least"]) <= stood <= minutes(stage["most"])


def plan_stages(slug: str) -> list[dict[str, Any]]:
    """The stages as TOML has them."""
    stages: list[dict[str, Any]] = written(slug)["stage"]
    return stages


def feeds_from_what_is_ripe(plan: Plan, slug: str) -> None:
    feeds = of_kind(plan, "feed", "build")
    levains = [each for each in plan_stages(slug) if each["kind"] == "levain"]
    waking = len(feeds) - len(levains)
    assert [each.kind for each in feeds] == ["feed"] * waking + ["build"] * len(levains)
    assert [each.mixture for each in feeds[waking:]] == [each["name"] for each in levains]
    for fed, taken in pairwise([*feeds, step(plan, "mix")]):
        assert fed.standing is not None
        ripe_from, ripe_until = fed.standing.ripe_from, fed.standing.ripe_until
        assert ripe_from is not None
        assert ripe_until is not None
        assert ripe_from.p50 <= taken.start <= ripe_until.p50
        assert fed.ripe_odds is not None
        # Nothing was seen of this culture: a window of five hours in a band of thirteen.
        assert 0.3 <= fed.ripe_odds <= 1


def reads_as_the_display_will(plan: Plan) -> None:
    weighed = [each for each in plan.steps if each.ladder]
    assert {each.kind for each in weighed} >= {"build", "mix"}
    for each in weighed:
        ladder = each.ladder
        assert ladder is not None
        reading, scale = _exact(ladder.tare_g), _exact(ladder.step_g)
        each_bowl = len(ladder.pours) // (1 + len(ladder.more))
        for number, pour in enumerate(ladder.pours):
            assert pour.grams > 0
            if number and number % each_bowl == 0:  # the next bowl, empty
                reading = _exact(ladder.more[number // each_bowl - 1].tare_g)
            reading += _exact(pour.grams)
            assert abs(_exact(pour.display_g) - reading) <= scale / 2
            assert _exact(pour.display_g) % scale == 0


def weighs_what_the_formula_says(plan: Plan, slug: str) -> None:
    """From the seed to the batch: what is poured is what the percentages ask for."""
    mix, builds = _ladder(plan, "mix"), of_kind(plan, "build")
    late = [each.ladder for each in of_kind(plan, "fold") if each.ladder is not None]
    batch = sum(_exact(pour.grams) for ladder in (mix, *late) for pour in ladder.pours)
    assert batch == plan.pieces * _exact(plan.piece_g)
    for build, taker in pairwise([*builds, step(plan, "mix")]):
        assert build.ladder is not None
        assert taker.ladder is not None
        made = sum(_exact(pour.grams) for pour in build.ladder.pours)
        assert made == _grams(taker.ladder)[build.mixture]
    for soak in of_kind(plan, "soak"):
        assert soak.ladder is not None
        stands = sum(_exact(pour.grams) for pour in soak.ladder.pours)
        assert stands == _grams(mix)[soak.mixture]

    poured = _poured(plan, slug)
    percent = {name: _exact(part) for name, part in written(slug)["total"].items()}
    for name, part in percent.items():
        wanted = batch * part / sum(percent.values())
        assert float(poured.pop(name)) == pytest.approx(float(wanted), abs=2)  # steps of 1 g
    assert not poured


def balances_its_heat(plan: Plan, slug: str) -> None:
    """T = Σ mᵢcᵢTᵢ / Σ mᵢcᵢ, with the water as warm as the plan says, and 2 K for working a dough.

    Within 0.3 K: the plan's temperatures are to a tenth, its grams to the step of the scale.
    """
    feeds = of_kind(plan, "feed", "build")
    seed_c = FRIDGE_C
    for fed, taken in pairwise([*feeds, step(plan, "mix")]):
        hydration = _hydration(plan, slug, feeds[0] if fed is feeds[0] else fed)
        assert _balance(fed, hydration, seed_c) == pytest.approx(fed.mixture_temperature_c, abs=0.3)
        seed_c = _temperature(fed, taken.start)
    mix = step(plan, "mix")
    wet = _hydration(plan, slug, feeds[-1])
    worked = _balance(mix, wet, seed_c) + FRICTION_K
    assert worked == pytest.approx(mix.mixture_temperature_c, abs=0.3)


def _poured(plan: Plan, slug: str) -> dict[str, Fraction]:
    """Grams of each ingredient in the batch, what is in the seed counted."""
    builds = of_kind(plan, "build")
    found: dict[str, Fraction] = {}
    for each in [*builds, *of_kind(plan, "soak", "fold"), step(plan, "mix")]:
        if each.ladder is None:
            assert each.kind == "fold"
            continue
        for pour in each.ladder.pours:
            grams = _exact(pour.grams)
            if pour.kind == "ingredient":
                found[pour.name] = found.get(pour.name, Fraction()) + grams
            elif pour.kind == "culture":  # the seed: flour of the levain's kind, and water
                assert pour.name == plan.culture
                flour = grams / (1 + _exact(_hydration(plan, slug, None)))
                (kind,) = set(_grams(each.ladder)) & set(ingredients()) - {"water"}
                found[kind] = found.get(kind, Fraction()) + flour
                found["water"] = found.get("water", Fraction()) + grams - flour
    return found


def _balance(mixed: Step, seed_hydration: float, seed_c: float) -> float:
    """The temperature of a mix by its ladder, its flour as warm as the Hall has been."""
    assert mixed.ladder is not None
    room_c = hall_c(mixed.start)
    heat = capacity = 0.0
    for pour in mixed.ladder.pours:
        name = pour.name
        kind = ingredient(name).kind if pour.kind == "ingredient" else "seed"
        if pour.name == "Soaker":  # as much water as oats, sunflower and linseed: 22 to 22
            each, celsius = pour.grams * (FLOUR_HEAT + WATER_HEAT) / 2, room_c
        elif pour.name == "Scald":  # 16 of water to 8 of flour
            each, celsius = pour.grams * (FLOUR_HEAT + 2 * WATER_HEAT) / 3, room_c
        elif kind == "seed":
            share = 1 / (1 + seed_hydration)
            each = pour.grams * (share * FLOUR_HEAT + (1 - share) * WATER_HEAT)
            celsius = seed_c
        elif name == "water":
            assert pour.temperature_c == mixed.water_temperature_c
            assert pour.temperature_c is not None
            each, celsius = pour.grams * WATER_HEAT, pour.temperature_c
        else:
            each, celsius = pour.grams * (SALT_HEAT if name == "salt" else FLOUR_HEAT), room_c
        heat += each * celsius
        capacity += each
    return heat / capacity


def hall_c(at: datetime) -> float:
    """The Hall's mean in the twelve hours before.

    17 °C, 1.5 K either way by the day (warmest at 15:00), 0.5 K by the year (on 5 August).
    """
    local = at.astimezone(DUBLIN)
    clock = local.hour + local.minute / 60
    season = 0.5 * cos(2 * pi * (local.timetuple().tm_yday - 217) / 365.2425)
    angles = [2 * pi * (clock - back - 15) / 24 for back in range(13)]
    return sum(17 + season + 1.5 * cos(angle) for angle in angles) / len(angles)


def _hydration(plan: Plan, slug: str, fed: Step | None) -> float:
    """Water over flour: of the levain as the formula has it, else of the culture as it is kept."""
    if fed is not None and fed.kind == "build":
        levain = next(each for each in plan_stages(slug) if each["name"] == fed.mixture)
        return float(levain["water"]) / 100
    return {"Gannet": 1.0, "Plover": 0.6}[plan.culture]


def _temperature(fed: Step, at: datetime) -> float:
    assert fed.standing is not None
    return next(row.temperature_c for row in fed.standing.rows if row.at == at)


def _ladder(plan: Plan, key: str) -> Ladder:
    found = step(plan, key).ladder
    assert found is not None
    return found


def _grams(ladder: Ladder) -> dict[str, Fraction]:
    names = {pour.name for pour in ladder.pours}  # in several bowls each has its part
    return {
        name: sum((_exact(pour.grams) for pour in ladder.pours if pour.name == name), Fraction())
        for name in names
    }


def _exact(number: float) -> Fraction:
    return Fraction(str(number))
