"""The daybook: write down what was done and seen, look back, put right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response
from starlette.routing import Route

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import Line
from pointage.desk.answers import Bake, FormulaSummary, NotThere
from pointage.desk.records.fate import can_correct
from pointage.errors import Faults, InputError
from pointage.language import mark, say, say_many
from pointage.quantities import parse_instant
from pointage.web.forms.faults import by_field
from pointage.web.forms.field import Choice, Field
from pointage.web.photos import photographed
from pointage.web.screens.culture.view import when_field
from pointage.web.screens.daybook.page import DaybookPage, EntryPage
from pointage.web.screens.daybook.view import (
    LOGS,
    NO_REASONS,
    about_field,
    days_of,
    line_of,
    log_forms,
    sizes,
)
from pointage.web.screens.larder.view import lot_words
from pointage.web.visit import (
    ENTRY_HEADER,
    Visit,
    reads,
    whole,
    writes,
)
from pointage.web.words import asked
from pointage.web.words.aside import entries_aside
from pointage.web.words.entries import KIND_WORDS, kind_words

PAGE = 40
NONE_ASIDE: frozenset[str] = frozenset()


def daybook(visit: Visit) -> Response:
    return _shown(visit)


def recorded(visit: Visit) -> Response:
    """One of the log's forms, sent."""
    key = visit.request.path_params["key"]
    if key not in LOGS or LOGS[key].kind is EntryKind.PHOTO:
        raise NotThere("form", key)
    log = LOGS[key]
    try:
        faults = Faults()
        body = faults.take(asked.read, log.names, visit.fields)
        happened = faults.take(_happened, visit)
        faults.check()
        if touched := visit.fields.get("touch", ""):
            body["signs"] = [touched]
        body |= about(visit)
        visit.desk.records.record(visit.entry(), log.kind, happened, body, sure=visit.sure)
    except InputError as error:
        return _shown(visit, key, error)
    return visit.go("/" if visit.fields.get("back") == "bench" else "/daybook")


def photo(visit: Visit, content: bytes) -> Response:
    """A photograph, with its caption; to an outbox, which shows no page, a word that it is kept."""
    outbox = visit.request.headers.get("HX-Request") == "true"
    try:
        body = asked.read(("caption",), visit.fields) | about(visit)
        happened = visit.happened() if outbox else _happened(visit)
        body["sha256"] = visit.desk.records.keep_photo(content)
        visit.desk.records.record(visit.entry(), EntryKind.PHOTO, happened, body)
    except InputError as error:
        return _shown(visit, "photo", error)
    if outbox:
        return Response(headers={ENTRY_HEADER: visit.entry()})
    if bake := visit.fields.get("page"):
        return visit.go(f"/daybook/bake/{bake}")
    return visit.go("/" if visit.fields.get("back") == "bench" else "/daybook")


def entry(visit: Visit) -> Response:
    return _one(visit, _line(visit))


def corrected(visit: Visit) -> Response:
    """What a line should have said."""
    line = _line(visit)
    old = line.now or line.written
    try:
        faults = Faults()
        body = faults.take(asked.read_every, old.kind, old.body, visit.fields)
        happened = faults.take(_happened, visit)
        faults.check()
        visit.desk.records.correct(
            visit.entry(), line.written.id, body, why=_why(visit),
            happened=happened if visit.fields.get("happened", "").strip() else None,
            sure=visit.sure,
        )  # fmt: skip
    except InputError as error:
        return _one(visit, line, error)
    return visit.go(visit.request.url.path.removesuffix("/corrected"))


def withdrawn(visit: Visit) -> Response:
    """A line does not hold; or, withdrawn again, its withdrawal does not."""
    line, entry = _line(visit), visit.entry()
    wrong = line.written.id
    there = next((each for each in line.amendments if each.id == entry), None)
    if there is not None:  # sent again: it says what it said, whatever that has changed
        wrong = str(there.body["entry"])
    elif line.now is None:
        wrong = next(
            each.id for each in reversed(line.amendments) if each.kind is EntryKind.WITHDRAWN
        )
    visit.desk.records.withdraw(entry, wrong, _why(visit))
    return visit.go(visit.request.url.path.removesuffix("/withdrawn"))


def about(visit: Visit) -> dict[str, Any]:
    """The culture, or the bake and its step, that a form names."""
    word, _, name = visit.fields.get("about", "").partition("=")
    if word in ("culture", "bake") and name:
        return {word: name}
    named = {key: visit.fields.get(key, "").strip() for key in ("bake", "step")}
    return {key: text for key, text in named.items() if text}


