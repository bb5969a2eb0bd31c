"""Every page there is: the addresses of each route, filled from what the store holds."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from html import unescape
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.routing import Route
from tests.whole.hall import Hall

from pointage.daybook.entry import EntryKind

FEW = 3


@dataclass(frozen=True, slots=True)
class There:
    """What there is to ask for, by name or by id."""

    cultures: tuple[str, ...]
    places: tuple[str, ...]
    formulas: tuple[str, ...]
    entries: tuple[str, ...]
    bakes: tuple[str, ...]
    photos: tuple[str, ...]


Filler = Callable[[There], Iterable[str]]


def _each(before: str, names: Callable[[There], Iterable[str]], after: str = "") -> Filler:
    return lambda there: [f"{before}{quote(name, safe='')}{after}" for name in names(there)]


def _cultures(there: There) -> Iterable[str]:
    return there.cultures


def _formulas(there: There) -> Iterable[str]:
    return there.formulas


def _one(path: str) -> Filler:
    return lambda there: [path]


def _compared_bakes(there: There) -> list[str]:
    pairs = zip(there.bakes, there.bakes[1:], strict=False)
    return ["/daybook/compare", *(f"/daybook/compare?first={a}&second={b}" for a, b in pairs)][:FEW]


def _compared_formulas(there: There) -> list[str]:
    pairs = zip(there.formulas, there.formulas[1:], strict=False)
    return ["/formulas/compare", *(f"/formulas/compare?first={a}&second={b}" for a, b in pairs)]


def _daybook(there: There) -> list[str]:
    culture = there.cultures[0] if there.cultures else "none"
    return ["/daybook", f"/daybook?culture={quote(culture)}&kind=fed", "/daybook?page=2"]


def _first_handout(there: There) -> list[str]:
    return [f"/sheets/handout/{quote(slug, safe='')}.pdf" for slug in there.formulas[:1]]


FILLERS: Mapping[str, Filler] = {
    "/": _one("/"),
    "/week": _one("/week"),
    "/week/change/{bake}": _each("/week/change/", lambda there: there.bakes),
    "/week/can": _one("/week/can"),
    "/week/plan": _one("/week/plan"),
    "/week/plan/{entry}": _each("/week/plan/", lambda there: there.entries),
    "/week/wish": _one("/week/wish"),
    "/week/wish/{entry}": _each("/week/wish/", lambda there: there.entries),
    "/cultures": _one("/cultures"),
    "/cultures/raise": _one("/cultures/raise"),
    "/cultures/{name}": _each("/cultures/", _cultures),
    "/cultures/{name}/keep": _each("/cultures/", _cultures, "/keep"),
    "/cultures/{name}/rest": _each("/cultures/", _cultures, "/rest"),
    "/cultures/{name}/weeks": _each("/cultures/", _cultures, "/weeks"),
    "/cultures/{name}/change": _each("/cultures/", _cultures, "/change"),
    "/cultures/{name}/trouble": _each("/cultures/", _cultures, "/trouble"),
    "/cultures/{name}/raising": _each("/cultures/", _cultures, "/raising"),
    "/kitchen": _one("/kitchen"),
    "/kitchen/file": _one("/kitchen/file"),
    "/kitchen/log": _each("/kitchen/log?place=", lambda there: there.places),
    "/daybook": _daybook,
    "/daybook/entry/{entry}": _each("/daybook/entry/", lambda there: there.entries),
    "/daybook/bake/{key}": _each("/daybook/bake/", lambda there: there.bakes[:FEW]),
    "/daybook/culture/{name}": _each("/daybook/culture/", _cultures),
    "/daybook/formula/{slug}": _each("/daybook/formula/", _formulas),
    "/daybook/compare": _compared_bakes,
    "/daybook/archive": _one("/daybook/archive"),
    "/photos/{sha256}": _each("/photos/", lambda there: there.photos),
    "/formulas": _one("/formulas"),
    "/formulas/new": _one("/formulas/new"),
    "/formulas/import": _one("/formulas/import"),
    "/formulas/read": _one("/formulas/read"),
    "/formulas/compare": _compared_formulas,
    "/formulas/{slug}": _each("/formulas/", _formulas),
    "/formulas/{slug}.toml": _each("/formulas/", _formulas, ".toml"),
    "/formulas/{slug}/edit": _each("/formulas/", _formulas, "/edit"),
    "/formulas/{slug}/revisions": _each("/formulas/", _formulas, "/revisions"),
    "/formulas/{slug}/what-if": _each("/formulas/", _formulas, "/what-if"),
    "/formulas/{slug}/label": _each("/formulas/", _formulas, "/label"),
    # Each takes seconds of the engine; their own tests have them.
    "/formulas/{slug}/share": _one("/formulas/none/share"),
    "/formulas/{slug}/page.html": _one("/formulas/none/page.html"),
    "/cultures/{name}/share": _one("/cultures/none/share"),
    "/cultures/{name}/page.html": _one("/cultures/none/page.html"),
    "/cultures/raise/share": lambda _: (),
    "/cultures/raise/page.html": lambda _: (),
    "/sheets": _one("/sheets"),
    "/sheets/calendar.ics": _one("/sheets/calendar.ics"),
    "/sheets/{kind}": lambda _: ["/sheets/week", "/sheets/shopping", "/sheets/new"],
    "/sheets/{kind}.pdf": _one("/sheets/week.pdf"),
    "/sheets/{kind}.png": _one("/sheets/shopping.png"),
    "/sheets/{kind}/{name}": _each("/sheets/culture/", _cultures),
    "/sheets/{kind}/{name}.pdf": _first_handout,
    "/sheets/{kind}/{name}.png": _one("/sheets/bench/none.png"),
    "/sheets/recipe/{name}.jsonld": _each("/sheets/recipe/", _formulas, ".jsonld"),
    "/calendar/{key}.ics": _one("/calendar/none.ics"),
    "/larder": _one("/larder"),
    "/larder/list": _one("/larder/list"),
    "/flour": _one("/flour"),
    "/ingredients": _one("/ingredients"),
    "/water": _one("/water"),
    "/units": _one("/units"),
    "/begin": _one("/begin"),
    "/begin/culture": _one("/begin/culture"),
    "/look-round": _one("/look-round"),
    "/devices": _one("/devices"),
    "/devices/elsewhere": _one("/devices/elsewhere"),
    "/join": _one("/join"),
    "/join/certificate": _one("/join/certificate"),
    "/oven": _one("/oven"),
    "/alive": _one("/alive"),
    "/jobs": _one("/jobs"),
    "/licences": _one("/licences"),
    "/worker.js": _one("/worker.js"),
    "/static/{name}": _one("/static/icon.svg"),
}
"""By the path of a route: where it is asked. A new page belongs here, or a test fails."""

BROKEN = 500
OF_WHAT_IS_THERE = (
    "/cultures/{name}", "/daybook/entry/{entry}", "/daybook/culture/{name}", "/formulas/{slug}",
    "/formulas/{slug}.toml", "/formulas/{slug}/revisions", "/kitchen/log",
)  # fmt: skip
OF_OTHER_DEVICES = ("/devices/elsewhere", "/join", "/join/certificate")
"""None of them is there where no other device is listened for."""
LEADS_ON = ("/begin", "/look-round")
"""Of a kitchen that has a name, and of a server that shows none to look round in."""
CORE = ("/", "/week", "/cultures", "/daybook", "/larder")
"""What everybody opens first, and what every entry has a hand in."""


def read_routes(app: Starlette) -> list[str]:
    """The path of every route that can be read."""
    return [
        route.path
        for route in app.routes
        if isinstance(route, Route) and "GET" in (route.methods or ())
    ]


def what_is_there(hall: Hall) -> There:
    """The names to fill the routes with."""
    entries = hall.store.entries(hall.kitchen)
    photos = {str(each.body.get("sha256")) for each in entries if each.kind is EntryKind.PHOTO}
    lines = [line.written.id for line in hall.desk.records.lines()]
    return There(
        cultures=tuple(life.name for life in hall.desk.lives() if life.name),
        places=tuple(each.name for each in hall.desk.kitchen().places),
        formulas=tuple(each.slug for each in hall.store.formulas(hall.kitchen)),
        entries=tuple(dict.fromkeys((*lines[:1], *lines[-FEW:]))),
        bakes=tuple(hall.desk.past.bakes()),
        photos=tuple(sorted(photos)),
    )


def addresses(hall: Hall) -> dict[str, str]:
    """Where every page is, with the path of its route; what is opened first stands in front."""
    there = what_is_there(hall)
    found = {path: route for route in read_routes(hall.app) for path in FILLERS[route](there)}
    return {path: found[path] for path in sorted(found, key=lambda path: path not in CORE)}


def fits(route: str, path: str, status: int) -> bool:
    """Whether a page answers as it should: one that stands alone or is of what is there, 200.

    Advice may not be for a culture that is no more (400, 404); a photograph may be missing. What
    has a slash in its name, as from another program, is at no address.
    """
    if route in LEADS_ON:
        return status == 303
    if route in OF_OTHER_DEVICES:
        return status in (403, 404)
    if "{" in route and "%2F" in path:
        return status < BROKEN
    if "{" not in route or route in OF_WHAT_IS_THERE:
        return status in (200, 204)
    return status < BROKEN


_UNSAID = re.compile(r"<(script|style|head|footer)\b.*?</\1>|<[^>]*>", re.DOTALL)
"""What a reader does not see, and markup; in values of ours a > is written as an entity."""


def words(html: str) -> str:
    """What a page says, in one line, without its markup."""
    return " ".join(unescape(_UNSAID.sub(" ", html)).split())
