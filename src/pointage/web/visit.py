"""One request as the screens see it: the desk, the clock, the frame, and how to answer."""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property, partial
from typing import TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from anyio import to_thread
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from pointage.desk.answers import AskFirst, Report
from pointage.desk.cultures.record import CultureReport
from pointage.desk.now.present import Present
from pointage.errors import MISSING, InputError
from pointage.kitchen.kitchen import Kitchen
from pointage.language import best, mark, say, speak
from pointage.shown import Shown, show
from pointage.web.door.reader import COOKIE, chosen, country_of, usual
from pointage.web.door.tour import address_of
from pointage.web.door.unchanged import (
    VARY,
    headers_of,
    is_known,
    tag_of,
    unchanged,
)
from pointage.web.forms.faults import ChangedMind
from pointage.web.forms.form import LONGEST_FIELD
from pointage.web.frame import Frame, Page, WorkNow
from pointage.web.port import Desk
from pointage.web.render import render, render_block
from pointage.web.screens.ask.page import AskPage
from pointage.web.screens.jobs.view import work_now
from pointage.web.words.aside import NOT_WORKED_OUT, left_out
from pointage.web.words.clock import Clock

THEMES = ("light", "dark")
THEME_COOKIE = "theme"
ENTRY_HEADER = "Pointage-Entry"
LONGEST_WHOLE = 9
SURE, BACK = "sure", "change"
"""Fields of the page that asks first: it is so, and back to the form."""
NAMELESS = mark("Kitchen")

Result = TypeVar("Result")
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Visit:
    """What a screen needs to answer. `fields` is empty for a page that is only read.

    tag: the entity tag of the page, empty for the answer to a form.
    """

    request: Request
    desk: Desk
    now: datetime
    fields: Mapping[str, str]
    tag: str = ""

    @staticmethod
    def of(request: Request, fields: Mapping[str, str] | None = None, tag: str = "") -> Visit:
        desk: Desk = request.app.state.desk
        now: datetime = request.app.state.now()
        visit = Visit(request, desk, now, fields or {}, tag)
        speak(best(request.headers.get("accept-language", "")))
        show(visit.shown)
        return visit

    @cached_property
    def shown(self) -> Shown:
        """How things are shown to whoever looks: as this browser chose, or as the kitchen says.

        A form is read in the degrees in which it was shown, which it says itself.
        """
        here = self.unchosen.with_(chosen(self.request.cookies.get(COOKIE, "")))
        if self.request.url.path == "/units":  # there the field is a choice
            return here
        sent = self.fields.get("degrees") or self.request.query_params.get("degrees", "")
        return here.with_({"degrees": sent})

    @property
    def country(self) -> str:
        """Where the browser's language is spoken, or nothing."""
        return country_of(self.request.headers.get("accept-language", ""))

    @cached_property
    def unchosen(self) -> Shown:
        """How things are shown where this browser chose nothing."""
        language = self.request.headers.get("accept-language", "")
        return usual(language, self._sign[1].key).with_(self._kitchen_shows)

    @cached_property
    def _kitchen_shows(self) -> Mapping[str, str]:
        try:
            return self.kitchen.shown
        except Exception:  # the page that says what is wrong with it must open
            return {}

    @property
    def present(self) -> Present:
        """The kitchen as it stands, looked at once for a request."""
        if isinstance(self._looked, Exception):
            raise self._looked
        return self._looked

    @cached_property
    def kitchen(self) -> Kitchen:
        """The kitchen, with what is at hand in it."""
        return self.present.kitchen

    @cached_property
    def clock(self) -> Clock:
        return Clock(self._sign[1], self.now)

    @cached_property
    def _looked(self) -> Present | Exception:
        try:
            return self.desk.present()
        except Exception as error:  # who asks for it gets it; a page that can do without goes on
            return error

    @cached_property
    def _sign(self) -> tuple[str, ZoneInfo]:
        """The kitchen's name and zone, also where nothing can be made of the rest."""
        plain = (say(NAMELESS), ZoneInfo("UTC"))
        try:
            return self.kitchen.name, self.kitchen.zone
        except Exception:
            return self.if_possible(self.desk.kitchen_file.sign, plain)

    @property
    def _path(self) -> str:
        """The address of the page as it can be asked for again."""
        url = self.request.url
        return f"{url.path}?{url.query}" if url.query and self.request.method == "GET" else url.path

    def if_possible(self, ask: Callable[[], Result], otherwise: Result) -> Result:
        """What a page shows that must open whatever is wrong: `otherwise` where asking fails."""
        try:
            return ask()
        except Exception:
            log.exception("left out of %s", self.request.url.path)
            return otherwise

    def frame(self, screen: str) -> Frame:
        theme = self.request.cookies.get(THEME_COOKIE, "")
        aside = self.if_possible(lambda: left_out(self.present), None)
        return Frame(
            kitchen=self._sign[0],
            screen=screen,
            theme=theme if theme in THEMES else "auto",
            made=self.clock.moment(self.now),
            path=self._path,
            trouble=self.request.app.state.trouble()
            or ("" if aside is not None else say(NOT_WORKED_OUT)),
            # The answer to a form does not ask for itself again: it would send the form once more.
            work=partial(work_now, self.desk.work) if self.request.method == "GET" else WorkNow,
            aside=aside or (),
            degrees=self.shown.degrees,
            home=self._home,
        )

    @property
    def _home(self) -> str:
        """The reader's own kitchen, for who calls this machine as this request does."""
        port, url = self.request.app.state.home, self.request.url
        return address_of(url.scheme, url.hostname or "", port) if port else ""

    def show(self, page: Page, status: int = 200, block: str = "") -> Response:
        """The page; or only its `block` when htmx asks for that from a page already open."""
        alone = bool(block) and self.request.headers.get("HX-Request") == "true"
        html = render_block(page, block) if alone else render(page)
        tagged = status == 200 and self.tag
        headers = headers_of(self.tag) if tagged else {"Cache-Control": "no-store", "Vary": VARY}
        return HTMLResponse(html, status, headers)

    def ask_first(self, questions: AskFirst) -> Response:
        """What can be and is hardly ever meant: asked about, with all that was typed."""
        fields = tuple((k, v) for k, v in self.fields.items() if k not in (SURE, BACK))
        other = "C" if self.shown.degrees == "F" else "F"
        is_meant = any(f"°{other}" in each for each in questions.questions)
        page = AskPage(
            self.frame(""),
            questions.questions,
            self.request.url.path,
            fields,
            SURE,
            BACK,
            other if is_meant else "",
        )
        return self.show(page, 422, "ask")

    def go(self, path: str) -> Response:
        """Redirect after post, so that a reload never records a thing twice."""
        return RedirectResponse(path, 303)

    def field(self, name: str) -> str:
        """A field of the form, trimmed. Raises InputError when it is missing or endless."""
        text = self.fields.get(name, "").strip()
        if not text:
            raise InputError(name, MISSING, say("something in this field"))
        if len(text) > LONGEST_FIELD:
            expected = say("at most {number} characters", number=LONGEST_FIELD)
            raise InputError(name, text[:20] + "…", expected)
        return text

    def revision(self, name: str = "revision") -> int:
        """The revision that a change was made from; 0, which none has, for what is no number."""
        return whole(self.fields.get(name, "")) or 0

    @property
    def sure(self) -> bool:
        """Whether it was asked about and is so."""
        return self.fields.get(SURE) == "yes"

    def entry(self) -> str:
        """The identifier of what is recorded. Raises InputError for one that is no UUID.

        Raises ChangedMind for what was asked about and is to be changed.
        """
        if BACK in self.fields:
            raise ChangedMind
        text = self.field("entry")
        try:
            return str(UUID(text))
        except ValueError:
            raise InputError("entry", repr(text), say("a UUID")) from None

    def report(self) -> Report:
        return Report(
            self.entry(), self.field("bake"), self.field("step"), self.happened(), self.sure
        )

    def of_culture(self, name: str, happened: datetime | None = None) -> CultureReport:
        """What is recorded of a culture: when that was, where it was not now."""
        return CultureReport(self.entry(), name, happened or self.now, self.sure)

    def happened(self) -> datetime:
        """When it happened: what the page says, or now; never after now, for it has arrived."""
        text = self.fields.get("happened", "")
        if not text:
            return self.now
        try:
            instant = datetime.fromisoformat(text)
            if instant.tzinfo is None:
                raise InputError("happened", text, say("a time with its offset"))
            return min(instant.astimezone(UTC), self.now)
        except (ValueError, OverflowError):
            raise InputError("happened", repr(text), say("an ISO 8601 time")) from None