def _shown(visit: Visit, wrong: str = "", error: InputError | None = None) -> Response:
    bakes = _bakes(visit)
    none: list[str] = []
    no_formulas: Sequence[FormulaSummary] = ()
    cultures = visit.if_possible(lambda: [life.name for life in visit.present.lives], none)
    reasons = visit.if_possible(lambda: visit.present.reasons, NO_REASONS)
    query = visit.request.query_params
    asked_for = query.get("log", "")
    back = "bench" if asked_for else visit.fields.get("back", "")
    key = visit.fields.get("bake", "") or (query.get("bake", "") if asked_for else "")
    chosen = f"bake={key}" if key else ""
    about = about_field(cultures, list(bakes.values()), visit.clock, chosen)
    known = {*(LOGS[wrong].names if wrong else ()), "happened", "about"}
    errors, above = by_field(error and error.at(_about), known)
    try:
        lines, filters = _found(visit, bakes, cultures)
    except InputError as refused:
        lines, filters = [], _filters(visit, bakes, cultures)
        wrong_days, _ = by_field(refused, ("from", "until"))
        filters = asked.with_errors(filters, {}, wrong_days)
        error, above = refused, str(refused)
    page, count = _page_number(visit), len(lines)
    here = lines[max(0, count - PAGE * page) : max(0, count - PAGE * (page - 1))][::-1]
    found = say_many("{n} entry", "{n} entries", count)
    if count > PAGE:
        pages = -(-count // PAGE)
        found = say("{lines}, page {page} of {pages}", lines=found, page=page, pages=pages)
    kept = visit.if_possible(visit.desk.formulas, no_formulas)
    shown = DaybookPage(
        frame=visit.frame("daybook"),
        forms=log_forms(about, wrong or asked_for, visit.fields, errors),
        back=back,
        error=above,
        sizes=sizes(),
        filters=filters,
        found=found,
        days=days_of(here, bakes, visit.clock, reasons, visit.desk.records.lost_photos(here)),
        newer=_turned(visit, page - 1) if page > 1 else "",
        older=_turned(visit, page + 1) if count > PAGE * page else "",
        histories=(
            *(Choice(f"/daybook/culture/{name}", name) for name in cultures),
            *(
                Choice(f"/daybook/formula/{each.slug}", each.name)
                for each in kept
                if each.name in {bake.plan.formula for bake in bakes.values()}
            ),
            *((Choice("/daybook/compare", say("What changed")),) if len(bakes) > 1 else ()),
        ),
    )
    return visit.show(shown, 200 if error is None else 422)


def _found(
    visit: Visit, bakes: Mapping[str, Bake], cultures: list[str]
) -> tuple[Sequence[Line], tuple[Field, ...]]:
    """The lines that the filters leave, the oldest first. Raises InputError."""
    query = visit.request.query_params
    faults = Faults()
    since, until = (faults.take(_day, visit, name) for name in ("from", "until"))
    faults.check()
    kinds = [kind for kind in EntryKind if kind.value == query.get("kind")] or None
    if until is not None:
        until += timedelta(days=1)
    lines = visit.desk.records.lines(since, until, kinds)
    if query.get("aside"):
        aside = visit.if_possible(lambda: entries_aside(visit.present), NONE_ASIDE)
        lines = [line for line in lines if line.now is not None and aside & _ids(line)]
    culture, bake = query.get("culture", ""), query.get("bake", "")
    if culture:
        lines = [line for line in lines if _concerns_culture(line, culture, bakes)]
    if bake:
        wanted = {key for key, each in bakes.items() if bake in (key, each.plan.formula)}
        lines = [
            line
            for line in lines
            if str((line.now or line.written).body.get("bake")) in wanted
            or line.written.id in wanted
        ]
    return lines, _filters(visit, bakes, cultures)


def _ids(line: Line) -> set[str]:
    return {line.written.id, *(each.id for each in line.amendments)}


def _concerns_culture(line: Line, culture: str, bakes: Mapping[str, Bake]) -> bool:
    body = (line.now or line.written).body
    parts = body.get("parts")
    names = [body.get("culture"), body.get("origin")]
    listed = parts if isinstance(parts, list) else ()
    names += [each.get("culture") for each in listed if isinstance(each, dict)]
    bake = bakes.get(str(body.get("bake")))
    step = str(body.get("step", ""))
    fed = bake is not None and bake.plan.culture == culture and step.startswith(("feed", "build"))
    return culture in names or fed


def _filters(visit: Visit, bakes: Mapping[str, Bake], cultures: list[str]) -> tuple[Field, ...]:
    query = visit.request.query_params
    formulas = sorted({bake.plan.formula for bake in bakes.values()})
    latest = sorted(bakes.values(), key=lambda bake: bake.plan.ready, reverse=True)[:PAGE]
    several = (
        *(Choice(name, say("every {name}", name=name)) for name in formulas),
        *(
            Choice(bake.key, f"{bake.plan.formula}, {visit.clock.text(bake.plan.ready)}")
            for bake in latest
        ),
    )
    every = Choice("", say("any"))
    kinds = tuple(Choice(kind.value, say(word)) for kind, word in KIND_WORDS.items())
    number = visit.if_possible(lambda: len(entries_aside(visit.present)), 0)
    aside = (every, Choice("1", say("only entries set aside ({number})", number=number)))
    asked = query.get("aside", "")
    return (
        Field(
            "culture", say("Culture"), query.get("culture", ""), "select",
            (every, *(Choice(name, name) for name in cultures)),
        ),
        Field("bake", say("Bake"), query.get("bake", ""), "select", (every, *several)),
        Field("kind", say("Kind"), query.get("kind", ""), "select", (every, *kinds)),
        Field("from", say("From"), query.get("from", ""), "date"),
        Field("until", say("Until"), query.get("until", ""), "date"),
        *((Field("aside", say("Set aside"), asked, "select", aside),) if number else ()),
    )  # fmt: skip


def _day(visit: Visit, name: str) -> datetime | None:
    text = visit.request.query_params.get(name, "").strip()
    if not text:
        return None
    try:
        return parse_instant(f"{text}T00:00", visit.clock.zone, name)
    except InputError:
        raise InputError(name, repr(text), say("a day such as 2026-12-05")) from None


def _page_number(visit: Visit) -> int:
    return max(1, whole(visit.request.query_params.get("page", "1")) or 1)


def _turned(visit: Visit, page: int) -> str:
    kept = {k: v for k, v in visit.request.query_params.items() if v and k != "page"}
    return "/daybook?" + urlencode(kept | {"page": str(page)}) + "#lines"


def _one(visit: Visit, line: Line, error: InputError | None = None) -> Response:
    bakes = _bakes(visit)
    reasons = visit.if_possible(lambda: visit.present.reasons, NO_REASONS)
    now = line.now or line.written
    fields: tuple[Field, ...] = ()
    if can_correct(line) and line.now is not None:
        local = visit.clock.local(now.happened)
        when = replace(when_field(mark("as it was")), value=f"{local:%Y-%m-%dT%H:%M}")
        fields = (*asked.every_field(now.kind, now.body, _lots(visit, now)), when)
    above = ""
    if error is not None:
        names = [each.name for each in fields]
        first = next((name for name in names if name.startswith("parts-")), "flour")
        flour = "flour" if "flour" in names else first
        error = error.at(lambda it: flour if it.path == ("flour_g",) else it.field)
        errors, above = by_field(error, names)
        fields = asked.with_errors(fields, visit.fields, errors)
    history = tuple(
        (
            visit.clock.moment(each.arrived),
            kind_words(each.kind) + (f": {each.body['why']}" if each.body.get("why") else ""),
        )
        for each in line.amendments
    )
    page = EntryPage(
        frame=visit.frame("daybook"),
        line=line_of(line, bakes, visit.clock, reasons, visit.desk.records.lost_photos([line])),
        history=history,
        path=f"/daybook/entry/{line.written.id}",
        fields=fields,
        why=visit.fields.get("why", ""),
        again=line.now is None,
        bakes=visit.desk.records.at_once(line.written.id),
        error=above,
    )
    return visit.show(page, 200 if error is None else 422)


def _lots(visit: Visit, entry: Entry) -> tuple[Choice, ...]:
    """The lots that an entry of the larder may be of, the newest first."""
    item = entry.body.get("item")
    none: tuple[Choice, ...] = ()
    if not isinstance(item, str):
        return none

    def choices() -> tuple[Choice, ...]:
        lots = visit.desk.larder.lots(item, visit.now)
        return tuple(Choice(lot.key, lot_words(lot, left, visit.clock)) for lot, left in lots)

    return visit.if_possible(choices, none)


def _line(visit: Visit) -> Line:
    return visit.desk.records.line(visit.request.path_params["entry"])


def _bakes(visit: Visit) -> dict[str, Bake]:
    """Every bake by key; those in hand with what does not fit marked."""

    def every() -> dict[str, Bake]:
        present = visit.present
        return {**present.every_bake, **{bake.key: bake for bake in present.in_hand(visit.now)}}

    return visit.if_possible(every, {})


def _about(fault: InputError) -> str:
    return "about" if fault.path in (("culture",), ("bake",)) else fault.field


def _why(visit: Visit) -> str:
    return visit.fields.get("why", "").strip()


def _happened(visit: Visit) -> datetime:
    text = visit.fields.get("happened", "").strip()
    return parse_instant(text, visit.clock.zone, "happened") if text else visit.now


ROUTES = [
    Route("/daybook", reads(daybook), methods=["GET"]),
    Route("/daybook/photo", photographed(photo), methods=["POST"]),
    Route("/daybook/told/{key}", writes(recorded), methods=["POST"]),
    Route("/daybook/entry/{entry}", reads(entry), methods=["GET"]),
    Route("/daybook/entry/{entry}/corrected", writes(corrected), methods=["POST"]),
    Route("/daybook/entry/{entry}/withdrawn", writes(withdrawn), methods=["POST"]),
]
