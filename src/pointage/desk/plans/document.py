"""Write a plan as a document, and read it, of this version or of an older one.

The document of version 2 is described in data/schemas/plan.json and docs/daybook.md.
Version 1 had no number: `version1` reads it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError

from pointage.desk.answers import Wished
from pointage.desk.plans import version1
from pointage.desk.plans.shapes import PlanShape
from pointage.desk.plans.wished import WishedShape
from pointage.errors import InputError
from pointage.language import say
from pointage.timetable.plan import Plan

FORMAT = "pointage-plan"
VERSION = 2


def write_plan(plan: Plan, wished: Wished) -> dict[str, Any]:
    """The document of a plan and of what it was made from, as plain JSON values."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "plan": PlanShape.model_validate(plan).model_dump(mode="json", exclude_defaults=True),
        "wished": WishedShape.model_validate(wished).model_dump(mode="json", exclude_defaults=True),
    }


def read_plan(body: Mapping[str, Any]) -> tuple[Plan, Wished]:
    """The plan of a document and what it was made from.

    Raises InputError, one line, for a document of a newer version and for one that is malformed.
    """
    version = body.get("version", 1)
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise InputError(
            "plan, version",
            repr(version),
            say("a whole number from 1 to {latest}", latest=VERSION),
        )
    if version > VERSION:
        raise InputError(
            "plan, version",
            version,
            say("one up to {latest}: a newer Pointage has written this plan", latest=VERSION),
        )
    if version > 1 and body.get("format") != FORMAT:
        raise InputError("plan, format", repr(body.get("format")), repr(FORMAT))
    try:
        found = _Body.model_validate(version1.upgraded(body) if version == 1 else _parts(body))
    except ValidationError as error:
        raise _line(error) from None
    plan: Plan = found.plan.made()
    _check(plan)
    wished: Wished = found.wished.made()
    return plan, wished


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    plan: PlanShape
    wished: WishedShape


def _parts(body: Mapping[str, Any]) -> dict[str, Any]:
    return {name: part for name, part in body.items() if name not in ("format", "version")}


def _check(plan: Plan) -> None:
    """Refuse a plan whose parts do not fit together, one line."""
    keys = [step.key for step in plan.steps]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice is not None:
        raise InputError("plan, steps", repr(twice), say("a key of its own for each step"))
    steps = plan.fed
    fed = len(steps)
    if plan.thread is not None and plan.steps and fed != len(plan.thread.feeds):
        feeds = len(plan.thread.feeds)
        # The first ones are another bake's, where both are woken together.
        if steps and (steps[0].number, steps[0].of) == (feeds - fed + 1, feeds):
            return
        raise InputError(
            "plan, thread, feeds", feeds, say("{fed}, one for each feed and build", fed=fed)
        )


def _line(error: ValidationError) -> InputError:
    first = error.errors()[0]
    places = [str(at + 1) if isinstance(at, int) else at for at in first["loc"]]
    value = first["input"]
    shown = say("this") if isinstance(value, BaseModel | Mapping | list | tuple) else repr(value)
    field = ", ".join(places)
    return InputError(field, shown[:60], say("another value ({why})", why=first["msg"].lower()))
