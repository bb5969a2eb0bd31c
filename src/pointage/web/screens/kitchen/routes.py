"""The kitchen: places, vessels with their tare, scales, oven and hours; each changed in place."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import cast
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from pointage.daybook.errors import StaleRevisionError
from pointage.desk.kitchen.file import Text
from pointage.errors import InputError
from pointage.kitchen.file.merge import RowChangedError
from pointage.kitchen.log.read import LogOptions
from pointage.language import mark, say
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Drawing
from pointage.web.screens.culture.page import RecordForm
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
    whole,
    writes,
)
from pointage.web.words.aside import kitchen_aside
from pointage.web.words.both import both

LINKS = {
    "/kitchen/file": mark("The whole file"),
    "/devices": mark("Other devices"),
}
SENT = ("row", "revision", "was")
"""Sent along with the fields of a table: its name, the revision in which it was seen, and that in
which it was there, where it is to be added again."""
MEANWHILE = mark(
    "This was changed elsewhere since you opened it. Yours is not saved yet: both are below."
)
UNREAD = mark("The kitchen’s file cannot be read as it is, so yours is not saved yet.")


def kitchen(visit: Visit) -> Response:
    """The kitchen by tables; its text, with the reason, where that cannot be read."""
    if kitchen_aside(visit.present):
        return file(visit)
    return visit.show(_page(visit))


def _changed(visit: Visit, what: str) -> Response:
    """A table more ("add"), as it was typed, or out; the form again when it cannot be used."""
    kind, name, after = _kind(visit), _row_name(visit), visit.revision()
    given = None if what == "remove" else words.form_of(kind).typed(visit.fields)
    desk, was = visit.desk.kitchen_file, whole(visit.fields.get("was", ""))
    try:
        if given is None:
            desk.remove(kind, name, after)
        else:
            words.form_of(kind).read(given)
            there = {} if what == "add" else words.row_called(desk.tables(kind), kind, name)
            said = words.as_kept(kind, given, there)
            if what == "add":
                desk.add(kind, said, after, None if was is None else (name, was))
            else:
                desk.put(kind, name, said, after)
    except RowChangedError as error:
        return _row_conflict(visit, error, given)
    except InputError as error:
        row = None if what == "add" else name
        if kitchen_aside(visit.present):
            return _unread(visit, kind, row, given, error)
        if given is None:
            return visit.show(replace(_page(visit), error=str(error)), 422)
        return visit.show(_page(visit, kind, row, given, error), 422)
    if what == "remove":
        return visit.go("/kitchen?" + urlencode({"gone": kind, "name": name, "was": after}))
    return visit.go("/kitchen")


def _row_conflict(visit: Visit, error: RowChangedError, given: dict[str, str] | None) -> Response:
    """What a table says now beside what was typed, or (None) beside what was to be taken out."""
    kind, name, now = error.kind, error.name, error.now
    inner = error.beside
    sides = both(
        words.lines(kind, now),
        words.lines(kind, error.was if given is None else given | inner),
        (say("As it is now"), say("As you saw it") if given is None else say("As you typed it")),
    )
    form = _once_more(visit, kind, name, given, add=now is None)
    if given is not None:
        form = replace(form, button=say("Add mine again") if now is None else say("Save mine"))
    if inner and now is None:
        sent = (("row", name), ("was", str(visit.revision())), *form.sent)
        form = replace(form, sent=sent)
    title = name or say(words.KINDS[kind][0])
    page = KitchenChangedPage(visit.frame("kitchen"), title, say(MEANWHILE), sides, form)
    return visit.show(page, 409)


def _once_more(
    visit: Visit, kind: str, name: str, given: dict[str, str] | None, *, add: bool
) -> RecordForm:
    """The form of a table as it was sent, for the text that stands now."""
    revision = visit.desk.kitchen_file.last.revision
    if given is None:
        return words.remove_form(kind, name, revision)
    if add:
        return words.add_form(kind, "", given, revision)
    return words.change_form(kind, name, given, revision)


def _unread(
    visit: Visit, kind: str, name: str | None, given: dict[str, str] | None, error: InputError
) -> Response:
    """The form with all that was typed, to be sent again once the kitchen's text is mended."""
    form = _once_more(visit, kind, name or "", given, add=name is None)
    form = replace(form, sent=tuple((k, v) for k, v in visit.fields.items() if k in SENT))
    title = name or say(words.KINDS[kind][0])
    text = f"{say(UNREAD)}\n{error}"
    return visit.show(KitchenChangedPage(visit.frame("kitchen"), title, text, (), form), 409)


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
        desk.put_text(text, after)
    except StaleRevisionError:
        last = desk.last
        page = _file_page(visit, text, last.revision, say(MEANWHILE))
        titles = (
            say("Revision {revision}, as it is now", revision=last.revision),
            say("As you typed it"),
        )
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
        now, titles = error.now or {}, (say("As it is now"), say("As the log has it"))
        mine = words.lines("place", look.in_place_of(now))
        sides = both(words.lines("place", now), mine, titles)
        page = _log_page(visit, place.name, last.revision)
        return visit.show(replace(page, error=say(MEANWHILE), both=sides), 409)
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
    if kind not in words.KINDS:
        raise InputError("table", repr(kind), say("one of the kitchen's file"))
    return kind


