"""`hold`: let time pass over a mixture, and get its course."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from math import exp

import numpy as np
from numpy.typing import NDArray

from pointage.data import load
from pointage.heat.flag import Flag, FlagCode
from pointage.mixture.course import Course
from pointage.mixture.mixture import Mixture, buffering
from pointage.mixture.response import tables
from pointage.mixture.state import SETTING_SIZE, STATE_SIZE, P
from pointage.mixture.temperature.surroundings import Surroundings, straying
from pointage.mixture.temperature.thermal import usual_follow
from pointage.mixture.traits import Traits
from pointage.science.ph_response import linear_stop

LN_2 = 0.6931471805599453
USUAL_HYDRATION = 1.0
"""At this the rates of the traits hold as they stand."""
STEP_MIN = 15
"""Length of a step: counts and acids are then within 1e-4 of steps a third as long."""
QUICKEST_FOLLOW_H = 0.15  # a shorter time constant would need shorter steps
TEMPERATURE_RANGE = (2.0, 40.0)
WARM_FOR_YEAST_C = 33.0
"""Above it the yeast of many cultures fades: none grows at 35 or 36 °C (sources of 1998, seen)."""
BEARS_HEAT = 0.8  # odds that most of a culture's yeast bears heat, to go without the warning: ours
FEW_STEPS = 10_000
"""Below this many member-steps one core is quicker than waking the others."""


def settings_for(
    mixture: Mixture, traits: Traits, follow_h: float | NDArray[np.float64] | None = None
) -> NDArray[np.float64]:
    """The kernel's settings, one row a member, for this mixture and this culture.

    follow_h: the time constant toward the surroundings, in hours; or one a member.
    """
    follow = usual_follow(mixture).hours if follow_h is None else follow_h
    return settings_of_many([mixture], traits, [follow * traits.warming])


def settings_of_many(
    mixtures: Sequence[Mixture], traits: Traits, follow_h: Sequence[NDArray[np.float64]]
) -> NDArray[np.float64]:
    """The settings for several mixtures of this culture, the members of the first one first.

    follow_h: of each mixture, the time constant toward the surroundings, in hours, one a member.
    """
    kinetics = load("parameters/kinetics.toml")
    yeast, bacteria, early = (kinetics[key] for key in ("yeast", "bacteria", "early"))
    shape = (len(mixtures), len(traits), SETTING_SIZE)
    rows = np.empty(shape)
    made_of = np.array([_made_of(each) for each in mixtures]).T[:, :, None]
    flour, water, unsalted, unsalted_bacteria, thin, starve, *others = made_of
    enzymes, buffer, volume, holds = others
    rows[..., P.YEAST_RATE] = LN_2 / traits.yeast_doubling_h * unsalted * thin
    rows[..., P.BACTERIA_RATE] = LN_2 / traits.bacteria_doubling_h * unsalted_bacteria * thin
    rows[..., P.EARLY_RATE] = LN_2 / early["doubling_h"] * thin
    rows[..., P.YEAST_MOST] = yeast["most"] * flour
    rows[..., P.BACTERIA_MOST] = bacteria["most"] * flour
    rows[..., P.EARLY_MOST] = early["most"] * flour
    rows[..., P.YEAST_GAS] = yeast["gas_growing"] * traits.yeast_gas
    rows[..., P.YEAST_GAS_IDLE] = yeast["gas_idle"] * traits.yeast_gas * thin
    rows[..., P.ACID] = bacteria["acid_growing"] * traits.acid
    rows[..., P.ACID_IDLE] = bacteria["acid_idle"] * traits.acid * thin
    rows[..., P.READY_MOST] = traits.wakefulness
    rows[..., P.DROWSE_YEAST] = yeast["drowse"] * traits.drowsing
    rows[..., P.DROWSE_BACTERIA] = bacteria["drowse"] * traits.drowsing
    rows[..., P.STARVE] = starve
    rows[..., P.DIE_YEAST] = yeast["die"] * traits.dying * starve
    rows[..., P.BEARING] = traits.heat_bearing
    rows[..., P.ENZYMES] = enzymes
    rows[..., P.WATER] = water
    rows[..., P.BUFFER] = buffer
    rows[..., P.VOLUME] = volume
    rows[..., P.HOLD] = holds * traits.retention
    rows[..., P.WEAKEN] = traits.weakening
    rows[..., P.FOLLOW] = np.maximum(np.stack(follow_h), QUICKEST_FOLLOW_H)
    return rows.reshape(-1, SETTING_SIZE)


def _made_of(mixture: Mixture) -> tuple[float, ...]:
    """What its settings hang on besides the culture: of a kilogram the flour and the free water;
    how far salt leaves yeast and bacteria their pace, and water that of all; how fast idle cells
    are lost; enzymes, buffer, litres, and what it can hold."""
    kinetics, kind = load("parameters/kinetics.toml"), mixture.record
    assert kind is not None, "a mixture that is held has flour"
    water, hydration = mixture.free_water, mixture.hydration
    brine = 100 * mixture.salt / mixture.mass / water
    spread = 0.9 if hydration < kind.best_hydration else 0.7
    stretch = exp(-(((hydration - kind.best_hydration) / spread) ** 2))
    return (
        mixture.flour / mixture.mass,
        water,
        linear_stop(brine, kinetics["yeast"]["salt_stop"]),
        linear_stop(brine, kinetics["bacteria"]["salt_stop"]),
        water_effect(hydration),
        hydration ** kinetics["dough"]["starve_power"],
        kind.enzymes,
        buffering(mixture),
        mixture.volume,
        kind.retention * stretch,
    )


def water_effect(hydration: float) -> float:
    """The rate of all cells in a mixture of this hydration, over that at USUAL_HYDRATION.

    h/(h + k)·(h₀ + k)/h₀: stiff doughs work slower, since less water moves less sugar and acid.
    Form and k are ours (kinetics.toml, thick); common practice has the direction.
    """
    thick = float(load("parameters/kinetics.toml")["dough"]["thick"])
    return hydration / (hydration + thick) * (USUAL_HYDRATION + thick) / USUAL_HYDRATION


def run(
    states: NDArray[np.float64],
    settings: NDArray[np.float64],
    around: NDArray[np.float64],
    every: int,
    growth_set: str | None = None,
) -> NDArray[np.float64]:
    """Carry members through their surroundings by the compiled kernel; `states` is changed.

    around: (k, steps + 1) in °C, STEP_MIN apart, taken by the members in turn. ValueError where a
    number is not finite, which the kernel could not bear.
    """
    from pointage.mixture.compiled import cores, hold_members  # it is not for --help

    if not all(np.isfinite(each).all() for each in (states, settings, around)):
        raise ValueError("a mixture or its surroundings hold a number that is not finite")
    table = tables(growth_set) if growth_set else tables()
    few = len(states) * around.shape[1] < FEW_STEPS
    return hold_members(
        states, settings, around, table, dt=STEP_MIN / 60, every=every, cores=1 if few else cores()
    )


def hold(
    mixture: Mixture,
    surroundings: Surroundings,
    start: datetime,
    hours: float,
    traits: Traits,
    *,
    follow_h: float | None = None,
    every_min: int = STEP_MIN,
    growth_set: str | None = None,
) -> Course:
    """The course of `mixture` in `surroundings` for `hours` from `start`, one line a member.

    hours is rounded up to the next row; rows are every_min minutes apart. Members are the traits';
    a mixture with a single state is spread over all of them. In a place that strays each member has
    its own offset, one alone has none. follow_h, the time constant toward the surroundings in
    hours, is that of a lidded tub of its size when not given (mixture/temperature/thermal.py).
    """
    return hold_several(
        [mixture],
        surroundings,
        start,
        hours,
        traits,
        follow_h=follow_h,
        every_min=every_min,
        growth_set=growth_set,
    )[0]


def hold_several(
    mixtures: Sequence[Mixture],
    surroundings: Surroundings,
    start: datetime,
    hours: float,
    traits: Traits,
    *,
    follow_h: float | None = None,
    every_min: int = STEP_MIN,
    growth_set: str | None = None,
) -> list[Course]:
    """The courses of several mixtures of one culture, each as `hold` has it, all at once."""
    every = max(1, every_min // STEP_MIN)
    rows = max(1, -int(-hours * 60 // (every * STEP_MIN)))
    clock = np.arange(rows * every + 1) * STEP_MIN / 60
    around = straying(surroundings, start, clock, len(traits))
    shape = (len(traits), STATE_SIZE)
    states = np.concatenate([np.broadcast_to(each.states, shape) for each in mixtures])
    follow = [usual_follow(each).hours if follow_h is None else follow_h for each in mixtures]
    settings = settings_of_many(mixtures, traits, [each * traits.warming for each in follow])
    courses = run(states, settings, around, every, growth_set)
    off = _temperature_flags(surroundings.temperatures(start, clock), traits)
    columns = (np.split(each, len(mixtures)) for each in (courses, settings[:, P.VOLUME]))
    return [
        Course(start, clock[::every], of_states, volume, each, (*each.flags(), *off))
        for of_states, volume, each in zip(*columns, mixtures, strict=True)
    ]


def _temperature_flags(around: NDArray[np.float64], traits: Traits) -> Sequence[Flag]:
    low, high = TEMPERATURE_RANGE
    coldest, warmest = float(around.min()), float(around.max())
    worst = coldest if coldest < low else warmest
    bears = float(np.mean(traits.heat_bearing > 0.5)) >= BEARS_HEAT
    if WARM_FOR_YEAST_C < worst <= high and not bears:
        return (Flag(FlagCode.WARM_FOR_YEAST, worst, low=WARM_FOR_YEAST_C),)
    if low <= worst <= high:
        return ()
    return (Flag(FlagCode.TEMPERATURE, worst, low, high),)
