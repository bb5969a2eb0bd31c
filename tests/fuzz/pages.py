"""Every page's query and every form, found by walking through the pages of a stored kitchen."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from random import Random
from tempfile import mkdtemp
from typing import Any
from urllib.parse import parse_qsl, quote, urlencode
from uuid import uuid4

from starlette.routing import Route
from tests.fuzz import spoil
from tests.fuzz.meter import Reader, Wrong
from tests.fuzz.readers import LOGS
from tests.whole.hall import ORIGIN, Hall
from tests.whole.journey import begin
from tests.whole.pages import BROKEN, addresses, what_is_there

SCREENS = Path(__file__).parents[2] / "src/pointage/web"
NEW_AFTER = 150
"""So many forms are sent to a kitchen, then another one begins: what is kept makes pages slow."""
LONGEST_ADDRESS = 60_000
PLAIN = ("8", "25C", "900g", "2026-12-05", "09:00", "2026-12-05T09:00", "rye-whole", "Gannet",
         "harbour-loaf", "1.6", "12%", "1", "all", "yes", "24h")  # fmt: skip


@dataclass
class Form:
    """A form as a browser would send it back. typed: how each field asks for what is typed."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)
    files: list[str] = field(default_factory=list)


class Forms(HTMLParser):
    """The forms of a page, with what is chosen or typed in them, and where its links lead."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.links: list[str] = []
        self._path, self._inside, self._open, self._unchosen = path, False, "", False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        name = given.get("name", "")
        if tag == "a":
            self.links.append(given.get("href", ""))
        if tag == "form":
            action = given.get("action") or self._path
            self.forms.append(Form(action, given.get("method", "get").lower()))
            self._inside = True
        if not self._inside:
            return
        fields, typed = self.forms[-1].fields, self.forms[-1].typed
        if tag == "option" and self._open and ("selected" in given or self._unchosen):
            fields[self._open], self._unchosen = given.get("value", ""), False
        if not name:
            return
        if tag == "input" and given.get("type") == "file":
            self.forms[-1].files.append(name)
        elif tag == "input" and given.get("type") in ("radio", "checkbox"):
            if name not in fields or "checked" in given:
                fields[name] = given.get("value", "")
        elif tag in ("input", "button"):
            fields.setdefault(name, given.get("value", ""))
            if tag == "input" and given.get("type", "text") not in ("hidden", "submit"):
                typed[name] = given.get("inputmode") or given.get("type", "text")
        elif tag in ("select", "textarea"):
            self._open, self._unchosen = name, tag == "select"
            fields[name] = ""
            if tag == "textarea":
                typed[name] = tag

    def handle_data(self, data: str) -> None:
        if self._inside and self._open and self.lasttag == "textarea":
            self.forms[-1].fields[self._open] += data

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        if tag in ("select", "textarea"):
            self._open = ""
        if tag == "form":
            self._inside = False


class Site:
    """A stored kitchen, its routes, and what its own pages would send to each of them."""

    def __init__(self) -> None:
        self._folder = Path(mkdtemp(prefix="pointage-"))
        self._sent = 0
        self.hall = self._new_hall()
        self.forms: list[Form] = []
        self.queries: dict[str, set[str]] = {}
        # One page of each route, but every line: which forms it has depends on its kind.
        every = addresses(self.hall)
        first = {route: path for path, route in reversed(every.items())}
        self.pages = {
            path: route
            for path, route in every.items()
            if path == first[route] or "entry" in route or "?" in path
        }
        for path, route in self.pages.items():
            self._learn(route, path)
        self._add_what_no_page_sends()
        self.names = sorted(_query_names() | {n for each in self.queries.values() for n in each})
        self._token = self.hall.desk.sensors.add("Fuzzy", "temperature", "Hall").token

    def close(self) -> None:
        self.hall.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def query(self, rng: Random) -> str:
        """A page's address with some of its query, or its own name, spoiled."""
        path = rng.choice(sorted(self.pages))
        own = sorted(self.queries.get(self.pages[path], ()))
        path, _, asked = path.partition("?")
        if rng.random() < 0.1 and path.count("/") > 1:
            head, _, last = path.rpartition("/")
            path = f"{head}/{quote(spoil.text(rng, last), safe='')}"
        fields = dict(parse_qsl(asked))
        for _ in range(rng.choice((1, 1, 2, 3))):
            names = own if own and rng.random() < 0.8 else self.names
            name = rng.choice(names)
            fields[name] = spoil.text(rng, fields.get(name) or rng.choice(PLAIN))
        return f"{path}?{urlencode(fields)}"

    def get(self, address: str) -> None:
        """Ask for a page."""
        if address.startswith("/") and len(address) < LONGEST_ADDRESS:
            _judge(self.hall.get(address).status_code)

    def form(self, rng: Random) -> tuple[str, dict[str, str], dict[str, bytes]]:
        """A form with one or two of its fields spoiled."""
        form = rng.choice(self.forms)
        fields = dict(form.fields)
        names = [each for each in sorted(fields) if each != "entry" or rng.random() < 0.05]
        for name in rng.sample(names, min(len(names), rng.choice((1, 1, 2, 4)))):
            example = fields[name] or rng.choice(PLAIN)
            fields[name] = (spoil.document if "\n" in example else spoil.text)(rng, example)
        if rng.random() < 0.05 and names:
            del fields[rng.choice(names)]
        if rng.random() < 0.3:
            fields["sure"] = "yes"
        log = spoil.document(rng, rng.choice(LOGS)).encode("utf-8", "replace")
        files = {name: rng.choice((log, b"", b"\xff\xd8\xff\xe0 a loaf")) for name in form.files}
        path = form.action
        if rng.random() < 0.05 and path.count("/") > 1:
            head, _, last = path.rpartition("/")
            path = f"{head}/{quote(spoil.text(rng, last), safe='')}"
        return path, fields, files

    def post(self, given: tuple[str, dict[str, str], dict[str, bytes]]) -> None:
        """Send a form. Each gets an identifier of its own."""
        path, fields, files = given
        if not path.startswith("/") or len(path) > LONGEST_ADDRESS:
            return
        self._sent += 1
        if self._sent % NEW_AFTER == 0:
            self.hall.close()
            self.hall = self._new_hall()
        if fields.get("entry") in {form.fields.get("entry") for form in self.forms}:
            fields = {**fields, "entry": str(uuid4())}
        sent: dict[str, Any] = {}
        if files:
            sent["files"] = {name: (f"{name}.csv", content) for name, content in files.items()}
        _judge(self.hall.post(path, fields, **sent).status_code)

    def message(self, rng: Random) -> bytes:
        """What a probe might post."""
        sample = {"temperature": 21.5, "at": "2026-11-25T09:00:00Z"}
        whole = rng.choice((sample, {"samples": [sample, sample]}, {"temperature": "21.5C"}))
        text = json.dumps(spoil.value(rng, whole))
        return (spoil.document(rng, text) if rng.random() < 0.3 else text).encode(errors="replace")

    def tell(self, given: bytes) -> None:
        """Post what a probe says."""
        headers = {"Origin": ORIGIN, "Authorization": f"Bearer {self._token}"}
        _judge(self.hall.send("/probe", given, headers).status_code)

    def _new_hall(self) -> Hall:
        url = f"sqlite:///{self._folder}/{uuid4().hex}.sqlite3"
        return Hall(url, begin(url))

    def _learn(self, route: str, path: str) -> None:
        answer = self.hall.get(path)
        if "text/html" not in answer.headers.get("content-type", ""):
            return
        parser = Forms(path.partition("?")[0])
        parser.feed(answer.text)
        asked = self.queries.setdefault(route, set())
        asked.update(name for name, _ in parse_qsl(path.partition("?")[2]))
        known = [(each.action, sorted(each.fields)) for each in self.forms]
        for form in parser.forms:
            if form.method == "get":
                names = self.queries.setdefault(self._route_of(form.action, "GET"), set())
                names.update(form.fields)
            elif (form.action, sorted(form.fields)) not in known:
                known.append((form.action, sorted(form.fields)))
                self.forms.append(form)
        for link in parser.links:
            to, _, query = link.partition("?")
            if query:
                asked = self.queries.setdefault(self._route_of(to, "GET"), set())
                asked.update(name for name, _ in parse_qsl(query))

    def _route_of(self, path: str, method: str) -> str:
        return next(
            (each.path for each in self._routes(method) if each.path_regex.match(path)), path
        )

    def _routes(self, method: str) -> Iterator[Route]:
        for route in self.hall.app.routes:
            if isinstance(route, Route) and method in (route.methods or ()):
                yield route

    def _add_what_no_page_sends(self) -> None:
        """A form with the fields of its neighbours for each route that no page has a form for."""
        there = what_is_there(self.hall)
        names = {"name": there.cultures, "slug": there.formulas, "place": there.places,
                 "entry": there.entries, "sha256": there.photos}  # fmt: skip
        sent = {self._route_of(form.action, "POST") for form in self.forms}
        for route in self._routes("POST"):
            if route.path in sent:
                continue
            path = re.sub(
                r"\{(\w+)(:\w+)?\}",
                lambda match: quote((names.get(match[1]) or ("0",))[0], safe=""),
                route.path,
            )
            near = {
                name: value
                for form in self.forms
                if form.action.split("/")[1] == path.split("/")[1]
                for name, value in form.fields.items()
            }
            self.forms.append(Form(path, "post", near or {"text": "a note", "entry": ""}))


def _judge(status: int) -> None:
    if status >= BROKEN:
        raise Wrong(f"status {status}")


def _query_names() -> set[str]:
    """Every name that a screen asks its query for."""
    pattern = re.compile(r"(?:query|query_params|asked|sent|visit)(?:\.get\(|\[|, )\"(\w+)\"")
    return {
        name for path in SCREENS.rglob("*.py") for name in pattern.findall(path.read_text("utf-8"))
    }


def readers() -> Iterator[Reader]:
    site = Site()
    yield Reader("page", 0.8, site.query, site.get)
    yield Reader("form", 0.6, site.form, site.post)
    yield Reader("probe", 0.5, site.message, site.tell, site.close)
