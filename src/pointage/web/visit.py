"""One request as the screens see it: the desk, the clock, the frame, and how to answer."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from uuid import UUID

from anyio import to_thread
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from pointage.desk.answers import Telling
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen
from pointage.web.pages import Frame, Page, WorkBlock, WorkNow
from pointage.web.port import Desk
from pointage.web.present.clock import Clock
from pointage.web.present.work import work_now
from pointage.web.render import render, render_block
from pointage.web.unchanged import VARY, headers_of, is_known, tag_of, unchanged

THEMES = ("light", "dark")
THEME_COOKIE = "theme"
ENTRY_HEADER = "Pointage-Entry"
LONGEST_FIELD = 200


@dataclass(frozen=True, slots=True)
class Visit:
    """What a screen needs to answer. `fields` is empty for a page that is only read.

    tag: the entity tag of the page, empty for the answer to a form.
    """

    request: Request
    desk: Desk
    kitchen: Kitchen
    clock: Clock
    fields: Mapping[str, str]
    tag: str = ""

    @staticmethod
    def of(request: Request, fields: Mapping[str, str] | None = None, tag: str = "") -> Visit:
        desk: Desk = request.app.state.desk
        now: datetime = request.app.state.now()
        kitchen = desk.kitchen()
        return Visit(request, desk, kitchen, Clock(kitchen.zone, now), fields or {}, tag)

    @property
    def now(self) -> datetime:
        return self.clock.now

    def frame(self, screen: str) -> Frame:
        theme = self.request.cookies.get(THEME_COOKIE, "")
        return Frame(
            kitchen=self.kitchen.name,
            screen=screen,
            theme=theme if theme in THEMES else "auto",
            made=self.clock.moment(self.now),
            path=self.request.url.path,
            trouble=self.request.app.state.trouble(),
            # The answer to a form does not ask for itself again: it would send the form once more.
            work=partial(work_now, self.desk.work) if self.request.method == "GET" else WorkNow,
        )

    def show(self, page: Page | WorkBlock, status: int = 200, block: str = "") -> Response:
        """The page; or only its `block` when htmx asks for that from a page already open."""
        alone = bool(block) and self.request.headers.get("HX-Request") == "true"
        html = render_block(page, block) if alone else render(page)
        tagged = status == 200 and self.tag
        headers = headers_of(self.tag) if tagged else {"Cache-Control": "no-store", "Vary": VARY}
        return HTMLResponse(html, status, headers)

    def go(self, path: str) -> Response:
        """Redirect after post, so that a reload never tells a thing twice."""
        return RedirectResponse(path, 303)

    def field(self, name: str) -> str:
        """A field of the form, trimmed. Raises InputError when it is missing or endless."""
        text = self.fields.get(name, "").strip()
        if not text:
            raise InputError(name, "nothing", "something in this field")
        if len(text) > LONGEST_FIELD:
            raise InputError(name, text[:20] + "…", f"at most {LONGEST_FIELD} characters")
        return text

    def entry(self) -> str:
        """The identifier of what is told. Raises InputError for one that is no UUID."""
        text = self.field("entry")
        try:
            return str(UUID(text))
        except ValueError:
            raise InputError("entry", repr(text), "a UUID") from None

    def telling(self) -> Telling:
        return Telling(self.entry(), self.field("bake"), self.field("step"), self.happened())

    def happened(self) -> datetime:
        """When it happened: what the page says, or now; never after now, for it has arrived."""
        text = self.fields.get("happened", "")
        if not text:
            return self.now
        try:
            instant = datetime.fromisoformat(text)
        except ValueError:
            raise InputError("happened", repr(text), "an ISO 8601 instant") from None
        if instant.tzinfo is None:
            raise InputError("happened", text, "an instant with its offset")
        return min(instant.astimezone(UTC), self.now)


def under_field(error: InputError) -> str:
    """An error as the line under its field, whose label already names it."""
    return f"{error.value!s} will not do; give {error.expected}"


Screen = Callable[[Visit], Response]


def reads(screen: Screen) -> Callable[[Request], Awaitable[Response]]:
    """A page that is only read, in a thread; one that the browser has already is not made."""

    async def endpoint(request: Request) -> Response:
        tag = tag_of(request)
        if is_known(request, tag):
            return unchanged(tag)
        return await to_thread.run_sync(
            lambda: screen(Visit.of(request, tag=tag)), limiter=request.app.state.readers
        )

    return endpoint


def tells(screen: Screen, most_fields: int = 20) -> Callable[[Request], Awaitable[Response]]:
    """A form that was sent: read it here, answer it in a thread."""

    async def endpoint(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=most_fields) as form:
            fields = {key: value for key, value in form.items() if isinstance(value, str)}
        return await run_in_threadpool(lambda: screen(Visit.of(request, fields)))

    return endpoint
