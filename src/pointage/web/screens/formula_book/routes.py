"""The formula book: revisions, files in and out, two side by side, and what if."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from pointage.daybook.entry import FormulaRecord
from pointage.daybook.errors import StaleRevisionError
from pointage.desk.formulas.book import can_be_read, formula_of
from pointage.desk.formulas.draft import LONGEST, unpacked
from pointage.desk.formulas.read import read_text_of_recipe
from pointage.desk.formulas.what_if import what_if
from pointage.errors import Complaint, InputError, cannot_be_used
from pointage.formula.formula import Formula
from pointage.language import say, say_many
from pointage.web.forms.form import LONGEST_FIELD
from pointage.web.screens.formula_book.page import ImportPage
from pointage.web.screens.formula_book.view import (
    hanging,
    revisions_page,
    side_by_side_page,
    what_if_page,
    wish_forms,
)
from pointage.web.screens.formula_read.view import read_page
from pointage.web.visit import (
    Visit,
    reads,
    whole,
    writes,
)
from pointage.web.words.aside import formulas_aside
from pointage.web.words.both import both
from pointage.web.words.sense import sense_of


def revisions(visit: Visit) -> Response:
    slug = visit.request.path_params["slug"]
    page = revisions_page(visit.desk.book.revisions(slug), visit.clock, visit.frame("formulas"))
    unread: tuple[str, ...] = ()
    hangs = visit.if_possible(lambda: hanging(*visit.desk.book.hangs_on(slug)), unread)
    return visit.show(replace(page, hangs=hangs))


def file(visit: Visit) -> Response:
    """The text of a revision, with the ingredients of one's own that it has."""
    record = visit.desk.book.revision(visit.request.path_params["slug"], _asked_revision(visit))
    name = f'attachment; filename="{record.slug}.toml"'
    headers = {"Content-Disposition": name, "Cache-Control": "no-store"}
    text = visit.desk.book.file(record)
    return Response(text, media_type="application/toml", headers=headers)


def compare(visit: Visit) -> Response:
    """Two of the book, each "slug@revision", or the last revision where that is left out."""
    book, query = visit.desk.book, visit.request.query_params
    asked = [query.get(name, "").strip()[:LONGEST_FIELD] for name in "ab"]
    choices, errors, chosen = _choices(visit), {}, []
    for name, text in zip("ab", asked, strict=True):
        slug, _, number = text.partition("@")
        last = book.latest().get(slug)
        whole = f"{slug}@{number or (last.revision if last else '')}"
        if any(whole == known for known, _ in choices):
            chosen.append(whole)
        elif slug:
            errors[name] = cannot_be_used(repr(text), say("a formula with its revision"))
    found = None
    if len(chosen) == len(asked):
        before, after = (_formula(visit, text) for text in chosen)
        found = book.compare(before, after)
        asked = chosen
    page = side_by_side_page((asked[0], asked[1]), errors, choices, found, visit.frame("formulas"))
    return visit.show(page, 422 if errors else 200)


def _choices(visit: Visit) -> list[tuple[str, str]]:
    """Every revision of every formula, the last of each first."""
    book = visit.desk.book
    return [
        (
            f"{slug}@{each.revision}",
            say("{name}, revision {revision}", name=formula_of(each).name, revision=each.revision),
        )
        for slug in book.latest()
        for each in reversed(book.revisions(slug))
        if can_be_read(each)
    ]


def _formula(visit: Visit, text: str) -> Formula:
    slug, _, number = text.partition("@")
    return visit.desk.book.formula(slug, int(number))


def wonder(visit: Visit) -> Response:
    """What if: of a draft, or of the last revision where there is none."""
    slug, query = visit.request.path_params["slug"], visit.request.query_params
    record = visit.desk.book.revision(slug)
    draft, after = query.get("draft", ""), query.get("after", "")
    formula = unpacked(draft) if draft else formula_of(record)
    sent = whole(after)
    number = record.revision if sent is None else sent
    frame = visit.frame("formulas")
    forms = {wish.value: (wish, form) for wish, form in wish_forms(formula).items()}
    if query.get("wish") not in forms:
        return visit.show(what_if_page(formula, slug, number, frame))
    wish, form = forms[query["wish"]]
    typed = {name: text.strip()[:LONGEST_FIELD] for name, text in query.items()}
    try:
        answer = what_if(formula, wish, form.read(typed), visit.kitchen, visit.now)
    except InputError as error:
        page = what_if_page(formula, slug, number, frame, wish=wish, typed=typed, error=error)
        return visit.show(page, 422)
    found = visit.desk.book.compare(formula, answer.formula)
    page = what_if_page(
        formula, slug, number, frame, wish=wish, typed=typed, answer=answer, found=found
    )
    return visit.show(page)