def whole(text: str) -> int | None:
    """The whole number that an address or a hidden field has; None where it has none."""
    return int(text) if text.isdecimal() and len(text) <= LONGEST_WHOLE else None


Screen = Callable[[Visit], Response]


def reads(screen: Screen) -> Callable[[Request], Awaitable[Response]]:
    """A page that is only read, in a thread; one that the browser has already is not made."""

    async def endpoint(request: Request) -> Response:
        state = request.app.state
        with state.desk.one_look():
            tag = tag_of(request)
            if is_known(request, tag):
                return unchanged(tag)
            return await to_thread.run_sync(
                lambda: screen(Visit.of(request, tag=tag)), limiter=state.readers
            )

    return endpoint


def made_anew(screen: Screen) -> Callable[[Request], Awaitable[Response]]:
    """A page that is made each time: work goes on while the store stays as it is."""

    async def endpoint(request: Request) -> Response:
        with request.app.state.desk.one_look():
            return await run_in_threadpool(lambda: _answered(screen, Visit.of(request)))

    return endpoint


def writes(screen: Screen, most_fields: int = 40) -> Callable[[Request], Awaitable[Response]]:
    """A form that was sent: read it here, answer it in a thread."""

    async def endpoint(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=most_fields) as form:
            fields = {key: value for key, value in form.items() if isinstance(value, str)}
        return await run_in_threadpool(lambda: _answered(screen, Visit.of(request, fields)))

    return endpoint


def _answered(screen: Screen, visit: Visit) -> Response:
    try:
        return screen(visit)
    except AskFirst as questions:
        return visit.ask_first(questions)
    except ChangedMind:
        return visit.go("/")  # the Bench: one number, and its field is there
