"""The bakes in hand, replayed from the daybook in the order in which things happened."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import READ_FROM, readings_of
from pointage.daybook.store import Store
from pointage.desk.answers import Bake, NotThere, StepNews
from pointage.desk.wish import PLANS, WISHED
from pointage.errors import InputError
from pointage.formula.ladder import KEEPS, Keep, corrected
from pointage.timetable.plan import Ladder, Plan, Step

KEPT_AFTER = timedelta(hours=12)
"""How long a bake stays in hand once its last step is over, so that it can still be ticked off."""

NEWS = frozenset({EntryKind.DONE, EntryKind.WITHDRAWN}) | READ_FROM


def bakes(store: Store, kitchen_id: str, now: datetime) -> list[Bake]:
    """The bakes neither given up nor over, the soonest ready first."""
    known = every_bake(store, kitchen_id).values()
    in_hand = [bake for bake in known if _end(bake.plan) + KEPT_AFTER > now]
    return sorted(in_hand, key=lambda bake: bake.plan.ready)


def every_bake(store: Store, kitchen_id: str) -> dict[str, Bake]:
    """The bakes that were not given up, by key: news of one may come long after it is over."""
    return replayed(store.standing(kitchen_id))


def replayed(entries: Sequence[Entry]) -> dict[str, Bake]:
    """The bakes that these entries tell of, each as it stands after the last of them."""
    found = {entry.id: _planned(entry) for entry in entries if entry.kind is EntryKind.PLAN}
    for entry in entries:  # after all plans: another clock may be a little behind
        if entry.kind in NEWS:
            _tell(found, entry)
    return found


def step_of(bake: Bake, key: str) -> Step:
    """The step called `key`. Raises NotThere."""
    for step in bake.plan.steps:
        if step.key == key:
            return step
    raise NotThere("step", key)


def poured_so_far(
    step: Step, poured: tuple[float, ...], keep: Keep = "ratios"
) -> tuple[Ladder, str]:
    """The step's ladder corrected for what the display said, and what that makes of the batch.

    Raises InputError, field "display", for a reading not above the one before, and for one past the
    end of the batch when its total is to be kept.
    """
    if step.ladder is None:
        raise NotThere("ladder", step.key)
    ladder, factor, missed = step.ladder, 1.0, False
    short: tuple[tuple[str, float], ...] = ()
    for number, display in enumerate(poured):
        if abs(display - ladder.pours[number].display_g) < ladder.step_g / 2:
            continue
        missed = True
        found = corrected(ladder, number, display, keep)
        ladder, factor, short = found.ladder, factor * found.factor, (*short, *found.short)
    if missed and keep == "total":
        return ladder, "The batch weighs what was planned; its proportions are a little off."
    if factor == 1.0:
        return ladder, ""
    remark = f"Its proportions kept, the batch is now {factor * 100 - 100:+.1f} %."
    lacking = ", ".join(f"{name} {grams:.0f} g" for name, grams in short if grams >= ladder.step_g)
    return ladder, f"{remark} To keep its proportions add: {lacking}." if lacking else remark


def pours(
    step: Step, told: tuple[float, ...], pour: int, display_g: float, *, keep: Keep = "ratios"
) -> tuple[float, ...]:
    """The readings up to `pour`, at which the display said `display_g`.

    Earlier ones are as they were told, or else as the ladder has them. Raises as `poured_so_far`,
    and NotThere for a pour that the ladder has not.
    """
    before = told[:pour]
    ladder, _ = poured_so_far(step, before, keep)
    if not 0 <= pour < len(ladder.pours):
        raise NotThere("pour", str(pour))
    between = [each.display_g for each in ladder.pours[len(before) : pour]]
    poured = (*before, *between, display_g)
    poured_so_far(step, poured, keep)
    return poured


def kept(news: StepNews, said: object) -> Keep:
    """What a correction keeps: what was said of it, else what was said last."""
    return next((keep for keep in KEEPS if keep == said), news.keep)


_READ: dict[str, tuple[Mapping[str, Any], Bake]] = {}
MOST_READ = 2000


def _planned(entry: Entry) -> Bake:
    """The bake of a plan. A plan never changes once it is written, so it is read once."""
    known = _READ.get(entry.id)
    if known is not None and known[0] == entry.body:
        return known[1]
    if len(_READ) >= MOST_READ:
        _READ.clear()
    bake = _as_written(entry)
    _READ[entry.id] = (entry.body, bake)
    return bake


def _as_written(entry: Entry) -> Bake:
    plan = PLANS.validate_python(entry.body["plan"])
    return Bake(entry.id, plan, wished=WISHED.validate_python(entry.body["wished"]))


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
    if entry.kind is EntryKind.READING and "pour" in body:
        try:
            keep = kept(old, body.get("keep"))
            poured = pours(step, old.poured, body["pour"], body["display_g"], keep=keep)
        except (InputError, NotThere):
            return old  # it does not go with a pour that was told later
        ladder, remark = poured_so_far(step, poured, keep)
        return replace(old, poured=poured, ladder=ladder, keep=keep, remark=remark)
    return replace(old, readings=(*old.readings, *readings_of(entry)))


def _end(plan: Plan) -> datetime:
    return max((step.end for step in plan.steps), default=plan.ready)