def _row_name(visit: Visit) -> str:
    """The name of the table as the form was given it; browsers send every new line as two signs."""
    return visit.fields.get("row", "").replace("\r\n", "\n")


def _page(
    visit: Visit,
    kind: str = "",
    name: str | None = None,
    given: dict[str, str] | None = None,
    error: InputError | None = None,
) -> KitchenPage:
    """The kitchen; where a form cannot be used, that form is open with what was typed in it."""
    last = visit.desk.kitchen_file.last
    sections = [words.section(each, last, visit.present) for each in words.KINDS]
    above = ""
    if error is not None:
        rows = [each.get("name", "") for each in last.tables(kind)]
        row = rows.index(name) if name in rows else len(rows)  # a new one comes last
        form = words.form_of(kind)
        found = form.of_table(error, () if kind == "kitchen" else (kind, row))
        fields, above = form.fields(given or {}, found)
        place = list(words.KINDS).index(kind)
        sections[place] = _marked(visit, sections[place], name, fields)
    links = tuple(Choice(path, say(text)) for path, text in LINKS.items())
    undo = _undo(visit, last) if error is None else None
    return KitchenPage(
        visit.frame("kitchen"), visit.kitchen.name, above, tuple(sections), links, undo
    )


def _undo(visit: Visit, last: Text) -> RecordForm | None:
    """What puts back the thing that the address says was just removed; None where it is there."""
    query = visit.request.query_params
    kind, name, was = query.get("gone", ""), query.get("name", ""), whole(query.get("was", ""))
    if was is None or was >= last.revision:
        return None
    try:
        before = words.row_called(visit.desk.kitchen_file.tables(kind, was), kind, name)
    except InputError:
        return None
    if not before or words.row_called(last.tables(kind), kind, name):
        return None
    return words.undo_form(kind, name, before, was, last.revision)


def _marked(visit: Visit, section: Section, name: str | None, fields: tuple[Field, ...]) -> Section:
    """The section with the form that was sent, open, with all that was sent along with it."""
    sent = tuple((key, visit.fields[key]) for key in SENT if key in visit.fields)
    if name is None:
        assert section.new is not None
        return replace(section, new=replace(section.new, fields=fields, opened=True, sent=sent))
    rows = [
        replace(row, form=replace(row.form, fields=fields, opened=True, sent=sent))
        if ("row", name) in row.form.sent
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
    Route("/kitchen/file", writes(put_file), methods=["POST"]),
    Route("/kitchen/log", reads(log), methods=["GET"]),
    Route("/kitchen/log", put_log, methods=["POST"]),
    *(
        Route(f"/kitchen/{{kind}}/{what}", writes(partial(_changed, what=what)), methods=["POST"])
        for what in ("add", "change", "remove")
    ),
]
