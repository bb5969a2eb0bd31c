"""How quick and how true is the kernel? `python -m benchmarks.kernel [MEMBERS]` prints one object.

Measured in one run: an ensemble of levains held for 48 h by the kernel on every core, and some of
the same members one by one by SciPy's LSODA, which calls the same compiled rates from Python. Both
give a row every quarter of an hour, and again the end only. LSODA has the loosest tolerance, in
decades, at which it too is within 1e-3 of the reference. Errors are the worst over members, times
and quantities, as a part of each quantity's highest value; the reference is LSODA at 1e-10.

Times are the best of several, by the wall clock, and by the processor's over all cores. On an idle
machine the first is the second divided by the cores; where others work too, only the second means
much, and `courses_per_second_by_cpu` is what it promises for these cores.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import odeint, solve_ivp

from pointage.culture.mature import feed, mature
from pointage.mixture.compiled import cores
from pointage.mixture.hold import STEP_MIN, run, settings_for
from pointage.mixture.kernel import rates_of_one
from pointage.mixture.response import tables
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Daily
from pointage.mixture.traits import draw_traits, median_traits

Floats = NDArray[np.float64]

HOURS = 48.0
DT = STEP_MIN / 60
CLOCK = np.arange(round(HOURS / DT) + 1, dtype=np.float64) * DT
ALONE = 20  # members that LSODA holds
GOOD = 1e-3
COLUMNS = [c for c in S if c not in (S.BUBBLES, S.AT_MIX)]  # what is integrated


def ensemble(members: int) -> tuple[Floats, Floats, Floats]:
    """States, settings and surroundings of a levain 1:5:5 in a kitchen between 18 and 26 °C."""
    culture = mature({"wheat-white": 1.0}, 1.0, median_traits())
    mixture = feed(culture, 20.0, {"wheat-white": 100.0}, 100.0, 25.0)
    place = Daily(22.0, 4.0, 15.0, UTC)
    around = place.temperatures(datetime(2026, 1, 1, tzinfo=UTC), CLOCK)[None, :]
    states = np.repeat(mixture.states[:1], members, axis=0)
    return states, settings_for(mixture, draw_traits(members, seed=1)), around


def lsoda(start: Floats, setting: Floats, around: Floats, rows: bool, **options: Any) -> Floats:
    """One member by LSODA: its rows, or its end only."""
    solved = solve_ivp(
        rates_of_one, (0.0, HOURS), start, method="LSODA", t_eval=CLOCK if rows else CLOCK[-1:],
        args=(setting, around[0], tables(), DT), **options,
    )  # fmt: skip
    return np.asarray(solved.y.T)


def tolerance(rtol: float, scale: Floats) -> dict[str, Any]:
    """Relative and absolute tolerance; `scale` is the highest value of each quantity."""
    return {"rtol": rtol, "atol": 1e-3 * rtol * scale + 1e-30}


def error(courses: Floats, reference: Floats) -> float:
    """The worst departure from the reference, as a part of each quantity's highest value."""
    highest = np.abs(reference).max(axis=1, keepdims=True)
    parts = np.abs(courses - reference) / np.where(highest > 0, highest, 1.0)
    return float(parts[:, :, COLUMNS].max())


def seconds(work: Callable[[], object], times: int) -> tuple[float, float]:
    """The best of `times`: by the wall clock and by the processor's, all threads together."""
    wall, cpu = [], []
    for _ in range(times):
        began, used = time.perf_counter(), time.process_time()
        work()
        wall.append(time.perf_counter() - began)
        cpu.append(time.process_time() - used)
    return min(wall), min(cpu)


def measure(members: int = 10_000) -> dict[str, Any]:
    """Rates, ratios and errors."""
    states, settings, around = ensemble(members)
    courses = run(states[:ALONE].copy(), settings[:ALONE], around, 1)  # LSODA starts from row 0
    starts = courses[:, 0]
    scale = np.abs(courses).max(axis=(0, 1))
    pairs = list(zip(starts, settings, strict=False))

    def one_by_one(rows: bool, **options: Any) -> Floats:
        return np.array([lsoda(s, p, around, rows, **options) for s, p in pairs])

    def by_odeint(rtol: float) -> Floats:
        rest = {"tfirst": True, **tolerance(rtol, scale)}
        return np.array(
            [
                odeint(rates_of_one, s, CLOCK, args=(p, around[0], tables(), DT), **rest)
                for s, p in pairs
            ]
        )

    def held(every: int) -> Floats:
        return run(states.copy(), settings, around, every)

    reference = one_by_one(True, max_step=DT, **tolerance(1e-10, scale))
    for rtol in (1e-3, 1e-4, 1e-5, 1e-6):
        theirs = error(one_by_one(True, **tolerance(rtol, scale)), reference)
        if theirs <= GOOD:
            break
    answer: dict[str, Any] = {
        "members": members,
        "hours": HOURS,
        "cores": cores(),
        "relative_error": error(courses, reference),
        "baseline": f"scipy.integrate.solve_ivp, LSODA, rtol {rtol:g}, a member at a time",
        "baseline_relative_error": theirs,
    }
    held(len(CLOCK) - 1)  # threads awake, code compiled
    for name, every in (("quarter_hours", 1), ("end_only", len(CLOCK) - 1)):
        wall, cpu = seconds(partial(held, every), 7)
        by_lsoda = partial(one_by_one, every == 1, **tolerance(rtol, scale))
        their_wall, their_cpu = seconds(by_lsoda, 3)
        answer[name] = {
            "courses_per_second": members / wall,
            "courses_per_second_by_cpu": members / cpu * cores(),
            "ratio": their_wall / ALONE / (wall / members),
            "ratio_by_cpu": their_cpu / ALONE / (cpu / members / cores()),
            "baseline_ms_a_member": 1e3 * their_wall / ALONE,
        }
    wall, _ = seconds(partial(by_odeint, rtol), 3)
    quarter = answer["quarter_hours"]
    answer["odeint_ms_a_member"] = 1e3 * wall / ALONE
    answer["ratio_to_odeint"] = wall / ALONE * quarter["courses_per_second"]
    return answer


if __name__ == "__main__":
    print(json.dumps(measure(*map(int, sys.argv[1:2])), indent=2))
