"""What is being worked out, in words."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from pointage.desk.wording.arguments import dated
from pointage.timetable.plan import Plan

OF_NAMES = {
    "beliefs": "what the readings say of {}",
    "forecast accuracy": "how good the forecasts of {} were",
    "vigour": "the vigour of {} over the months",
    "heat": "how hot {} bakes",
    "course": "the course of {}",
    "raising": "how {} comes on",
    "plan": "a plan",
}


def work_words(kind: str, name: str, plan: Plan | None = None) -> str:
    """What a job is about, after "Calculating": "what the readings say of Plover".

    plan: of the bake, for a job that is named by the key of one. Empty for what needs no words.
    """
    if plan is not None:
        local = plan.ready.astimezone(ZoneInfo(plan.zone))
        return f"the forecast for {plan.formula} of {dated(local)}"
    return OF_NAMES[kind].format(name) if kind in OF_NAMES else ""
