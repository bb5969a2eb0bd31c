"""`hold`: let time pass over a mixture, and get its course."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
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
    made_of = [_of_mix(each) for each in mixtures]
    rows = _of_culture(_Same(traits)) * np.array([row for row, _ in made_of])[:, None]
    rows[..., _PACES] *= np.array([thin for _, thin in made_of])[:, None, None]
    rows[..., P.FOLLOW] = np.maximum(np.stack(follow_h), QUICKEST_FOLLOW_H)
    return np.asarray(rows.reshape(-1, SETTING_SIZE))


_PACES = [P.YEAST_RATE, P.BACTERIA_RATE]


class _Same:
    """Traits that are the very same, and so have the same settings: their arrays never change."""

    def __init__(self, traits: Traits) -> None:
        self.traits = traits

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.traits is self.traits

    def __hash__(self) -> int:
        return id(self.traits)


@lru_cache(maxsize=16)  # a plan asks again and again for a few
def _of_culture(same: _Same) -> NDArray[np.float64]:
    """The part of the settings that is the culture's, or of all mixtures, one row a member."""
    traits, kinetics = same.traits, load("parameters/kinetics.toml")
    yeast, bacteria, early = (kinetics[key] for key in ("yeast", "bacteria", "early"))
    rows = np.ones((len(traits), SETTING_SIZE))
    rows[:, P.YEAST_RATE] = LN_2 / traits.yeast_doubling_h
    rows[:, P.BACTERIA_RATE] = LN_2 / traits.bacteria_doubling_h
    rows[:, P.EARLY_RATE] = LN_2 / early["doubling_h"]
    rows[:, P.YEAST_MOST] = yeast["most"]
    rows[:, P.BACTERIA_MOST] = bacteria["most"]
    rows[:, P.EARLY_MOST] = early["most"]
    rows[:, P.YEAST_GAS] = yeast["gas_growing"] * traits.yeast_gas
    rows[:, P.YEAST_GAS_IDLE] = yeast["gas_idle"] * traits.yeast_gas
    rows[:, P.ACID] = bacteria["acid_growing"] * traits.acid
    rows[:, P.ACID_IDLE] = bacteria["acid_idle"] * traits.acid
    rows[:, P.READY_MOST] = traits.wakefulness
    rows[:, P.DROWSE_YEAST] = yeast["drowse"] * traits.drowsing
    rows[:, P.DROWSE_BACTERIA] = bacteria["drowse"] * traits.drowsing
    rows[:, P.DIE_YEAST] = yeast["die"] * traits.dying
    rows[:, P.BEARING] = traits.heat_bearing
    rows[:, P.HOLD] = traits.retention
    rows[:, P.WEAKEN] = traits.weakening
    return rows


def _of_mix(mixture: Mixture) -> tuple[list[float], float]:
    """By what each setting is multiplied in a mixture; and the pace that its water leaves to all
    cells, by which the paces are besides."""
    kinetics, kind = load("parameters/kinetics.toml"), mixture.record
    assert kind is not None, "a mixture that is held has flour"
    water, hydration = mixture.free_water, mixture.hydration
    brine = 100 * mixture.salt / mixture.mass / water
    spread = 0.9 if hydration < kind.best_hydration else 0.7
    stretch = exp(-(((hydration - kind.best_hydration) / spread) ** 2))
    thin = water_effect(hydration)
    row = [1.0] * SETTING_SIZE
    row[P.YEAST_RATE] = linear_stop(brine, kinetics["yeast"]["salt_stop"])
    row[P.BACTERIA_RATE] = linear_stop(brine, kinetics["bacteria"]["salt_stop"])
    row[P.EARLY_RATE] = row[P.YEAST_GAS_IDLE] = row[P.ACID_IDLE] = thin
    flour = mixture.flour / mixture.mass
    row[P.YEAST_MOST] = row[P.BACTERIA_MOST] = row[P.EARLY_MOST] = flour
    # How fast idle cells are lost.
    row[P.STARVE] = row[P.DIE_YEAST] = hydration ** kinetics["dough"]["starve_power"]
    row[P.ENZYMES] = kind.enzymes
    row[P.WATER] = water
    row[P.BUFFER] = buffering(mixture)
    row[P.VOLUME] = mixture.volume
    row[P.HOLD] = kind.retention * stretch
    return row, thin


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
