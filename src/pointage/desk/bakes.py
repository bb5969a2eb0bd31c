"""The bakes in hand, replayed from the daybook in the order in which things happened."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store import Store
from pointage.desk.answers import Bake, NotThere, Reading, ReadingKind, StepNews
from pointage.desk.wish import PLANS, WISHED
from pointage.errors import InputError
from pointage.formula.ladder import corrected
from pointage.timetable.plan import Ladder, Plan, Step

KEPT_AFTER = timedelta(hours=12)
"""How long a bake stays in hand once its last step is over, so that it can still be ticked off."""


def bakes(store: Store, kitchen_id: str, now: datetime) -> list[Bake]:
    """The bakes neither given up nor over, the soonest ready first."""
    found: dict[str, Bake] = {}
    for entry in store.entries(kitchen_id):
        if entry.kind is EntryKind.PLAN:
            plan = PLANS.validate_python(entry.body["plan"])
            wished = WISHED.validate_python(entry.body["wished"])
            found[entry.id] = Bake(entry.id, plan, wished=wished)
        else:
            _tell(found, entry)
    in_hand = [bake for bake in found.values() if _end(bake.plan) + KEPT_AFTER > now]
    return sorted(in_hand, key=lambda bake: bake.plan.ready)


def step_of(bake: Bake, key: str) -> Step:
    """The step called `key`. Raises NotThere."""
    for step in bake.plan.steps:
        if step.key == key:
            return step
    raise NotThere("step", key)


def poured_so_far(step: Step, poured: tuple[float, ...]) -> tuple[Ladder, str]:
    """The step's ladder corrected for what the display said, and what that makes of the batch.

    Raises InputError, field "display", for a reading not above the one before.
    """
    if step.ladder is None:
        raise NotThere("ladder", step.key)
    ladder, factor = step.ladder, 1.0
    short: tuple[tuple[str, float], ...] = ()
    for number, display in enumerate(poured):
        if abs(display - ladder.pours[number].display_g) < ladder.step_g / 2:
            continue
        found = corrected(ladder, number, display)
        ladder, factor, short = found.ladder, factor * found.factor, (*short, *found.short)
    if factor == 1.0:
        return ladder, ""
    remark = f"The batch is now {factor * 100 - 100:+.1f} %."
    lacking = ", ".join(f"{name} {grams:.0f} g" for name, grams in short if grams >= ladder.step_g)
    return ladder, f"{remark} To keep its proportions add: {lacking}." if lacking else remark


def _tell(found: dict[str, Bake], entry: Entry) -> None:
    """Bring an entry's news to its bake; news of a bake that is not there is left alone."""
    body = entry.body
    bake = found.get(str(body.get("bake")))
    if bake is None:
        return
    if entry.kind is EntryKind.WITHDRAWN and "step" not in body:
        del found[bake.key]
        return
    key = str(body.get("step"))
    step = next((each for each in bake.plan.steps if each.key == key), None)
    if step is None:
        return
    news = _news(bake.told(key), step, entry, body)
    found[bake.key] = replace(bake, news={**bake.news, key: news})


def _news(old: StepNews, step: Step, entry: Entry, body: Mapping[str, Any]) -> StepNews:
    if entry.kind is EntryKind.DONE:
        return replace(old, done=entry.happened)
    if entry.kind is EntryKind.WITHDRAWN:
        return replace(old, done=None)
    if "poured" in body:
        poured = tuple(float(display) for display in body["poured"])
        try:
            ladder, remark = poured_so_far(step, poured)
        except (InputError, IndexError):
            return old  # written by an older program that thought otherwise of it
        return replace(old, poured=poured, ladder=ladder, remark=remark)
    value = body.get("value")
    reading = Reading(
        ReadingKind(body["reading"]), None if value is None else float(value), entry.happened
    )
    return replace(old, readings=(*old.readings, reading))


def _end(plan: Plan) -> datetime:
    return max((step.end for step in plan.steps), default=plan.ready)
