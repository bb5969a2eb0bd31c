"""How full a vessel stands, now and at most, and how warm the core of what is in it still is."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from pointage.timetable.plan import CourseRow, Standing
from pointage.web.drawing.charts import rise_at
from pointage.web.words.clock import Clock
from pointage.web.words.words import percent, warmth

APART_K = 1.0
"""A core nearer to the mean than this is not worth a word."""


def level_words(standing: Standing, clock: Clock) -> str:
    """ "Tub 1: 41 % full, 78 % at most; core near 19 °C", or what of it is known."""
    parts = []
    now = rise_at(standing.rows, clock.now)
    if standing.full and now is not None:
        most = max(row.rise for row in standing.rows)
        parts.append(
            f"{percent(standing.full * now)} full, {percent(standing.full * most)} at most"
        )
    mean = _warm_at(standing.rows, clock.now)
    # Once the dough warms or cools steadily the core is where the mean was so long ago.
    core = _warm_at(standing.rows, clock.now - timedelta(hours=standing.core_lag_h))
    if abs(core - mean) >= APART_K:
        parts.append(f"core near {warmth(round(core))}")
    told = "; ".join(parts)
    if not standing.vessel:
        return told[:1].upper() + told[1:]
    return f"{standing.vessel}: {told}" if told else standing.vessel


def _warm_at(rows: Sequence[CourseRow], at: datetime) -> float:
    """°C of the row nearest to an instant, the first where it lies before all."""
    return min(rows, key=lambda row: abs(row.at - at)).temperature_c
