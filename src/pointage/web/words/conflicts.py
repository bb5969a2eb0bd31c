"""Why a plan cannot be kept, in words."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from pointage.desk.wording import conflict_name, conflict_words
from pointage.timetable.plan import Plan, Status
from pointage.web.frame import ConflictNote


def conflict_notes(plan: Plan) -> tuple[ConflictNote, ...]:
    """The wishes that stand in the way; none when the plan can be kept."""
    if plan.status is not Status.IMPOSSIBLE:
        return ()
    zone = ZoneInfo(plan.zone)
    return tuple(
        ConflictNote(conflict_name(each), *conflict_words(each, zone)) for each in plan.conflicts
    )
