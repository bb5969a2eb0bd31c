"""How full a vessel stands, now and at most, and how warm the core of what is in it still is."""

from __future__ import annotations

from pointage.language import say
from pointage.timetable.plan import StepCourse
from pointage.web.words.clock import Clock
from pointage.web.words.words import percent, warmth

APART_K = 1.0
"""A core nearer to the mean than this is not worth a word."""


def level_words(standing: StepCourse, clock: Clock) -> str:
    """ "Tub 1: 41 % full, 78 % at most; core near 19 °C", or what of it is known."""
    parts = []
    now = standing.rise_at(clock.now)
    if standing.full and now is not None:
        most = max(row.rise for row in standing.rows)
        full, at_most = percent(standing.full * now), percent(standing.full * most)
        parts.append(say("{full} full, {at_most} at most", full=full, at_most=at_most))
    mean = standing.mean_c_at(clock.now)
    core = standing.core_c_at(clock.now)
    if abs(core - mean) >= APART_K:
        parts.append(say("core near {warmth}", warmth=warmth(round(core))))
    facts = "; ".join(parts)
    if not standing.vessel:
        return facts[:1].upper() + facts[1:]
    return f"{standing.vessel}: {facts}" if facts else standing.vessel
