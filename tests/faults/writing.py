"""Every form that writes: how it is sent, and how it is seen that it took effect.

A route that writes and stands neither in CASES nor in WRITES_NOTHING fails a test.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from itertools import count
from typing import Any
from uuid import uuid4

from PIL import Image
from tests.faults.beside import BESIDE
from tests.faults.form import Form
from tests.faults.ids import Ids as Ids  # noqa: PLC0414
from tests.faults.ids import holds as _holds
from tests.faults.ids import news as _news
from tests.faults.of_bakes import came_out, rescued, undone, varied
from tests.faults.of_cultures import (
    backup,
    begin,
    changing,
    culture,
    culture_done,
    culture_so,
    culture_undo,
    tapped,
)
from tests.faults.of_ingredients import INGREDIENTS
from tests.faults.of_moves import let_go, move, move_undone, week_taken
from tests.timetable.hall import SATURDAY
from tests.web.formula_form import sent
from tests.whole.hall import Hall

from pointage.daybook.entry import EntryKind
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.kitchen.file.edit import table

WRITES_NOTHING = {
    *("/theme", "/units", "/jobs/cancel", "/jobs/start", "/begin"),
    "/week/plan",
    "/formulas/read",
    *BESIDE,
}
"""Cookies of the browser, and work that can be done again: nothing of them is in the store. A
kitchen that has a name is not begun again. Who may come in, and with which key, is kept beside the
store, and has faults of its own. A recipe is read, and kept by another form."""


Case = Callable[[Hall], Form]


def done(hall: Hall) -> Form:
    ids = Ids.of(hall)
    said = ids.of_step("mix")
    return Form("/bench/done", said, lambda hall: _news(hall, ids, "mix").done is not None)


def take_back(hall: Hall) -> Form:
    ids = Ids.of(hall)
    hall.post("/bench/done", ids.of_step("mix") | {"entry": str(uuid4())})
    assert _news(hall, ids, "mix").done is not None
    said = ids.of_step("mix")
    return Form("/bench/take-back", said, lambda hall: _news(hall, ids, "mix").done is None)


def poured(hall: Hall) -> Form:
    ids = Ids.of(hall)
    plan = hall.desk.present().every_bake[ids.bake].plan
    step = next(each for each in plan.steps if each.key == "mix")
    assert step.ladder is not None
    display = step.ladder.pours[0].display_g + 5
    said = ids.of_step("mix", pour="0", display=f"{display:g}")
    return Form("/bench/poured", said, lambda hall: _news(hall, ids, "mix").poured == (display,))


def reading(hall: Hall) -> Form:
    ids = Ids.of(hall)
    said = ids.of_step("bulk", kind="rise", value="1.3")
    return Form(
        "/bench/reading",
        said,
        lambda hall: [each.value for each in _news(hall, ids, "bulk").readings] == [1.3],
    )


def so(hall: Hall) -> Form:
    ids, seen = Ids.of(hall), str(uuid4())
    hall.post("/bench/reading", ids.of_step("bulk", kind="rise", value="1.3") | {"entry": seen})
    return Form("/bench/so", ids.of_step("bulk", reading=seen), _holds(ids.entry))


def noted(hall: Hall) -> Form:
    ids = Ids.of(hall)
    said = ids.of_step("bulk", kind="note", text="slack")
    return Form("/bench/noted", said, _holds(ids.entry))


def give_up(hall: Hall) -> Form:
    ids = Ids.of(hall)
    return Form(
        "/week/give-up",
        {"entry": ids.entry, "bake": ids.bake},
        lambda hall: hall.desk.present().replayed.bakes[ids.bake].bake.given_up,
    )


def wish(hall: Hall) -> Form:
    entry, day = str(uuid4()), SATURDAY + timedelta(days=7)
    for bake in hall.desk.bakes():  # nothing else is to be at the oven then
        hall.desk.give_up(str(uuid4()), bake.key, hall.now)
    file = hall.desk.kitchen_file  # other rounds may have left no kitchen to bake in
    file.put_text(f"# {entry}\n{demonstration_text()}", file.last.revision)
    fields = {"entry": entry, "formula": "harbour-loaf", "day": f"{day:%Y-%m-%d}"}
    fields |= {"pieces": "1"}  # other rounds may have left little of the culture
    fields |= {"clock": "09:00"}
    return Form("/week/wish", fields, lambda hall: entry in hall.desk.present().every_bake)


def kitchen_file(hall: Hall) -> Form:
    last = hall.desk.kitchen_file.last

    def of(text: str, **more: Any) -> Form:
        return Form(
            "/kitchen/file",
            {"text": text, "revision": str(last.revision)},
            lambda hall: hall.desk.kitchen_file.text == text,
            {"kitchen_text": 1},
            **more,
        )

    mine, theirs = (f"# {uuid4()}\n{last.text}" for _ in range(2))
    return of(mine, against=of(theirs))


_logs = count(uuid4().int % 375)


def kitchen_log(hall: Hall) -> Form:
    before = hall.desk.kitchen_file.last
    # Unlike the log before it by more than a history is rounded to: one that says the same changes
    # nothing, and makes no revision.
    number = next(_logs)
    warm, swing = 14 + number % 25 / 5, 2 + number // 25 % 15 / 5
    rows = [
        f"2026-11-{day:02}T{hour:02}:00;{warm + (hour > 9) * swing:.2f}"
        for day in range(1, 15)
        for hour in range(0, 24, 3)
    ]
    log = "\n".join(("time;temp (C)", *rows)).encode()
    return Form(
        "/kitchen/log?place=Hall",
        {"do": "take", "revision": str(before.revision)},
        lambda hall: _row(hall, "place", "Hall") != table(before.text, "place", "Hall"),
        {"kitchen_text": 1},
        {"log": ("hall.csv", log)},
        beside=_changed(hall, "vessel", "Tub 1", tare=f"{200 + uuid4().int % 99}g"),
        against=_changed(hall, "place", "Hall", spread=f"{1 + uuid4().int % 99 / 100}C"),
    )


def _row(hall: Hall, kind: str, name: str) -> Any:
    return table(hall.desk.kitchen_file.text, kind, name)


def _changed(hall: Hall, kind: str, name: str, **said: str) -> Form:
    """A row of the kitchen's file with something changed, as of what stands now."""
    last = hall.desk.kitchen_file.last
    was = next(each for each in last.tables(kind) if each["name"] == name)
    return Form(
        f"/kitchen/{kind}/change",
        {"row": name, "revision": str(last.revision), **was, **said},
        lambda hall: said.items() <= (_row(hall, kind, name) or {}).items(),
        {"kitchen_text": 1},
    )


