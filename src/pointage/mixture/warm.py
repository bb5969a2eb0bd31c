"""Compile the kernel once and keep it: `python -m pointage.mixture.warm`."""

from __future__ import annotations

from datetime import UTC, datetime

from pointage.mixture.compiled import is_compiled


def warm() -> None:
    """Run each form of the kernel once, so that the compiler works now rather than later."""
    from pointage.mixture.hold import FEW_STEPS, STEP_MIN, hold
    from pointage.mixture.mixture import raw
    from pointage.mixture.temperature.surroundings import Constant
    from pointage.mixture.traits import draw_traits

    dough = raw({"wheat-white": 100.0}, water=100.0)
    start = datetime(2026, 1, 1, tzinfo=UTC)
    for members in (1, FEW_STEPS * STEP_MIN // 60 + 1):
        hold(dough, Constant(25.0), start, 1.0, draw_traits(members, seed=1))


if __name__ == "__main__":
    if is_compiled():
        print("The fermentation kernel is compiled already.")
    else:
        print("Compiling the fermentation kernel, once, for about 20 seconds …", flush=True)
        warm()
        print("Done; later starts use the result.")
