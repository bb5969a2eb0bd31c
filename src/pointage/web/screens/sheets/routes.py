"""Sheets: the list, each sheet before it is printed, its file, and the calendar."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from io import BytesIO
from typing import Any

from PIL import Image
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import PIECES_MADE
from pointage.desk.answers import Bake, NotThere
from pointage.desk.cultures.given import read_room
from pointage.desk.cultures.share_culture import read_rights
from pointage.desk.sheets.calendar import kitchen_calendar
from pointage.desk.sheets.feed import FeedKeys
from pointage.desk.sheets.label import LabelPrinter, LabelWishes, read_best_before
from pointage.desk.sheets.linked_data import linked_data_text
from pointage.desk.sheets.sheets import Sheets
from pointage.desk.sheets.subject import SheetKind
from pointage.desk.sheets.travelling import giveable
from pointage.documents.blocks import Sheet
from pointage.documents.calendar import MEDIA_TYPE as CALENDAR
from pointage.documents.paper import Paper, read_paper
from pointage.documents.recipe import MEDIA_TYPE as LINKED_DATA
from pointage.errors import InputError
from pointage.formula.formula import Rights
from pointage.language import say
from pointage.web.door.guard import LOOPBACK, host_of
from pointage.web.door.reader import countries
from pointage.web.forms.form import with_unit
from pointage.web.screens.sheets.view import (
    BAKE,
    LETTER_COUNTRIES,
    NEW,
    form_of,
    preview_page,
    sheets_page,
)
from pointage.web.visit import Visit, reads, writes

KINDS = (
    SheetKind.BENCH, SheetKind.HANDOUT, SheetKind.LABEL, SheetKind.CULTURE, SheetKind.WEEK,
    SheetKind.TRAVEL, SheetKind.SHOPPING, BAKE, NEW,
)  # fmt: skip
UNNAMED = (SheetKind.WEEK, SheetKind.SHOPPING, NEW)
"""Kinds of which there is one."""
REFUSED = (SheetKind.BENCH, SheetKind.HANDOUT)
"""Kinds that ask for something which cannot always be printed."""
GAP = 12  # pixels between two pages of a preview
ALONE = {"Cache-Control": "no-store", "Content-Security-Policy": "default-src 'none'; sandbox"}


def sheets(visit: Visit) -> Response:
    """The list."""
    return _list(visit)


def _list(visit: Visit, trouble: str = "", status: int = 200) -> Response:
    keys = _keys(visit)
    key = "" if keys is None else keys.key(visit.present.record.id)
    page = sheets_page(
        visit.desk.formulas(),
        visit.desk.bakes(),
        visit.desk.lives(),
        visit.frame("sheets"),
        paper=_paper(visit, visit.request.query_params),
        clock=visit.clock,
        feed=f"{visit.request.base_url}calendar/{key}.ics" if key else "",
        offered=keys is not None,
        trouble=trouble,
    )
    return visit.show(page, status)


def preview(visit: Visit) -> Response:
    """A sheet before it is printed; what cannot be printed says why, under its field."""
    kind, name = _asked(visit)
    typed = _typed(visit, kind)
    title = _title(visit, kind, name)
    error: InputError | None = None
    try:
        printer = _printer(visit, typed)
        if kind == SheetKind.LABEL:  # which may be too small for its text, once it is set
            _made(visit, kind, name, typed)
        elif kind == SheetKind.TRAVEL:  # the engine works while the preview's picture is awaited
            _travelling(visit, name, typed)
        elif kind in REFUSED:
            _sheet(visit, printer, kind, name, typed)
    except InputError as wrong:
        error = wrong
    page = preview_page(kind, name, typed, visit.frame("sheets"), title=title, error=error)
    return visit.show(page, 422 if error else 200)


def pdf(visit: Visit) -> Response:
    """The file."""
    kind, name = _asked(visit)
    content = _made(visit, kind, name, _typed(visit, kind))
    plain = "-".join(filter(None, (_title(visit, kind, name), kind)))
    return _file(content, "application/pdf", f"{_plain(plain)}.pdf")


def picture(visit: Visit) -> Response:
    """Its pages, one below the other."""
    kind, name = _asked(visit)
    pages = [Image.open(BytesIO(each)) for each in _pictures(visit, kind, name)]
    height = sum(page.height for page in pages) + GAP * (len(pages) - 1)
    whole = Image.new("RGB", (max(page.width for page in pages), height), "#888")
    top = 0
    for page in pages:
        whole.paste(page, (0, top))
        top += page.height + GAP
    made = BytesIO()
    whole.save(made, "PNG")
    return Response(made.getvalue(), media_type="image/png", headers=ALONE)


def recipe(visit: Visit) -> Response:
    """A formula as linked data."""
    slug = visit.request.path_params["name"]
    text = linked_data_text(visit.present.formula(slug), visit.present.kitchen)
    return _file(text.encode(), LINKED_DATA, f"{_plain(slug)}.jsonld")


def calendar(visit: Visit) -> Response:
    """The calendar as a file."""
    text = kitchen_calendar(visit.present, visit.now)
    return _file(text.encode(), CALENDAR, f"{_plain(visit.kitchen.name)}.ics")


def feed(visit: Visit) -> Response:
    """The same for whoever subscribed; 404 without the key of now."""
    keys = _keys(visit)
    if keys is None or not keys.fits(visit.present.record.id, visit.request.path_params["key"]):
        raise HTTPException(404)
    text = kitchen_calendar(visit.present, visit.now)
    return Response(text.encode(), media_type=CALENDAR, headers={"Cache-Control": "no-store"})


def open_feed(visit: Visit) -> Response:
    """A new key; the one before it is void."""
    return _changed(visit, lambda keys, kitchen: keys.make(kitchen))


def close_feed(visit: Visit) -> Response:
    """No key opens it any more."""
    return _changed(visit, lambda keys, kitchen: keys.close(kitchen))


def _changed(visit: Visit, change: Callable[[FeedKeys, str], object]) -> Response:
    keys = _keys(visit)
    if keys is None:
        raise HTTPException(404)
    try:
        change(keys, visit.present.record.id)
    except InputError as error:
        return _list(visit, str(error), 503)
    return visit.go("/sheets#calendar")


def _keys(visit: Visit) -> FeedKeys | None:
    found: FeedKeys | None = visit.request.app.state.feed_keys
    return found


def _asked(visit: Visit) -> tuple[str, str]:
    kind = visit.request.path_params["kind"]
    name = visit.request.path_params.get("name", "")
    if kind not in KINDS or bool(name) == (kind in UNNAMED):
        raise HTTPException(404)
    return kind, name


def _typed(visit: Visit, kind: str) -> dict[str, str]:
    """The fields as they were sent, the usual where they were not."""
    form = form_of(kind)
    given = {
        name: text.strip() for name, text in visit.request.query_params.items() if name in form
    }
    paper = given.get("paper") or _paper(visit, {}).value
    usual = {"paper": paper, "labels": "1", "nutrition": "yes"}
    usual["style"] = "us" if paper == Paper.LETTER else "eu"
    return {name: text for name, text in usual.items() if name in form} | given


def _paper(visit: Visit, given: Mapping[str, str]) -> Paper:
    """The paper that was chosen, else the usual where the reader is."""
    if given.get("paper"):
        return read_paper(given["paper"])
    country = visit.country or countries().get(visit.clock.zone.key, "")
    return Paper.LETTER if country in LETTER_COUNTRIES else Paper.A4


def _title(visit: Visit, kind: str, name: str) -> str:
    if kind in UNNAMED:
        return ""
    if kind == BAKE:
        return _bake(visit, name).plan.formula
    if kind in (SheetKind.CULTURE, SheetKind.TRAVEL):
        return visit.present.life(name).name
    return visit.present.formula(name).name


def _bake(visit: Visit, key: str) -> Bake:
    for bake in visit.desk.bakes():
        if bake.key == key:
            return bake
    raise NotThere("bake", key)


def _printer(visit: Visit, typed: Mapping[str, str]) -> Sheets:
    """What prints all but labels. Raises InputError."""
    return Sheets(visit.present, visit.now, read_paper(typed["paper"]), _address(visit))


def _labels(visit: Visit, typed: Mapping[str, str]) -> LabelPrinter:
    """What prints labels. Raises InputError for what the form of a label cannot mean."""
    printed = typed.get("nutrition", "yes")
    if printed not in ("yes", "no"):
        raise InputError("nutrition", repr(printed), say("yes or no"))
    best = typed.get("best-before", "")
    wishes = LabelWishes(
        maker=typed.get("maker", ""),
        best_before=read_best_before(best) if best else "",
        storage=typed.get("storage") or None,
        labels=typed.get("labels", "1"),
        nutrition=typed.get("nutrition") != "no",
    )
    return LabelPrinter(visit.present.flours, read_paper(typed["paper"]), wishes)


def _address(visit: Visit) -> str:
    """Where a phone finds the pages; nothing where only this machine does."""
    found = host_of(visit.request.headers.get("host", ""))
    if found is None or found[0] in LOOPBACK:
        return ""
    return str(visit.request.base_url).rstrip("/")


def _made(visit: Visit, kind: str, name: str, typed: Mapping[str, str]) -> bytes:
    if kind == SheetKind.LABEL:
        return _labels(visit, typed).pdf(visit.present.formula(name), **_of_label(typed))
    printer = _printer(visit, typed)
    return printer.as_pdf(_sheet(visit, printer, kind, name, typed))


def _of_label(typed: Mapping[str, str]) -> dict[str, Any]:
    words = [word.strip() for word in typed.get("may-contain", "").split(",")]
    return {
        "style": typed["style"],
        "serving": typed.get("serving") or None,
        "loss": typed.get("loss") or None,
        "may_contain": tuple(word for word in words if word),
    }


def _pictures(visit: Visit, kind: str, name: str) -> list[bytes]:
    typed = _typed(visit, kind)
    if kind == SheetKind.LABEL:
        return _labels(visit, typed).pictures(visit.present.formula(name), **_of_label(typed))
    printer = _printer(visit, typed)
    return printer.as_pictures(_sheet(visit, printer, kind, name, typed))


def _sheet(visit: Visit, printer: Sheets, kind: str, name: str, typed: Mapping[str, str]) -> Sheet:
    def formula(make: Callable[[Any, int | None], Sheet]) -> Sheet:
        pieces = PIECES_MADE.count(typed["pieces"], "pieces") if typed.get("pieces") else None
        return make(visit.present.formula(name), pieces)

    makers: dict[str, Callable[[], Sheet]] = {
        SheetKind.BENCH: lambda: formula(printer.bench),
        SheetKind.HANDOUT: lambda: formula(printer.handout),
        SheetKind.CULTURE: lambda: printer.culture(visit.present.life(name).name),
        SheetKind.TRAVEL: lambda: printer.travel(*_travelling(visit, name, typed)),
        SheetKind.WEEK: printer.week,
        SheetKind.SHOPPING: printer.shopping,
        BAKE: lambda: printer.bake(_bake(visit, name)),
        NEW: printer.new_culture,
    }
    return makers[kind]()


def _travelling(
    visit: Visit, name: str, typed: Mapping[str, str]
) -> tuple[str, float | None, Rights]:
    """Which culture goes, to a room of how many °C, and whose its sheet is. Raises InputError."""
    room_c = read_room(with_unit(typed["at"])) if typed.get("at") else None
    whose = read_rights(*(typed.get(each, "") for each in ("author", "year", "licence")))
    return giveable(visit.present.life(name).name, visit.present, visit.now).name, room_c, whose


def _file(content: bytes, media_type: str, name: str) -> Response:
    headers = {**ALONE, "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=media_type, headers=headers)


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "sheet"


ROUTES = [
    Route("/sheets", reads(sheets)),
    Route("/sheets/calendar.ics", reads(calendar)),
    Route("/sheets/calendar/open", writes(open_feed), methods=["POST"]),
    Route("/sheets/calendar/close", writes(close_feed), methods=["POST"]),
    Route("/calendar/{key}.ics", reads(feed)),
    Route("/sheets/recipe/{name}.jsonld", reads(recipe)),
    *(
        route
        for at in ("/sheets/{kind}", "/sheets/{kind}/{name}")
        for route in (
            Route(f"{at}.pdf", reads(pdf)),
            Route(f"{at}.png", reads(picture)),
            Route(at, reads(preview)),
        )
    ),
]
