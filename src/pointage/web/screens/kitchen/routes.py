"""The kitchen: places, vessels with their tare, scales, oven and hours; each changed in place."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from pointage.daybook.errors import StaleRevisionError
from pointage.errors import InputError
from pointage.kitchen.file.edit import ROWS, SINGLE, keys, table
from pointage.kitchen.file.merge import RowChangedError
from pointage.kitchen.file.write_place import REPLACED, history_keys
from pointage.kitchen.log.read import LogOptions
from pointage.web.forms.faults import by_field
from pointage.web.forms.field import Choice
from pointage.web.frame import Drawing
from pointage.web.screens.culture.view import filled
from pointage.web.screens.kitchen import view as words
from pointage.web.screens.kitchen.page import (
    KitchenChangedPage,
    KitchenFilePage,
    KitchenPage,
    PlaceLogPage,
    Section,
)
from pointage.web.visit import (
    Visit,
    reads,
    tells,
    whole,
)
from pointage.web.words.aside import kitchen_aside
from pointage.web.words.both import both

LINKS = (
    Choice("/kitchen/file", "The whole file"),
    Choice("/daybook", "Daybook"),
    Choice("/larder", "Larder"),
)
LARGEST_TEXT = 200_000
LONGEST_VALUE = 500
MEANWHILE = (
    "This was changed in another place since you opened it. Nothing of yours was kept yet: "
    "below are both."
)


def kitchen(visit: Visit) -> Response:
    """The kitchen by tables; its text, with the reason, where that cannot be read."""
    if kitchen_aside(visit.present):
        return file(visit)
    return visit.show(_page(visit))


def add(visit: Visit) -> Response:
    """A table more, as it was typed; the form again when it cannot be used."""
    return _changed(visit, "add")


def change(visit: Visit) -> Response:
    """A table as it was typed; the form again when it cannot be used."""
    return _changed(visit, "change")


def _changed(visit: Visit, what: str) -> Response:
    if kitchen_aside(visit.present):
        return visit.go("/kitchen")
    kind, name, after = _kind(visit), _row_name(visit), visit.revision()
    told = {key.name: visit.fields.get(key.name, "").strip() for key in keys(kind)}
    desk = visit.desk.kitchen_file
    try:
        for key, text in told.items():
            if len(text) > LONGEST_VALUE:
                raise InputError(key, text[:20] + "…", f"at most {LONGEST_VALUE} characters")
        if what == "add":
            desk.add(kind, told, after)
        else:
            desk.put(kind, name, told, after)
    except RowChangedError as error:
        return _row_conflict(visit, error, told)
    except InputError as error:
        return visit.show(_page(visit, kind, None if what == "add" else name, told, error), 422)
    return visit.go("/kitchen")


def remove(visit: Visit) -> Response:
    if kitchen_aside(visit.present):
        return visit.go("/kitchen")
    kind, name, after = _kind(visit), _row_name(visit), visit.revision()
    try:
        visit.desk.kitchen_file.remove(kind, name, after)
    except RowChangedError as error:
        return _row_conflict(visit, error, None, after)
    except InputError as error:
        return visit.show(replace(_page(visit), error=str(error)), 422)
    return visit.go("/kitchen")


def _row_conflict(
    visit: Visit, error: RowChangedError, told: dict[str, str] | None, after: int = 0
) -> Response:
    """What a table says now beside what was typed, or (None) beside what was to be taken out."""
    desk = visit.desk.kitchen_file
    kind, name = error.kind, error.name
    last = desk.last
    now = table(last.text, kind, name)
    mine = table(desk.text_of(after), kind, name) if told is None else told
    sides = both(
        words.lines(kind, now),
        words.lines(kind, mine),
        ("As it stands now", "As you saw it" if told is None else "As you typed it"),
    )
    if told is None:
        form = words.remove_form(kind, name, last.revision)
    elif now is None:
        form = replace(words.add_form(kind, "", told, last.revision), button="Add mine again")
    else:
        form = replace(words.change_form(kind, name, told, last.revision), button="Keep mine")
    title = name or words.KINDS[kind][0]
    page = KitchenChangedPage(visit.frame("kitchen"), title, MEANWHILE, sides, form)
    return visit.show(page, 409)


def file(visit: Visit) -> Response:
    """The whole file, or an earlier text of it to take over."""
    desk = visit.desk.kitchen_file
    last = desk.last
    earlier = whole(visit.request.query_params.get("revision", ""))
    if earlier is not None:
        return visit.show(_file_page(visit, desk.text_of(earlier), last.revision))
    aside = kitchen_aside(visit.present)
    return visit.show(_file_page(visit, last.text, last.revision, aside))


def put_file(visit: Visit) -> Response:
    text, after = visit.fields.get("text", "").replace("\r\n", "\n"), visit.revision()
    desk = visit.desk.kitchen_file
    try:
        if len(text) > LARGEST_TEXT:
            raise InputError("text", f"{len(text)} characters", f"at most {LARGEST_TEXT}")
        desk.put_text(text, after)
    except StaleRevisionError:
        last = desk.last
        page = _file_page(visit, text, last.revision, MEANWHILE)
        titles = f"Revision {last.revision}, as it stands now", "As you typed it"
        sides = both(last.text.splitlines(), text.splitlines(), titles)
        return visit.show(replace(page, both=sides), 409)
    except InputError as error:
        return visit.show(_file_page(visit, text, after, str(error)), 422)
    return visit.go("/kitchen")


def log(visit: Visit) -> Response:
    place = visit.kitchen.place(_place_asked(visit))
    return visit.show(_log_page(visit, place.name, visit.present.revision))


def _place_asked(visit: Visit) -> str:
    return visit.request.query_params.get("place", "")


async def put_log(request: Request) -> Response:
    """Look at a log, or take it: all of it, or without its bad rows."""
    async with request.form(max_files=1, max_fields=10) as form:
        upload = form.get("log")
        data = await upload.read() if isinstance(upload, UploadFile) else b""
        fields = {key: value for key, value in form.items() if isinstance(value, str)}
    return await run_in_threadpool(lambda: _logged(Visit.of(request, fields), data))


def _logged(visit: Visit, data: bytes) -> Response:
    place, after = visit.kitchen.place(_place_asked(visit)), visit.revision()
    page = _log_page(visit, place.name, after)
    do = visit.fields.get("do", "look")
    desk = visit.desk.places
    try:
        options = LogOptions.said(
            None, visit.fields.get("unit"), visit.fields.get("dates"), skip_bad_rows=do == "skip"
        )
        if do == "look":
            look = desk.look(place.name, data, options)
        else:
            look = desk.take(place.name, data, after, options)
    except RowChangedError as error:
        look, last = desk.look(place.name, data, options), visit.desk.kitchen_file.last
        now, titles = error.now or {}, ("As it stands now", "As the log has it")
        kept = {key: value for key, value in now.items() if key not in REPLACED}
        mine = words.lines("place", kept | history_keys(look.history))
        sides = both(words.lines("place", now), mine, titles)
        page = _log_page(visit, place.name, last.revision)
        return visit.show(replace(page, error=MEANWHILE, both=sides), 409)
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


def _kind(visit: Visit) -> str:
    kind: str = visit.request.path_params["kind"]
    if kind not in (*ROWS, *SINGLE, "kitchen", "hours"):
        raise InputError("table", repr(kind), "one of the kitchen's file")
    return kind


def _row_name(visit: Visit) -> str:
    """The name of the table as the form was given it; browsers send every new line as two signs."""
    return visit.fields.get("row", "").replace("\r\n", "\n")


def _page(
    visit: Visit,
    kind: str = "",
    name: str | None = None,
    told: dict[str, str] | None = None,
    error: InputError | None = None,
) -> KitchenPage:
    """The kitchen; where a form cannot be used, that form is open with what was typed in it."""
    last = visit.desk.kitchen_file.last
    sections = [words.section(each, last) for each in words.KINDS]
    above = ""
    if error is not None:
        rows = [each.get("name", "") for each in last.tables(kind)]
        row = rows.index(name) if name in rows else len(rows)  # a new one comes last
        names = {key.name for key in keys(kind)}
        errors, above = by_field(error.at(lambda fault: _key(fault, kind, row)), names)
        place = list(words.KINDS).index(kind)
        sections[place] = _marked(visit, sections[place], name, told or {}, errors)
    return KitchenPage(visit.frame("kitchen"), visit.kitchen.name, above, tuple(sections), LINKS)


def _key(fault: InputError, kind: str, row: int) -> str:
    """The key of this very table that a fault of the file is about; else the field as it is."""
    path = fault.path
    if path == (kind, row):
        return "name"
    if kind != "kitchen":
        path = path[2:] if path[:2] == (kind, row) else path[1:] if path[:1] == (kind,) else ()
    return path[0] if path and isinstance(path[0], str) else fault.field


def _marked(
    visit: Visit, section: Section, name: str | None, told: dict[str, str], errors: dict[str, str]
) -> Section:
    """The section with the form that was sent, as of the revision that it was sent with."""
    revision = ("revision", str(visit.revision()))
    if name is None:
        assert section.new is not None
        return replace(section, new=replace(filled(section.new, told, errors), sent=(revision,)))
    sent = (("row", name), revision)
    rows = [
        replace(row, form=replace(filled(row.form, told, errors), sent=sent))
        if row.form.sent[0] == sent[0]
        else row
        for row in section.rows
    ]
    return replace(section, rows=tuple(rows))


def _file_page(visit: Visit, text: str, revision: int, error: str = "") -> KitchenFilePage:
    texts = tuple(
        Choice(
            f"/kitchen/file?revision={each.revision}",
            f"{each.revision}" + (f", {visit.clock.text(each.kept)}" if each.kept else ""),
        )
        for each in visit.desk.kitchen_file.texts()
    )
    return KitchenFilePage(visit.frame("kitchen"), text, str(revision), error, texts)


def _log_page(visit: Visit, place: str, revision: int) -> PlaceLogPage:
    path, chart = words.log_path(place), cast("Drawing | None", None)
    return PlaceLogPage(
        visit.frame("kitchen"), path, place, str(revision), "", (), (), chart, None, taken=False
    )


ROUTES = [
    Route("/kitchen", reads(kitchen), methods=["GET"]),
    Route("/kitchen/file", reads(file), methods=["GET"]),
    Route("/kitchen/file", tells(put_file), methods=["POST"]),
    Route("/kitchen/log", reads(log), methods=["GET"]),
    Route("/kitchen/log", put_log, methods=["POST"]),
    Route("/kitchen/{kind}/add", tells(add), methods=["POST"]),
    Route("/kitchen/{kind}/change", tells(change), methods=["POST"]),
    Route("/kitchen/{kind}/remove", tells(remove), methods=["POST"]),
]
