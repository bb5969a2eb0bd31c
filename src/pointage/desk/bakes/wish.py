"""Plan a bake around the bakes in hand, and put it in the daybook."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store.store import Store
from pointage.desk.answers import Wished
from pointage.desk.bakes.plan import culture_for, plan_here
from pointage.desk.calculators.water_page import friction_of
from pointage.desk.now.present import Present
from pointage.desk.plans import write_plan
from pointage.desk.week.lean import lean_of
from pointage.formula.file.write import write_formula
from pointage.timetable.plan import Plan, Status

AUTHOR = "baker"
AS_USUAL: Mapping[str, str] = {}


def wish(
    store: Store,
    kitchen_id: str,
    present: Present,
    slug: str,
    since: datetime,
    *,
    entry: str,
    pieces: int,
    ready: datetime,
    now: datetime,
    culture: str = "",
    lean: Mapping[str, str] = AS_USUAL,
    reached: Callable[[float], None] = lambda share: None,
) -> Plan:
    """Plan a bake of the formula called `slug` (`plan_here`).

    A plan that keeps every wish is written down under `entry`, which then names the bake; the same
    entry sent twice is one bake. An impossible one is answered and not kept. reached: hears how
    much is done, last before it is written, and may raise to stop it. culture: which raises it; ""
    for the formula's own. lean: as of `Wish`.
    """
    for bake in present.in_hand(now):
        if bake.key == entry:
            return bake.plan
    formula, text = present.formula(slug), present.records[slug].text
    if culture and culture != formula.culture:
        formula = replace(formula, culture=culture)
        text = write_formula(formula)
    leans = lean_of(lean)
    plan = plan_here(present, formula, ready, now, pieces=pieces, lean=leans, reached=reached)
    reached(1.0)
    if plan.status is not Status.IMPOSSIBLE:
        wished = Wished(
            text,
            present.record.text,
            since,
            formula.piece_g,
            culture_for(formula, present.kitchen),
            friction_of(present, formula, pieces).kelvin,
            present.flours,
            lean,
        )
        body = write_plan(plan, wished)
        store.append(Entry(entry, kitchen_id, EntryKind.PLAN, now, now, AUTHOR, body))
    return plan
