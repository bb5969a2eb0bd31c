"""When a mixture is ripe, in words: what lies ahead, and what has gone by."""

from __future__ import annotations

from pointage.language import say
from pointage.timetable.plan import StepCourse
from pointage.web.words.clock import Clock


def ripe_words(standing: StepCourse, clock: Clock) -> str:
    """ "ripe 20:50 to 23:10", by the medians; empty when it never is or no longer."""
    begins, ends = standing.ripe_from, standing.ripe_until
    if begins is None or (ends and ends.p50 < clock.now):
        return ""
    if ends is None:
        return say("ripe from {time}", time=clock.text(begins.p50))
    return say("ripe {span}", span=clock.span(begins.p50, ends.p50))


def past_words(standing: StepCourse, clock: Clock) -> str:
    """ "ripe until 23:10, 40 min ago"; empty while it is still ahead."""
    ends = standing.ripe_until
    if ends is None or ends.p50 >= clock.now:
        return ""
    time, ago = clock.text(ends.p50), clock.ahead(ends.p50)
    return say("was ripe until {time}, {ago}", time=time, ago=ago)
