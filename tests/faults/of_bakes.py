"""Forms about a bake that is under way or over, as `writing` has those of all else."""

from __future__ import annotations

from copy import deepcopy
from datetime import datetime
from uuid import uuid4

from tests.faults.form import Form
from tests.faults.ids import Ids
from tests.faults.ids import holds as _holds
from tests.whole.hall import Hall

from pointage.daybook.entry import Entry, EntryKind


def rescued(hall: Hall) -> Form:
    ids = Ids.of(hall)
    hall.post("/bench/done", ids.of_step("mix") | {"entry": str(uuid4())})
    return Form("/bench/rescue", ids.of_step("bulk", way="tin"), _holds(ids.entry))


def undone(hall: Hall) -> Form:
    ids, seen = Ids.of(hall), str(uuid4())
    hall.post("/bench/noted", ids.of_step("bulk", kind="note", text="slack") | {"entry": seen})
    said = {"entry": ids.entry, "withdraws": seen}
    return Form("/bench/undo", said, lambda hall: not _holds(seen)(hall))


def came_out(hall: Hall) -> Form:
    ids = Ids.of(hall)
    said = {"entry": ids.entry, "sign-dense": "1", "crumb": "2"}
    return Form(f"/daybook/bake/{ids.bake}", said, _holds(ids.entry))


def varied(hall: Hall) -> Form:
    """A bake of a loaf of its own name that came out too early, and showed it."""
    name, key = f"Loaf {uuid4().hex[:8]}", str(uuid4())
    body = deepcopy(dict(hall.store.entries(hall.kitchen, {EntryKind.PLAN})[0].body))
    body["plan"]["formula"] = name
    hall.store.append(Entry(key, hall.kitchen, EntryKind.PLAN, hall.now, hall.now, "baker", body))
    plan = hall.desk.present().every_bake[key].plan
    steps = {each.key: each for each in plan.steps}
    said: tuple[tuple[EntryKind, datetime, dict[str, object]], ...] = (
        (EntryKind.DONE, steps["mix"].end, {"step": "mix"}),
        (EntryKind.BAKED, plan.ready, {"minutes": 20.0, "core_c": 88.0}),
        (EntryKind.TASTED, plan.ready, {"signs": ["gummy", "pale"]}),
    )
    for kind, at, each in said:
        entry = Entry(str(uuid4()), hall.kitchen, kind, at, hall.now, "baker", {"bake": key} | each)
        hall.store.append(entry)

    def made(hall: Hall) -> bool:
        return any(each.varies == name for each in hall.desk.present().formulas.values())

    fields = {"cause": "short bake"}
    return Form(f"/daybook/bake/{key}/variation", fields, made, adds={"formula": 1}, alike=True)