def _added(hall: Hall, name: str, temperature: str, **more: Any) -> Form:
    """A place more, as of what stands now."""
    fields = {"name": name, "kind": "room", "temperature": temperature}
    return Form(
        "/kitchen/place/add",
        fields | {"revision": str(hall.desk.kitchen_file.last.revision)},
        lambda hall: _row(hall, "place", name) == fields,
        {"kitchen_text": 1},
        **more,
    )


def _porch(hall: Hall) -> str:
    """The name of a place that the kitchen has of now."""
    name = f"Porch {uuid4().hex[:8]}"
    form = _added(hall, name, "9C")
    hall.post(form.path, form.fields)
    return name


def kitchen_add(hall: Hall) -> Form:
    name, other = (f"Porch {uuid4().hex[:8]}" for _ in range(2))
    theirs = _added(hall, other, "8C"), _added(hall, name, "10C")
    return _added(hall, name, "9C", beside=theirs[0], against=theirs[1])


def kitchen_change(hall: Hall) -> Form:
    name = _porch(hall)
    return replace(
        _changed(hall, "place", name, temperature="11C"),
        beside=_changed(hall, "vessel", "Tub 1", tare=f"{200 + uuid4().int % 99}g"),
        against=_changed(hall, "place", name, temperature="12C"),
    )


def kitchen_remove(hall: Hall) -> Form:
    name, other = _porch(hall), _porch(hall)
    fields = {"row": name, "revision": str(hall.desk.kitchen_file.last.revision)}
    return Form(
        "/kitchen/place/remove",
        fields,
        lambda hall: _row(hall, "place", name) is None and _row(hall, "place", "Hall") is not None,
        {"kitchen_text": 1},
        beside=Form(
            "/kitchen/place/remove",
            fields | {"row": other},
            lambda hall: _row(hall, "place", other) is None,
        ),
        against=_changed(hall, "place", name, temperature="12C"),
    )