def bring(visit: Visit) -> Response:
    """An empty form; or the text of a formula that cannot be read, for its next revision."""
    slug = visit.request.query_params.get("for", "")
    if slug not in visit.desk.book.latest():
        return visit.show(ImportPage(visit.frame("formulas"), "", "", "", ""))
    last = visit.desk.book.revision(slug)
    reason = formulas_aside(visit.present).get(slug, "")
    page = ImportPage(visit.frame("formulas"), last.text, reason, "", slug, str(last.revision))
    return visit.show(page)


async def brought(request: Request) -> Response:
    """A formula's file, typed or sent along, kept as it is when it can be read."""
    fields: dict[str, str] = {}
    async with request.form(max_files=1, max_fields=5) as form:
        for key, value in form.items():
            if not isinstance(value, UploadFile):
                fields.setdefault(key, value)
            elif content := await value.read():
                fields["text"] = content.decode(_coding(content), errors="replace")
    return await run_in_threadpool(lambda: _bring(Visit.of(request, fields), fields))


def _as_recipe(visit: Visit, text: str) -> Response | None:
    """What is no formula's file, where it can be read as a recipe."""
    country = sense_of(visit)
    try:
        found = read_text_of_recipe(text, country)
    except InputError:
        return None
    return visit.show(read_page(visit.frame("formulas"), text, country, found))


def _coding(content: bytes) -> str:
    """How a text was written: UTF-8 unless its mark says that it is UTF-16."""
    return "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"


def _bring(visit: Visit, fields: Mapping[str, str]) -> Response:
    text = fields.get("text", "").replace("\r\n", "\n")
    book, again, slug = visit.desk.book, "", fields.get("for", "")
    page = ImportPage(visit.frame("formulas"), text, "", "", slug, fields.get("after", ""))
    try:
        if len(text.encode()) > LONGEST:
            raise InputError(
                "file",
                say_many("{n} character", "{n} characters", len(text)),
                say("{most} at most", most=LONGEST),
            )
        if slug:
            kept = book.keep(text, slug, visit.revision("after"))
        else:
            if "\0" in text or "\ufffd" in text:
                page = replace(page, text="")
                known = say(
                    "a formula's file, which is text and ends in .toml, or a recipe as text"
                )
                raise InputError("file", Complaint(say("this is not text")), known)
            try:
                slug = book.slug_of(text)
            except InputError:
                if (read := _as_recipe(visit, text)) is not None:
                    return read
                raise
            named, _, number = fields.get("again", "").partition("@")
            last = book.latest().get(slug)
            removed = last is not None and can_be_read(last) and formula_of(last).removed
            if removed:
                return visit.go(f"/formulas/{book.keep(text).slug}?back=yes")
            if last is not None and named != slug:
                again = f"{slug}@{last.revision}"
                expected = say(
                    "another name, or save it as revision {number} of that formula",
                    number=last.revision + 1,
                )
                raise InputError("file", repr(slug), expected)
            kept = book.keep(text, slug, whole(number) or 0) if last else book.keep(text)
    except StaleRevisionError:
        return visit.show(_beside_the_last(page, book.revision(slug)), 409)
    except InputError as error:
        return visit.show(replace(page, error=str(error), again=again), 422)
    return visit.go(f"/formulas/{kept.slug}")


def put_away(visit: Visit) -> Response:
    """Take it out of what is offered or out of the book, or bring it back; or let it come first."""
    book, slug, after = visit.desk.book, visit.request.path_params["slug"], visit.revision("after")
    match visit.fields.get("do"):
        case "remove":
            book.remove(slug, after)
            return visit.go("/formulas")
        case "favourite" | "no-favourite" as do:
            book.favour(slug, after, favourite=do == "favourite")
        case do:
            book.put_away(slug, after, away=do == "away")
            if do == "away":
                return visit.go("/formulas")
    return visit.go(f"/formulas/{slug}")


def _beside_the_last(page: ImportPage, last: FormulaRecord) -> ImportPage:
    """The page with the revision that was kept meanwhile beside what was typed."""
    number = str(last.revision)
    titles = say("Revision {number}, as it is now", number=number), say("As you typed it")
    return replace(
        page,
        error=say("Another revision was saved meanwhile. Yours is not saved yet: both are below."),
        both=both(last.text.splitlines(), page.text.splitlines(), titles),
        after=number,
        leave=f"/formulas/{last.slug}",
        again="" if page.mended else f"{last.slug}@{number}",
    )


def _asked_revision(visit: Visit) -> int | None:
    return whole(visit.request.query_params.get("revision", ""))


ROUTES = [
    Route("/formulas/import", reads(bring)),
    Route("/formulas/import", brought, methods=["POST"]),
    Route("/formulas/compare", reads(compare)),
    Route("/formulas/{slug}.toml", reads(file)),
    Route("/formulas/{slug}/revisions", reads(revisions)),
    Route("/formulas/{slug}/what-if", reads(wonder)),
    Route("/formulas/{slug}/put-away", writes(put_away), methods=["POST"]),
]
