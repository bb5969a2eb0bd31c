"""How full a vessel stands, now and at most, and how far the core of what is in it is behind."""

from __future__ import annotations

from datetime import timedelta

from pointage.timetable.plan import Standing
from pointage.web.charts import rise_at
from pointage.web.present.clock import Clock
from pointage.web.present.words import length, percent

LAGS = timedelta(minutes=20)
"""A core nearer to the mean than this is not worth a word."""


def level_words(standing: Standing, clock: Clock) -> str:
    """ "Tub 1: 41 % full now, 78 % at most; its core about 1 h 10 behind", or nothing."""
    parts = []
    now = rise_at(standing.rows, clock.now)
    if standing.full and now is not None:
        most = max(row.rise for row in standing.rows)
        parts.append(
            f"{percent(standing.full * now)} full now, {percent(standing.full * most)} at most"
        )
    lag = timedelta(minutes=10 * round(6 * standing.core_lag_h))
    if lag >= LAGS:
        parts.append(f"its core about {length(lag)} behind")
    told = "; ".join(parts)
    if not standing.vessel:
        return told[:1].upper() + told[1:]
    return f"{standing.vessel}: {told}" if told else standing.vessel
