"""Published figures of growth against temperature, pH and time."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache, partial

import numpy as np
from tests.outside.case import HELD_BACK, Case, Departure, Topic

from pointage.mixture.hold import LN_2, hold, run, settings_for
from pointage.mixture.mixture import buffering, raw
from pointage.mixture.response import GROWTH_SETS, relative_rate
from pointage.mixture.state import P, S
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import median_traits
from pointage.science.acid_base import PKA_LACTIC, dissociated
from pointage.science.lag import baranyi_roberts, readiness
from pointage.science.ph_response import cardinal_ph
from pointage.science.temperature_response import cardinal

RULES, CURVES, CARDINAL = GROWTH_SETS

# °C to share of the highest rate.
RULE_POINTS: dict[str, dict[float, float]] = {
    "bacteria": {15: 0.25, 20: 0.5, 32.5: 1.0, 37: 0.5, 39: 0.25},
    "yeast": {14: 0.25, 20: 0.5, 28: 1.0, 32: 0.5, 34: 0.25},
}
# °C to rate per hour.
TABLE_POINTS: dict[str, dict[float, float]] = {
    "bacteria": {10: 0.063, 14: 0.114, 18: 0.187, 20: 0.239, 24: 0.37, 28: 0.53},
    "yeast": {12: 0.052, 14: 0.078, 18: 0.163, 20: 0.225, 24: 0.365, 28: 0.417},
}
START = datetime(2026, 1, 1, tzinfo=UTC)
PH_DOWN = [round(6.0 - 0.05 * i, 2) for i in range(50)]
LIMITS = {"bacteria": 41.0, "yeast": 36.0}
OPTIMA = {"bacteria": 32.5, "yeast": 27.5}
COLD_RULE = Departure(
    0.5, "a quarter of the best rate at 14 °C and half at 20 °C, say the rules: half, not a third"
)
TABLE_DEPARTURES: dict[tuple[str, float, str], Departure] = {
    ("yeast", 12, RULES): COLD_RULE,
    ("yeast", 14, RULES): COLD_RULE,
    ("bacteria", 28, RULES): Departure(
        0.2, "the rules have half of the best rate at 20 °C, the table four tenths"
    ),
}


def ratio_to_20(organism: str, celsius: float, growth_set: str) -> float:
    """Growth by a set over that at 20 °C."""
    return relative_rate(organism, celsius, growth_set) / relative_rate(organism, 20, growth_set)


def share_of_best(organism: str, celsius: float, growth_set: str) -> float:
    """Growth over the highest that the set gives at any temperature."""
    best = max(relative_rate(organism, t, growth_set) for t in np.arange(5, 42, 0.1))
    return relative_rate(organism, celsius, growth_set) / best


def kernel_over_closed_form(hours: float) -> float:
    """The yeast that the kernel has after `hours`, over the closed form.

    Of all that acts on yeast, lag and ceiling are left: sugar without end, no acid, no other cells,
    no ceiling of readiness and no loss of it. 25 °C throughout.
    """
    lag_work, start, most = 1.1, 1e4, 3e7
    dough = raw({"wheat-white": 100.0}, water=100.0, celsius=25.0)
    states, settings = dough.states.copy(), settings_for(dough, median_traits())
    states[0, [S.YEAST, S.BACTERIA, S.EARLY]] = start, 0.0, 0.0
    states[0, [S.YEAST_READY, S.SUGAR]] = readiness(lag_work), 1e3
    settings[0, [P.YEAST_MOST, P.READY_MOST]] = most, 1e12
    settings[0, [P.DROWSE_YEAST, P.DIE_YEAST]] = 0.0
    course = run(states, settings, np.full((1, round(4 * hours) + 1), 25.0), 1)
    rate = LN_2 / float(median_traits().yeast_doubling_h[0])
    return float(course[0, -1, S.YEAST]) / baranyi_roberts(hours, start, rate, lag_work, most)


@cache
def bacteria_grown(ph: float) -> float:
    """Times that a few wakeful bacteria have become as many, in an hour at 30 °C and this pH."""
    dough = raw({"wheat-white": 100.0}, water=100.0, celsius=30.0)
    dough.states[0, [S.YEAST, S.BACTERIA, S.EARLY]] = 0.0, 1e5, 0.0
    dough.states[0, S.BACTERIA_READY] = median_traits().wakefulness[0]
    given = buffering(dough) * (dough.states[0, S.PH] - ph)
    dough.states[0, S.LACTIC] = given / dissociated(ph, PKA_LACTIC)
    course = hold(dough, Constant(30.0), START, 1.0, median_traits())
    assert abs(course.ph - ph).max() < 1e-3
    return float(course.bacteria[0, -1] / course.bacteria[0, 0])


def lowest_ph() -> float:
    """The pH below which bacteria become no more, by twentieths going down from 5."""
    return next(ph for ph in PH_DOWN if bacteria_grown(round(ph - 0.05, 2)) <= 1.001)


def best_ph() -> float:
    return max(PH_DOWN, key=bacteria_grown)


TOPICS = (
    Topic(
        "Growth against temperature, rules of thumb",
        "M. Gänzle, 1998, reply to a bakers' list of questions (seen): the temperatures of the "
        "highest rate, of half and of a quarter of it",
        "The curve is drawn through these points: exact to rounding, so that only slips are "
        "caught.",
        tuple(
            Case(
                f"{organism} at {celsius:g} °C, share of the highest rate",
                share,
                partial(relative_rate, organism, celsius, RULES),
                1e-9,
            )
            for organism, points in RULE_POINTS.items()
            for celsius, share in points.items()
        ),
        sets="growth-rules-1998",
    ),
    Topic(
        "Growth against temperature, table of 1998",
        "Gänzle, Ehmann & Hammes 1998, Appl Environ Microbiol 64:2616-2623; the table from memory, "
        "values from 16 °C on approximate",
        "Ratios to the rate at 20 °C; 15 % covers the rounding of two-digit rates. The curves of "
        "1998 are fitted to this table. The rules, which the engine goes by, are not; they are of "
        "the same author and year and part from it in the cold.",
        tuple(
            Case(
                f"{organism} at {celsius:g} °C over 20 °C, {growth_set}",
                rate / points[20],
                partial(ratio_to_20, organism, celsius, growth_set),
                0.15,
                relative=True,
                sets=growth_set if growth_set == CURVES else HELD_BACK,
                departure=TABLE_DEPARTURES.get((organism, celsius, growth_set)),
            )
            for growth_set in (CURVES, RULES)
            for organism, points in TABLE_POINTS.items()
            for celsius, rate in points.items()
            if celsius != 20
        ),
    ),
    Topic(
        "Limits of growth",
        "Abstract of Appl Environ Microbiol 64:2616 (1998) and a later summary of it (seen): none "
        "above 41 °C (bacteria) and 36 °C (yeast)",
        "No growth is no growth: exact.",
        tuple(
            Case(
                f"{organism} at {limit:g} °C, {growth_set}",
                0.0,
                partial(relative_rate, organism, limit, growth_set),
                sets=growth_set,
            )
            for organism, limit in LIMITS.items()
            for growth_set in GROWTH_SETS
        ),
    ),
    Topic(
        "Optima of growth",
        "Yeast 27 °C in the 1998 abstract, 28 °C in the rules and in rye (Brandt, Hammes & Gänzle "
        "2004, Eur Food Res Technol 218:333-338); bacteria 32 to 33 °C (all seen)",
        "The tops of the curves are flat, so it is the rate at the middle of the published optima "
        "that is compared: within 0.04 of the highest.",
        tuple(
            Case(
                f"{organism} at {optimum:g} °C over the highest, {growth_set}",
                1.0,
                partial(share_of_best, organism, optimum, growth_set),
                0.04,
                sets=HELD_BACK if growth_set == CURVES else growth_set,
            )
            for organism, optimum in OPTIMA.items()
            for growth_set in GROWTH_SETS
        ),
    ),
    Topic(
        "Cardinal models",
        "Rosso, Lobry & Flandrois 1993, J Theor Biol 162:447-463, and Rosso 1995, Appl Environ "
        "Microbiol 61:610-616, with the cardinal points of *E. coli* of the latter",
        "The definition of the models: exact to rounding.",
        (
            Case(
                "temperature, at the optimum of 41.1 °C",
                1.0,
                partial(cardinal, 41.1, 3.06, 41.1, 45.06),
                1e-9,
            ),
            Case(
                "temperature, at the least of 3.06 °C",
                0.0,
                partial(cardinal, 3.06, 3.06, 41.1, 45.06),
            ),
            Case(
                "pH, at the optimum of 7.2", 1.0, partial(cardinal_ph, 7.2, 3.88, 7.2, 12.17), 1e-9
            ),
            Case("pH, at the least of 3.88", 0.0, partial(cardinal_ph, 3.88, 3.88, 7.2, 12.17)),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "pH and the bacteria",
        "Rules of 1998: best 5.0 to 5.5, growth stops at 3.8; 3.9 in the 1998 abstract; 4.0 in rye "
        "(Brandt 2004) (all seen)",
        "The sources disagree on the stop, so any of theirs will do. Ours is how many a few "
        "wakeful bacteria become in an hour at 30 °C in dough brought to each pH, in steps of "
        "0.05.",
        (
            Case("pH below which none grow", (3.8, 4.0), lowest_ph, sets="bacteria.ph_stop"),
            Case("best pH", (5.0, 5.5), best_ph, sets="bacteria.ph_best"),
        ),
    ),
    Topic(
        "Lag and growth",
        "Baranyi & Roberts 1994, Int J Food Microbiol 23:277-294, closed form",
        "The kernel's yeast, with nothing but lag and ceiling to hinder it, in its steps of a "
        "quarter of an hour. In the kernel crowding slows waking too, which the closed form leaves "
        "out: 2 in 1000 in all.",
        tuple(
            Case(
                f"yeast after {hours:g} h, kernel over closed form",
                1.0,
                partial(kernel_over_closed_form, hours),
                2e-3,
            )
            for hours in (2.0, 6.0, 12.0, 20.0, 36.0)
        ),
        sets=HELD_BACK,
    ),
)
