"""What is being worked out, in words."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from pointage.desk.wording.arguments import dated
from pointage.language import mark, say
from pointage.timetable.plan import Plan

OF_NAMES = {
    "beliefs": mark("what the readings say of {name}"),
    "forecast accuracy": mark("how good the forecasts of {name} were"),
    "vigour": mark("the vigour of {name} over the months"),
    "heat": mark("how hot {name} bakes"),
    "course": mark("the course of {name}"),
    "raising": mark("how {name} comes on"),
    "plan": mark("a plan"),
    "week": mark("a week"),
    "moves": mark("what to do now"),
    "shared page": mark("the page of {name} for other kitchens"),
    "page of a culture": mark("the page that goes with a piece of {name}"),
    "page for raising": mark("the page for raising a culture"),
}


def work_words(kind: str, name: str, plan: Plan | None = None) -> str:
    """What a job is about, after "Calculating": "what the readings say of Plover".

    plan: of the bake, for a job that is named by the key of one. Empty for what needs no words.
    """
    if plan is not None:
        local = plan.ready.astimezone(ZoneInfo(plan.zone))
        return say("the forecast for {formula} of {at}", formula=plan.formula, at=dated(local))
    return say(OF_NAMES[kind], name=name) if kind in OF_NAMES else ""
