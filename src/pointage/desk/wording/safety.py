"""Cautions, of a plan and of a mixture that stands."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from pointage.desk.wording.remarks import remark_words
from pointage.timetable.plan import Plan, StepCourse


def cautions(plan: Plan) -> tuple[str, ...]:
    """What to take care of with a plan, a sentence each."""
    return tuple(remark_words(each, ZoneInfo(plan.zone)) for each in plan.cautions)


def caution(standing: StepCourse, zone: ZoneInfo) -> str:
    """That a mixture may rise over the brim of its vessel; "" where it will not."""
    return "" if standing.caution is None else remark_words(standing.caution, zone)
