"""Why a plan cannot be kept, in words."""

from __future__ import annotations

from pointage.timetable.plan import Plan, Status
from pointage.web.pages import ConflictNote


def conflict_notes(plan: Plan) -> tuple[ConflictNote, ...]:
    """The wishes that stand in the way; none when the plan can be kept."""
    if plan.status is not Status.IMPOSSIBLE:
        return ()
    return tuple(ConflictNote(c.name, c.sentence, c.relaxed) for c in plan.conflicts)
