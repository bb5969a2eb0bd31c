"""Another time for a bake, or for one of its steps, tried out before it is taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from urllib.parse import urlencode

from markupsafe import Markup
from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.answers import Bake, NotThere
from pointage.desk.moves.causes import can_move
from pointage.desk.moves.move import Move
from pointage.desk.moves.step import held_step, movable_steps
from pointage.desk.wording import title
from pointage.errors import InputError
from pointage.language import mark, say
from pointage.quantities import parse_instant
from pointage.timetable.plan import Step
from pointage.web.forms.faults import under_field
from pointage.web.forms.form import Asked, Form
from pointage.web.screens.moves.page import ChangePage, StepLink
from pointage.web.screens.moves.view import moves_note
from pointage.web.screens.week.drawing import week_drawing
from pointage.web.screens.week.view import held_words, movable_names, shown_days
from pointage.web.visit import Visit, reads
from pointage.web.words.words import count

BY = ("-15", "15")
"""Minutes by which a button moves the time."""
READY = mark("Out of the oven")


def change(visit: Visit) -> Response:
    """The form, and what a time typed into it would move."""
    key = visit.request.path_params["bake"]
    bakes = visit.desk.bakes()
    bake = next((each for each in bakes if each.key == key), None)
    if bake is None:
        raise NotThere("bake", key)
    query = visit.request.query_params
    step = _step(bake, query.get("step", ""))
    local = visit.clock.local(bake.plan.ready if step is None else step.start)
    day = query.get("day", local.date().isoformat())[:20]
    time = query.get("clock", f"{local:%H:%M}")[:20]
    if (ready := _moved(visit, day, time)) is not None:
        day, time = ready.date().isoformat(), f"{ready:%H:%M}"
    page = replace(_page(visit, bake, step, (day, time)), drawing=_drawing(visit, bakes, bake))
    if not can_move(bake):
        return visit.show(replace(page, nothing=say("Its oven is lit: it goes on as it is.")))
    if "day" not in query:
        return visit.show(page)
    named = "" if step is None else step.key
    try:
        ready = _form(visit).read({"ready": f"{day}T{time}"})["ready"]
        found = visit.desk.moves.what_if(key, ready, visit.now, named)
    except InputError as error:
        wrong = replace(_page(visit, bake, step, (day, time), error), drawing=page.drawing)
        if visit.request.headers.get("HX-Request") == "true":  # the form stays as it is
            wrong = replace(wrong, nothing=under_field(error))
        return visit.show(wrong, 422, "answer")
    by_key = {each.key: each for each in bakes}
    at = ready.isoformat()
    sent = (("ready", at),) if step is None else (("step", step.key), ("at", at))
    note = moves_note(found, by_key, visit.clock, (("bake", key), *sent))
    page = replace(page, note=note, again=_address(key, named, day, time) if note.waits else "")
    least = found.offer.least if found.offer else None
    if least is not None:
        page = replace(
            page,
            drawing=_drawing(visit, bakes, bake, least),
            drawing_words=say(
                "The week as a drawing, before and after; what moves is listed above."
            ),
        )
    return visit.show(page, block="answer")


def _step(bake: Bake, key: str) -> Step | None:
    """The step that is asked for; None for the bread, and where it can no longer be moved."""
    return next((each for each in movable_steps(bake) if each.key == key), None)


def _moved(visit: Visit, day: str, time: str) -> datetime | None:
    """The time that was typed, so many minutes on as a button said, by the clock on the wall."""
    by = visit.request.query_params.get("by", "")
    if by not in BY:
        return None
    try:
        typed = parse_instant(f"{day}T{time}", visit.kitchen.zone, "ready")
    except InputError:
        return None
    return visit.clock.local(typed + timedelta(minutes=int(by)))


def _address(bake: str, step: str, day: str = "", time: str = "") -> str:
    asked = {"step": step, "day": day, "clock": time}
    query = urlencode({name: text for name, text in asked.items() if text})
    return f"/week/change/{bake}?{query}" if query else f"/week/change/{bake}"


def _drawing(visit: Visit, bakes: Sequence[Bake], bake: Bake, move: Move | None = None) -> Markup:
    plans = {each.bake.key: each.plan() for each in move.bakes} if move else {}
    after = [replace(each, plan=plans[each.key]) if each.key in plans else each for each in bakes]
    days = shown_days([*bakes, *after], visit.clock)
    before = {each.key: each.plan for each in bakes if each.key in plans}
    names = {bake.key: movable_names(bake)}
    return week_drawing(
        after, days, visit.kitchen, visit.clock, before, movable=names, by_hand=True
    )


def _page(
    visit: Visit,
    bake: Bake,
    step: Step | None,
    when: tuple[str, str],
    error: InputError | None = None,
) -> ChangePage:
    (ready,), _ = _form(visit).fields({}, error)
    clock, steps, held = visit.clock, movable_steps(bake), held_step(bake)
    bread = clock.dated(bake.plan.ready)
    links = [StepLink("", say(READY), bread, _address(bake.key, ""), not step)]
    links += [
        StepLink(
            each.key,
            title(each),
            clock.dated(each.start),
            _address(bake.key, each.key),
            each == step,
            each == held,
        )
        for each in steps
    ]
    return ChangePage(
        frame=visit.frame("week"),
        bake=bake.key,
        title=f"{bake.plan.formula}, {count(bake.plan.pieces, 'piece')}",
        now=clock.dated(bake.plan.ready if step is None else step.start),
        ready=ready if step is None else replace(ready, label=title(step)),
        day=when[0],
        clock=when[1],
        drawing_words=say("The week as a drawing; what moves is listed above."),
        step="" if step is None else step.key,
        steps=tuple(links) if steps else (),
        held=held_words(step, clock) if step is not None and step == held else "",
        bread=f"{clock.local(bake.plan.ready):%Y-%m-%dT%H:%M}",
    )


def _form(visit: Visit) -> Form:
    zone = visit.kitchen.zone

    def ready(text: str, field: str) -> datetime:
        instant = parse_instant(text, zone, field)
        if instant <= visit.now:
            raise InputError(field, visit.clock.text(instant), say("a time still to come"))
        return instant

    return Form((Asked("ready", READY, say("in {zone} time", zone=zone.key), ready),))


ROUTES = [Route("/week/change/{bake}", reads(change), methods=["GET"])]
