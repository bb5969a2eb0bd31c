"""Published figures of growth against temperature, pH and time."""

from __future__ import annotations

from functools import partial

import numpy as np
from tests.outside.case import Case, Topic

from pointage.data import load
from pointage.mixture.response import GROWTH_SETS, relative_rate
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
LIMITS = {"bacteria": 41.0, "yeast": 36.0}
OPTIMA = {"bacteria": 32.5, "yeast": 27.5}


def ratio_to_20(organism: str, celsius: float) -> float:
    """Growth by the curves of 1998 over that at 20 °C."""
    return relative_rate(organism, celsius, CURVES) / relative_rate(organism, 20, CURVES)


def share_of_best(organism: str, celsius: float, growth_set: str) -> float:
    """Growth over the highest that the set gives at any temperature."""
    best = max(relative_rate(organism, t, growth_set) for t in np.arange(5, 42, 0.1))
    return relative_rate(organism, celsius, growth_set) / best


def integrated_over_closed_form() -> float:
    """The kernel's own equations, sleep and ceiling of readiness left out, over the closed form.

    24 h in steps of the kernel's length by the kernel's method.
    """
    rate, lag_work, start, most, step, hours = 0.42, 1.1, 1e5, 3e7, 0.25, 24.0

    def slope(q: float, n: float) -> tuple[float, float]:
        return rate * q, q / (1 + q) * rate * (1 - n / most) * n

    q, n = readiness(lag_work), start
    for _ in range(int(hours / step)):
        a = slope(q, n)
        b = slope(q + step / 2 * a[0], n + step / 2 * a[1])
        c = slope(q + step / 2 * b[0], n + step / 2 * b[1])
        d = slope(q + step * c[0], n + step * c[1])
        q += step / 6 * (a[0] + 2 * b[0] + 2 * c[0] + d[0])
        n += step / 6 * (a[1] + 2 * b[1] + 2 * c[1] + d[1])
    return n / baranyi_roberts(hours, start, rate, lag_work, most)


def _constant(organism: str, name: str) -> float:
    return float(load("parameters/kinetics.toml")[organism][name])


TOPICS = (
    Topic(
        "Growth against temperature, rules of thumb",
        "M. Gänzle, 1998, reply to a bakers' list of questions (seen): the temperatures of the "
        "highest rate, of half and of a quarter of it",
        "The text names whole degrees, and a curve of two constants is drawn through six points: "
        "0.08 of the highest rate.",
        tuple(
            Case(
                f"{organism} at {celsius:g} °C, share of the highest rate",
                share,
                partial(relative_rate, organism, celsius, RULES),
                0.08,
            )
            for organism, points in RULE_POINTS.items()
            for celsius, share in points.items()
        ),
    ),
    Topic(
        "Growth against temperature, table of 1998",
        "Gänzle, Ehmann & Hammes 1998, Appl Environ Microbiol 64:2616-2623; the table from memory, "
        "values from 16 °C on approximate",
        "Ratios to the rate at 20 °C; 15 % covers the rounding of two-digit rates.",
        tuple(
            Case(
                f"{organism} at {celsius:g} °C over 20 °C",
                rate / points[20],
                partial(ratio_to_20, organism, celsius),
                0.15,
                relative=True,
            )
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
    ),
    Topic(
        "pH and the bacteria",
        "Rules of 1998: best 5.0 to 5.5, growth stops at 3.8; 3.9 in the 1998 abstract; 4.0 in rye "
        "(Brandt 2004) (all seen)",
        "The sources disagree on the stop, so any of theirs will do.",
        (
            Case("pH at which growth stops", (3.8, 4.0), partial(_constant, "bacteria", "ph_stop")),
            Case("best pH", (5.0, 5.5), partial(_constant, "bacteria", "ph_best")),
        ),
    ),
    Topic(
        "Lag and growth",
        "Baranyi & Roberts 1994, Int J Food Microbiol 23:277-294, closed form",
        "Steps of a quarter of an hour, as the kernel takes, cost a part in ten thousand.",
        (
            Case(
                "count after 24 h, integrated over closed form",
                1.0,
                integrated_over_closed_form,
                1e-4,
            ),
        ),
    ),
)