def _brought(hall: Hall, name: str, grams: str, **more: Any) -> Form:
    """A culture that is brought along, to the kitchen as it stands now."""
    places = [each.name for each in hall.desk.kitchen().places]
    fields = {
        "name": name, "flour": "rye-whole", "hydration": "100", "grams": grams,
        "fed": "2026-11-20T20:00", "old": "20", "new": "40", "spot": places[0], "hours": "4",
        "place": places[-1], "revision": str(hall.desk.kitchen_file.last.revision),
    }  # fmt: skip

    def there(hall: Hall) -> bool:
        row = _row(hall, "culture", name)
        return row is not None and row["mass"] == f"{grams}g"

    return Form("/begin/culture", fields, there, {"kitchen_text": 1}, **more)


def bring(hall: Hall) -> Form:
    name, other = (f"Petrel {uuid4().hex[:8]}" for _ in range(2))
    theirs = _brought(hall, other, "70"), _brought(hall, name, "90")
    return _brought(hall, name, "80", beside=theirs[0], against=theirs[1])


def _picture(dots: bytes) -> bytes:
    """A photograph of one row of dots: what is beside the dots is not kept."""
    found = BytesIO()
    Image.frombytes("L", (len(dots), 1), dots).save(found, "PNG")
    return found.getvalue()


def photo(hall: Hall) -> Form:
    entry = str(uuid4())
    return Form(
        "/daybook/photo",
        {"entry": entry},
        _holds(entry),
        files={"photo": ("x.png", _picture(uuid4().bytes))},
        adds={"entry": 1, "photo": 1},
    )


def told(hall: Hall) -> Form:
    entry = str(uuid4())
    return Form("/daybook/told/note", {"entry": entry, "text": "A gale."}, _holds(entry))


def _written(hall: Hall) -> str:
    entry = str(uuid4())
    body = {"text": "A gale."}
    hall.desk.records.record(entry, EntryKind.NOTE, hall.now, body)
    return entry


def corrected(hall: Hall) -> Form:
    wrong, text = _written(hall), f"A calm, {uuid4()}."

    def says(hall: Hall) -> bool:
        now = hall.desk.records.line(wrong).now
        return now is not None and now.body["text"] == text

    fields = {"entry": str(uuid4()), "text": text}
    return Form(f"/daybook/entry/{wrong}/corrected", fields, says)


def withdrawn(hall: Hall) -> Form:
    wrong = _written(hall)
    return Form(
        f"/daybook/entry/{wrong}/withdrawn",
        {"entry": str(uuid4())},
        lambda hall: hall.desk.records.line(wrong).now is None,
    )


def _formula(hall: Hall, name: str) -> str:
    text = hall.desk.book.revision("harbour-loaf").text
    return re.sub(r'(?m)^name = ".*"', f'name = "{name}"', text, count=1)


def formula_import(hall: Hall) -> Form:
    name = f"Quay loaf {uuid4().hex[:8]}"
    own = _formula(hall, name)
    slug = read_formula(own, "file").slug

    def of(text: str, **more: Any) -> Form:
        return Form(
            "/formulas/import",
            {"text": text},
            lambda hall: hall.desk.book.revision(slug).text == text,
            {"formula": 1},
            again=frozenset({422}),  # it is there: whether to keep it again is asked
            **more,
        )

    return of(own, against=of(f"# Theirs.\n{own}"), refused=422)


def formula_new(hall: Hall) -> Form:
    name = f"Pier loaf {uuid4().hex[:8]}"
    slug = name.lower().replace(" ", "-")
    blank = sent(hall.get("/formulas/new").text)

    def of(about: str, **more: Any) -> Form:
        return Form(
            "/formulas/new",
            blank | {"name": name, "about": about, "do": "keep"},
            lambda hall: slug in (there := hall.desk.book.latest()) and about in there[slug].text,
            {"formula": 1},
            again=frozenset({422}),  # another formula has that name
            **more,
        )

    return of("Of mine.", against=of("Of theirs."), refused=422)


def formula_edit(hall: Hall) -> Form:
    path = "/formulas/harbour-loaf/edit"
    shown = sent(hall.get(path).text)

    def of(name: str, **more: Any) -> Form:
        return Form(
            path,
            shown | {"name": name, "do": "keep"},
            lambda hall: f'"{name}"' in write_formula(hall.desk.book.formula("harbour-loaf")),
            {"formula": 1},
            **more,
        )

    mine, theirs = (f"Harbour loaf {uuid4().hex[:8]}" for _ in range(2))
    return of(mine, against=of(theirs))


