"""The forms that change a plan: how each is sent, and how it is seen that it took effect."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4, uuid5

from tests.faults.form import Form
from tests.timetable.hall import SATURDAY
from tests.whole.hall import Hall

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.desk.moves.step import held_step


def _offered(hall: Hall) -> tuple[str, dict[str, str]]:
    """A bake whose ready time is to be later, and what takes it."""
    for bake in hall.desk.bakes():  # nothing else is to be in hand
        hall.desk.give_up(str(uuid4()), bake.key, hall.now)
    file = hall.desk.kitchen_file  # other rounds may have left no kitchen to bake in
    file.put_text(f"# {uuid4()}\n{demonstration_text()}", file.last.revision)
    key, now = str(uuid4()), hall.now
    plans = hall.store.entries(hall.kitchen, {EntryKind.PLAN})
    body = min(plans, key=lambda each: each.number).body
    hall.store.append(Entry(key, hall.kitchen, EntryKind.PLAN, now, now, "baker", body))
    ready = hall.desk.present().every_bake[key].plan.ready + timedelta(hours=1)
    offer = hall.desk.moves.what_if(key, ready, hall.now).offer
    assert offer is not None
    assert offer.least is not None
    said = {"entry": str(uuid4()), "move": offer.least.token, "bake": key}
    return key, said | {"ready": ready.isoformat()}


def let_go(hall: Hall) -> Form:
    """A bake of which the mix is held at its time."""
    key, now = str(uuid4()), hall.now
    plans = hall.store.entries(hall.kitchen, {EntryKind.PLAN})
    body = min(plans, key=lambda each: each.number).body
    mix = next(step for step in body["plan"]["steps"] if step["key"] == "mix")
    held = {"kind": mix["kind"], "at": mix["start"]}
    body = {**body, "wished": {**body["wished"], "held": held}}
    hall.store.append(Entry(key, hall.kitchen, EntryKind.PLAN, now, now, "baker", body))
    return Form(
        "/week/moves/let-go",
        {"entry": str(uuid4()), "bake": key},
        lambda hall: held_step(hall.desk.present().every_bake[key]) is None,
    )


def week_taken(hall: Hall) -> Form:
    for bake in hall.desk.bakes():  # nothing else is to be in hand
        hall.desk.give_up(str(uuid4()), bake.key, hall.now)
    file = hall.desk.kitchen_file  # other rounds may have left no kitchen to bake in
    file.put_text(f"# {uuid4()}\n{demonstration_text()}", file.last.revision)
    day = SATURDAY + timedelta(days=7)
    wishes = [
        {"formula": slug, "pieces": "1", "ready": f"{day:%Y-%m-%d}T{clock}"}
        for slug, clock in (("harbour-loaf", "09:00"), ("tinned-rye", "15:00"))
    ]
    week, entry = str(uuid4()), str(uuid4())
    hall.desk.week.ask(week, wishes, {}, hall.now)
    name = uuid5(UUID(entry), "1")
    return Form(
        "/week/plan/take",
        {"entry": entry, "week": week},
        lambda hall: str(name) in hall.desk.present().every_bake,
        {"entry": 2},
    )


def _ready(hall: Hall, key: str) -> Any:
    return hall.desk.present().every_bake[key].plan.ready.isoformat()


def move(hall: Hall) -> Form:
    key, said = _offered(hall)
    return Form("/week/moves/take", said, lambda hall: _ready(hall, key) == said["ready"])


def move_undone(hall: Hall) -> Form:
    key, said = _offered(hall)
    before = _ready(hall, key)
    hall.post("/week/moves/take", said)
    assert _ready(hall, key) == said["ready"]
    fields = {"entry": str(uuid4()), "offer": said["entry"]}
    return Form("/week/moves/undo", fields, lambda hall: _ready(hall, key) == before)
