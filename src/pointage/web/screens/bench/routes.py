"""The Bench: read it, and record what was done and seen."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import WEIGHED_G
from pointage.daybook.readings import KINDS, ReadingKind
from pointage.daybook.typed import as_typed
from pointage.desk.kitchen.begin import is_unnamed
from pointage.errors import InputError
from pointage.formula.ladder import KEEPS, Keep
from pointage.language import say
from pointage.quantities import parse_mass
from pointage.web.forms.faults import ChangedMind, under_field
from pointage.web.forms.form import with_unit
from pointage.web.screens.bench.cultures import LOOKED, Needed
from pointage.web.screens.bench.needed import needed_of
from pointage.web.screens.bench.slip import Slip
from pointage.web.screens.bench.undo import take_back as take_back_entry
from pointage.web.screens.bench.whole import bench_of
from pointage.web.screens.moves.routes import block as moves_block
from pointage.web.screens.outcome.routes import bake_shown
from pointage.web.visit import (
    ENTRY_HEADER,
    Visit,
    reads,
    whole,
    writes,
)

BLOCK = "bench"
TYPED = ("display", "value", "text", "signs")
"""What is typed on the Bench, by its field."""


def bench(visit: Visit, slip: Slip | None = None) -> Response:
    if is_unnamed(visit.kitchen):
        return visit.go("/begin")
    page = bench_of(
        visit, visit.desk.bakes(), slip,
        needed=_needed(visit), out=visit.desk.past.to_ask(visit.now),
    )  # fmt: skip
    return visit.show(replace(page, moves=moves_block(visit, "/")), 422 if slip else 200, BLOCK)


def _needed(visit: Visit) -> tuple[Needed, ...]:
    """What the cultures need, with what is weighed; nothing where that cannot be worked out."""
    return visit.if_possible(
        lambda: tuple(needed_of(visit, each) for each in visit.present.needs(visit.now)), ()
    )


def culture_done(visit: Visit) -> Response:
    """What a culture needed was done: fed as the Bench said, or moved."""
    report = visit.of_culture(visit.present.life(visit.field("culture")).name, visit.happened())
    records = visit.desk.culture_records
    event = visit.fields.get("event")
    if event == LOOKED:
        records.seen(replace(report, sure=True), "not risen")
        return _recorded(visit)
    if event in ("retired", "dried"):
        records.becomes(report, event)
        return _recorded(visit)
    place = visit.kitchen.place(visit.field("place")).name
    if "seed_g" in visit.fields:
        flours = {
            name.partition(".")[2]: WEIGHED_G.read(text, "flour_g")
            for name, text in visit.fields.items()
            if name.startswith("flour.")
        }
        seed = WEIGHED_G.read(visit.field("seed_g"), "seed_g")
        grams = {**flours, "water": WEIGHED_G.read(visit.field("water_g"), "water_g")}
        into = visit.fields.get("into", "")
        records.fed(report, seed, grams, place, {"into": into} if into else {})
    else:
        records.moved(report, place)
    return _recorded(visit)


def done(visit: Visit) -> Response:
    visit.desk.mark_done(visit.report())
    return _recorded(visit)


def take_back(visit: Visit) -> Response:
    visit.desk.take_back(replace(visit.report(), done=visit.fields.get("done", "")))
    return _recorded(visit)


def undo(visit: Visit) -> Response:
    """What was recorded last does not hold."""
    take_back_entry(visit)
    return _recorded(visit)


def poured(visit: Visit) -> Response:
    """A pour as aimed for, or with another reading typed in."""
    try:
        visit.desk.record_pour(visit.report(), _pour(visit), _display(visit), _keep(visit))
    except InputError as error:
        return _refused(visit, "display", visit.fields.get("display", ""), error, _pour(visit))
    return _recorded(visit)


def reading(visit: Visit) -> Response:
    kind = _kind(visit)
    try:
        report, value, typed = visit.report(), None, None
        if (bound := KINDS[kind].bound) is not None:
            text = visit.field("value")
            said = with_unit(text) if bound.is_warmth else text
            value, typed = bound.read(said, "value"), as_typed(said, bound)
        visit.desk.record_reading(report, kind, value, typed)
    except InputError as error:
        return _refused(visit, kind, visit.fields.get("value", ""), error)
    return _recorded(visit)


def noted(visit: Visit) -> Response:
    """A smell, in a touch or in words, or a note on what stands."""
    smelled = visit.fields.get("kind") == "smelled"
    text = visit.fields.get("touch", "") if smelled else ""
    text = text or visit.fields.get("text", "").strip()
    try:
        if smelled:
            signs = [each.strip() for each in text.split(",")]
            visit.desk.records.smelled(visit.report(), signs)
        else:
            visit.desk.records.noted(visit.report(), text)
    except InputError as error:
        return _refused(visit, "smelled" if smelled else "note", text, error)
    return _recorded(visit)


def so(visit: Visit) -> Response:
    """What was read and does not fit was so."""
    report = visit.report()
    body = {"bake": report.bake, "step": report.step, "reading": visit.field("reading")}
    visit.desk.records.confirm(report.entry, report.happened, body)
    return _recorded(visit)


def rescued(visit: Visit) -> Response:
    """It goes on another way."""
    visit.desk.rescue.take(visit.report(), visit.field("way"))
    return _recorded(visit)


def _recorded(visit: Visit) -> Response:
    """The page again; its header names the entry, so that an outbox knows it has arrived."""
    partial = visit.request.headers.get("HX-Request") == "true"
    bake = visit.fields.get("page", "")
    if partial:  # what it looked at before is not what is there now
        response = _again(Visit.of(visit.request, visit.fields))
    else:
        response = visit.go(f"/daybook/bake/{bake}" if bake else "/")
    response.headers[ENTRY_HEADER] = visit.entry()
    return response


def _again(visit: Visit, slip: Slip | None = None) -> Response:
    """The page on which the form stands: the Bench, or that of one bake."""
    bake = visit.fields.get("page", "")
    return bake_shown(visit, bake, slip=slip) if bake else bench(visit, slip)


def _refused(visit: Visit, field: str, typed: str, error: InputError, pour: int = 0) -> Response:
    """The page with what was typed and why it cannot be used, in the panel that it was typed in.

    Raises the error where it is about nothing that was typed.
    """
    if error.path[0] not in TYPED and not isinstance(error, ChangedMind):
        raise error
    line = str(error) if isinstance(error, ChangedMind) else under_field(error)
    bake, step = visit.field("bake"), visit.field("step")
    return _again(visit, Slip(bake, step, field, typed, line, pour))


def _pour(visit: Visit) -> int:
    text = visit.field("pour")
    if (number := whole(text)) is None:
        raise InputError("pour", repr(text), say("the number of a pour"))
    return number


def _keep(visit: Visit) -> Keep | None:
    """What the correction keeps; nothing is said of a pour that came out as aimed for."""
    text = visit.fields.get("keep")
    if text is not None and text not in KEEPS:
        raise InputError("keep", repr(text), say("ratios or total"))
    return next((keep for keep in KEEPS if keep == text), None)


def _display(visit: Visit) -> Fraction:
    expected = say("the reading of the display, such as 1042")
    try:
        return parse_mass(visit.field("display"), "display")
    except InputError as error:
        raise InputError("display", error.value, expected) from None


def _kind(visit: Visit) -> ReadingKind:
    text = visit.field("kind")
    if text not in set(ReadingKind):
        known = ", ".join(ReadingKind)
        raise InputError("kind", repr(text), say("one of {known}", known=known))
    return ReadingKind(text)


ROUTES = [
    Route("/", reads(bench)),
    Route("/bench/culture", writes(culture_done), methods=["POST"]),
    Route("/bench/done", writes(done), methods=["POST"]),
    Route("/bench/take-back", writes(take_back), methods=["POST"]),
    Route("/bench/undo", writes(undo), methods=["POST"]),
    Route("/bench/poured", writes(poured), methods=["POST"]),
    Route("/bench/noted", writes(noted), methods=["POST"]),
    Route("/bench/so", writes(so), methods=["POST"]),
    Route("/bench/rescue", writes(rescued), methods=["POST"]),
    Route("/bench/reading", writes(reading), methods=["POST"]),
]
