"""Growth against temperature, from a named parameter set, tabulated for the kernel.

The kernel reads tables rather than formulas, so that a set from another source needs no compiler.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pointage.data import load
from pointage.science.carbon_dioxide import saturation
from pointage.science.temperature_response import (
    cardinal,
    cold_stop,
    power_exponential,
    through_points,
)

GROWTH_SETS = ("growth-rules-1998", "growth-curves-1998", "growth-cardinal")
COLDEST_C = -5.0
WARMEST_C = 70.0
STEP_K = 0.1
REFERENCE_C = 25.0


def relative_rate(organism: str, celsius: float, growth_set: str = GROWTH_SETS[0]) -> float:
    """Growth rate over that at the optimum, by the named set, without our cold stop."""
    table: dict[str, Any] = load(f"parameters/{growth_set}.toml")
    if table["form"] == "cardinal":
        return cardinal(celsius, **table[organism])
    if table["form"] == "points":
        return through_points(celsius, table[organism]["points"])
    return power_exponential(celsius, **table[organism])


@cache
def tables(growth_set: str = GROWTH_SETS[0]) -> NDArray[np.float64]:
    """Rates over those at 25 °C, one row each for yeast, bacteria, early flora and the Q10 laws.

    Columns run from COLDEST_C to WARMEST_C in steps of STEP_K. Rows: 0 yeast, 1 bacteria,
    2 early flora, 3 weakening, 4 enzymes, 5 idling (loss of readiness, life and gas), 6 yeast of
    the heat-bearing kind; and row 7, the CO₂ that water holds, in mol/kg.
    """
    kinetics = load("parameters/kinetics.toml")
    dough = kinetics["dough"]
    grid = np.arange(COLDEST_C, WARMEST_C + STEP_K / 2, STEP_K)
    rows = []
    for organism in ("yeast", "bacteria"):
        cold = kinetics[organism]
        at_25 = relative_rate(organism, REFERENCE_C, growth_set)
        rows.append(
            [
                relative_rate(organism, t, growth_set)
                * cold_stop(t, cold["cold_half"], cold["cold_width"])
                / at_25
                for t in grid
            ]
        )
    # Early bacteria of the coliform kind: cardinal temperatures of E. coli, Rosso 1995.
    at_25 = cardinal(REFERENCE_C, 3.06, 41.1, 45.06)
    rows.append([cardinal(t, 3.06, 41.1, 45.06) / at_25 for t in grid])
    for q10 in (dough["weaken_q10"], dough["enzyme_q10"], dough["idle_q10"]):
        rows.append([q10 ** ((t - REFERENCE_C) / 10) for t in grid])
    cold = kinetics["yeast"]
    bearing = load("parameters/growth-heat-bearing.toml")["yeast"]
    at_25 = cardinal(REFERENCE_C, **bearing)
    rows.append(
        [
            cardinal(t, **bearing) * cold_stop(t, cold["cold_half"], cold["cold_width"]) / at_25
            for t in grid
        ]
    )
    rows.append([saturation(t) for t in grid])
    answer = np.array(rows, dtype=np.float64)
    answer.setflags(write=False)
    return answer
