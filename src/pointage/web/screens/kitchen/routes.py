"""The kitchen: places, vessels with their tare, scales, oven and hours; each changed in place."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from pointage.errors import InputError
from pointage.kitchen.file.edit import ROWS, SINGLE, keys
from pointage.kitchen.log.read import LogOptions
from pointage.web.frame import Drawing
from pointage.web.screens.culture.view import filled
from pointage.web.screens.kitchen import view as words
from pointage.web.screens.kitchen.page import KitchenFilePage, KitchenPage, PlaceLogPage, Section
from pointage.web.screens.week.page import Choice
from pointage.web.visit import (
    Visit,
    reads,
    tells,
    under_field,
    whole,
)
from pointage.web.words.aside import kitchen_aside

LINKS = (
    Choice("/kitchen/file", "The whole file"),
    Choice("/daybook", "Daybook"),
    Choice("/larder", "Larder"),
)
LARGEST_TEXT = 200_000


def kitchen(visit: Visit) -> Response:
    """The kitchen by tables; its text, with the reason, where that cannot be read."""
    if kitchen_aside(visit.present):
        return file(visit)
    return visit.show(_page(visit))


def put(visit: Visit) -> Response:
    """A table as it was typed; the form again when it will not do."""
    if kitchen_aside(visit.present):
        return visit.go("/kitchen")
    kind, number = _which(visit)
    told = {key.name: visit.fields.get(key.name, "").strip()[:500] for key in keys(kind)}
    try:
        visit.desk.kitchen_file.put(kind, number, told)
    except InputError as error:
        return visit.show(_page(visit, kind, number, told, error), 422)
    return visit.go("/kitchen")


def remove(visit: Visit) -> Response:
    if kitchen_aside(visit.present):
        return visit.go("/kitchen")
    kind, number = _which(visit)
    try:
        visit.desk.kitchen_file.remove(kind, number or 0)
    except InputError as error:
        return visit.show(replace(_page(visit), error=str(error)), 422)
    return visit.go("/kitchen")


def file(visit: Visit) -> Response:
    """The whole file, or an earlier text of it to take over."""
    desk = visit.desk.kitchen_file
    earlier = whole(visit.request.query_params.get("revision", ""))
    if earlier is not None:
        return visit.show(_file_page(visit, desk.text_of(earlier)))
    return visit.show(_file_page(visit, desk.text, kitchen_aside(visit.present)))


def put_file(visit: Visit) -> Response:
    text = visit.fields.get("text", "").replace("\r\n", "\n")
    try:
        if len(text) > LARGEST_TEXT:
            raise InputError("text", f"{len(text)} characters", f"at most {LARGEST_TEXT}")
        visit.desk.kitchen_file.put_text(text)
    except InputError as error:
        return visit.show(_file_page(visit, text, str(error)), 422)
    return visit.go("/kitchen")


def log(visit: Visit) -> Response:
    place = visit.kitchen.place(visit.request.path_params["place"])
    return visit.show(_log_page(visit, place.name))


async def put_log(request: Request) -> Response:
    """Look at a log, or take it: all of it, or without its bad rows."""
    async with request.form(max_files=1, max_fields=10) as form:
        upload = form.get("log")
        data = await upload.read() if isinstance(upload, UploadFile) else b""
        fields = {key: value for key, value in form.items() if isinstance(value, str)}
    return await run_in_threadpool(lambda: _logged(Visit.of(request, fields), data))


def _logged(visit: Visit, data: bytes) -> Response:
    place = visit.kitchen.place(visit.request.path_params["place"])
    page = _log_page(visit, place.name)
    do = visit.fields.get("do", "look")
    try:
        options = LogOptions.said(
            None, visit.fields.get("unit"), visit.fields.get("dates"), skip_bad_rows=do == "skip"
        )
        desk = visit.desk.places
        look = (desk.look if do == "look" else desk.take)(place.name, data, options)
    except InputError as error:
        return visit.show(replace(page, error=str(error)), 422)
    page = replace(
        page,
        facts=words.log_facts(look, visit.clock),
        troubles=(*look.troubles, *look.gaps, *look.notes),
        hours=words.log_hours(look),
        taken=do != "look",
    )
    return visit.show(page)


def _which(visit: Visit) -> tuple[str, int | None]:
    kind, number = (visit.request.path_params[key] for key in ("kind", "number"))
    if kind not in (*ROWS, *SINGLE, "kitchen", "hours"):
        raise InputError("table", repr(kind), "one of the kitchen's file")
    if number == "new":
        return kind, None
    if (which := whole(number)) is None:
        raise InputError("table", repr(number), "a number")
    return kind, which


def _page(
    visit: Visit,
    kind: str = "",
    number: int | None = None,
    told: dict[str, str] | None = None,
    error: InputError | None = None,
) -> KitchenPage:
    """The kitchen; where a form will not do, that form is open with what was typed in it."""
    desk = visit.desk.kitchen_file
    sections = [words.section(each, desk.tables(each)) for each in words.KINDS]
    above = ""
    if error is not None:
        field = error.field.split(",")[-1].strip()
        above = "" if field in {key.name for key in keys(kind)} else str(error)
        errors = {field: under_field(error)}
        place = list(words.KINDS).index(kind)
        sections[place] = _marked(sections[place], number, told or {}, errors)
    return KitchenPage(visit.frame("kitchen"), visit.kitchen.name, above, tuple(sections), LINKS)


def _marked(
    section: Section, number: int | None, told: dict[str, str], errors: dict[str, str]
) -> Section:
    if number is None:
        assert section.new is not None
        return replace(section, new=filled(section.new, told, errors))
    rows = [
        replace(row, form=filled(row.form, told, errors)) if place == number else row
        for place, row in enumerate(section.rows)
    ]
    return replace(section, rows=tuple(rows))


def _file_page(visit: Visit, text: str, error: str = "") -> KitchenFilePage:
    texts = tuple(
        Choice(
            f"/kitchen/file?revision={each.revision}",
            f"{each.revision}" + (f", {visit.clock.text(each.kept)}" if each.kept else ""),
        )
        for each in visit.desk.kitchen_file.texts()
    )
    return KitchenFilePage(visit.frame("kitchen"), text, error, texts)


def _log_page(visit: Visit, place: str) -> PlaceLogPage:
    path, chart = f"/kitchen/log/{place}", cast("Drawing | None", None)
    return PlaceLogPage(visit.frame("kitchen"), path, place, "", (), (), chart, None, taken=False)


ROUTES = [
    Route("/kitchen", reads(kitchen), methods=["GET"]),
    Route("/kitchen/file", reads(file), methods=["GET"]),
    Route("/kitchen/file", tells(put_file), methods=["POST"]),
    Route("/kitchen/log/{place}", reads(log), methods=["GET"]),
    Route("/kitchen/log/{place}", put_log, methods=["POST"]),
    Route("/kitchen/{kind}/{number}", tells(put), methods=["POST"]),
    Route("/kitchen/{kind}/{number}/remove", tells(remove), methods=["POST"]),
]