def formula_put_away(hall: Hall) -> Form:
    name = f"Mole loaf {uuid4().hex[:8]}"
    hall.post("/formulas/import", {"text": _formula(hall, name)})
    slug = name.lower().replace(" ", "-")
    shown = sent(hall.get(f"/formulas/{slug}/edit").text)
    about = f"Of theirs, {uuid4()}."
    theirs = Form(
        f"/formulas/{slug}/edit",
        shown | {"about": about, "do": "keep"},
        lambda hall: about in hall.desk.book.revision(slug).text,
        {"formula": 1},
    )
    return Form(
        f"/formulas/{slug}/put-away",
        {"after": "1", "do": "away"},
        lambda hall: hall.desk.book.formula(slug).put_away,
        {"formula": 1},
        against=theirs,
    )


def _larder(form: str, **fields: str) -> Case:
    def case(hall: Hall) -> Form:
        entry = str(uuid4())
        said = {"entry": entry, "item": "rye-whole", "mass": "5kg", **fields}
        return Form(f"/larder/{form}", said, _holds(entry))

    return case


def larder_back(hall: Hall) -> Form:
    wrong = str(uuid4())
    hall.post("/larder/count", {"entry": wrong, "item": "salt", "mass": "1kg"})
    return Form(
        "/larder/take-back",
        {"entry": str(uuid4()), "wrong": wrong},
        lambda hall: hall.desk.records.line(wrong).now is None,
    )


def probe(hall: Hall) -> Form:
    made = hall.desk.sensors.add(f"Tubs {uuid4().hex[:8]}", "temperature", "Hall")
    at = (hall.now - timedelta(hours=2)).isoformat()  # past, by a clock an hour back too

    def measured(hall: Hall) -> bool:
        since, until = hall.now - timedelta(days=1), hall.now + timedelta(days=1)
        rows = hall.store.samples(made.sensor, since, until, 9999).rows
        return [row.mean for row in rows] == [21.5]

    return Form(
        "/probe",
        {"at": at, "temperature": "21.5"},
        measured,
        {"sample": 1},
        headers={"Authorization": f"Bearer {made.token}"},
    )


CASES: dict[str, Case] = {
    "/bench/done": done,
    "/bench/so": so,
    "/bench/take-back": take_back,
    "/bench/poured": poured,
    "/bench/noted": noted,
    "/bench/rescue": rescued,
    "/bench/undo": undone,
    "/daybook/bake/{key}/variation": varied,
    "/bench/reading": reading,
    "/week/give-up": give_up,
    "/week/moves/let-go": let_go,
    "/week/moves/take": move,
    "/week/moves/undo": move_undone,
    "/week/plan/take": week_taken,
    "/week/wish": wish,
    "/kitchen/file": kitchen_file,
    "/kitchen/log": kitchen_log,
    "/kitchen/{kind}/add": kitchen_add,
    "/kitchen/{kind}/change": kitchen_change,
    "/kitchen/{kind}/remove": kitchen_remove,
    "/cultures/raise": begin,
    "/begin/culture": bring,
    "/cultures/{name}/{action}": culture,
    "/cultures/{name}/so": culture_so,
    "/cultures/{name}/raising": tapped,
    "/bench/culture": culture_done,
    "/cultures/{name}/undo": culture_undo,
    "/cultures/{name}/backup": backup,
    "/cultures/{name}/changing": changing,
    "/daybook/photo": photo,
    "/daybook/told/{key}": told,
    "/daybook/bake/{key}": came_out,
    "/daybook/entry/{entry}/corrected": corrected,
    "/daybook/entry/{entry}/withdrawn": withdrawn,
    "/formulas/new": formula_new,
    "/formulas/{slug}/edit": formula_edit,
    "/formulas/import": formula_import,
    "/formulas/{slug}/put-away": formula_put_away,
    "/larder/buy": _larder("buy", per="all", price="9", packs="1"),
    "/larder/count": _larder("count"),
    "/larder/use": _larder("use"),
    "/larder/take-back": larder_back,
    **INGREDIENTS,
    "/probe": probe,
}
