"""Wish for bread: make a plan around the bakes in hand, and put it in the daybook."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store import Store
from pointage.desk.answers import Bake, Wished
from pointage.desk.plan import plan_bake
from pointage.desk.plans import write_plan
from pointage.formula.read import read_formula
from pointage.kitchen.kitchen import Kitchen
from pointage.mixture.learning import Posterior
from pointage.timetable.occupied import occupied_by
from pointage.timetable.plan import Plan, Status

AUTHOR = "baker"


def wish(
    store: Store,
    kitchen_id: str,
    kitchen: Kitchen,
    texts: Wished,
    in_hand: Sequence[Bake],
    *,
    entry: str,
    pieces: int,
    ready: datetime,
    now: datetime,
    believed: Posterior | None = None,
) -> Plan:
    """Plan a bake of the formula in `texts` so that it leaves to those in hand what they occupy.

    A plan that keeps every wish is written down under `entry`, which then names the bake; the same
    entry wished twice is one bake. An impossible one is answered and not kept.
    """
    for bake in in_hand:
        if bake.key == entry:
            return bake.plan
    plan = plan_bake(
        read_formula(texts.formula),
        kitchen,
        ready,
        now,
        pieces=pieces,
        occupied=tuple(each for bake in in_hand for each in occupied_by(bake.plan, kitchen)),
        believed=None if believed is None else believed.traits,
        warming={} if believed is None else believed.warming,
    )
    if plan.status is not Status.IMPOSSIBLE:
        body = write_plan(plan, texts)
        store.append(Entry(entry, kitchen_id, EntryKind.PLAN, now, now, AUTHOR, body))
    return plan
