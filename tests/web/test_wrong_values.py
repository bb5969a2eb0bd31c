"""What can be typed by mistake into every field of every form of every page.

The forms are found by walking through the pages, so a new one is among them by itself. Whatever is
typed: no status 500, nothing half recorded, and a refusal that keeps what was typed and says what
is wrong in words that a person can use.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import unescape
from itertools import cycle, islice
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from tests.fuzz.pages import Form, Forms
from tests.web import fixture_plan as fixture
from tests.web.stored_desk import friday_url
from tests.whole.hall import Hall
from tests.whole.pages import addresses

MISTAKES: Mapping[str, str] = {
    "a word": "porridge",
    "nothing": "",
    "zero": "0",
    "less than nothing": "-5",
    "very much": "1000000000",
    "far too much": "9999999999999",
    "not a number": "nan",
    "endless": "inf",
    "a comma": "1,5",
    "two marks": "1.234,5",
    "a half": "½",
    "a power": "1e3",
    "no such day": "2026-02-31",
    "no such time": "25:99",
    "°F in °C": "475",
    "very long": "x" * 10_000,
    "a picture": "🍞",
    "a zero byte": "a\0b",
    "control characters": "a\x07\x1bb",
}
NO_NUMBER = ("a word", "not a number", "endless", "a half", "a power", "a picture")
"""What no field that asks for a number, a day or a time may take."""
FEW = ("a word", "far too much", "no such day", "a zero byte", "left out")
"""Of a page that plans where it can."""
NUMBERS = ("decimal", "numeric", "date", "time", "datetime-local")
SLOW = re.compile(
    r"/(what-if|weeks|rest|keep|change|share|raise|page\.html)\b|^/week/(wish|plan|can|change|moves)|"
    r"\.(pdf|png|ics|jsonld|toml)$|^/(static|licences|photos|devices|join|alive|jobs|worker)|/file$"
)
"""Pages that ask the engine or a plan, each with tests of its own; and what is no page."""
ODD = re.compile(r"\d[eE][+-]?\d|\bnan\b|\binf\b|Fraction\(|\bNone\b|Traceback|input should be")
"""What a person should never have to read, unless they typed it."""
_FAULT = re.compile(r'<(p|li|ul|div)[^>]*class="[^"]*(?:error|wrong)\b[^"]*"[^>]*>(.*?)</\1>', re.S)
_TAG = re.compile(r"<[^>]*>")


@dataclass(frozen=True)
class Site:
    """A kitchen on a Friday, and a form of each kind that its pages have."""

    hall: Hall
    forms: tuple[Form, ...]

    def send(self, form: Form, wrong: Mapping[str, str | Sequence[str] | None]) -> httpx.Response:
        """The form with these fields; None leaves one out."""
        whole: dict[str, str | Sequence[str] | None] = {**form.fields, **wrong}
        if "entry" in whole and "entry" not in wrong:
            whole["entry"] = str(uuid4())
        sent = {name: value for name, value in whole.items() if value is not None}
        path = form.action.partition("#")[0]
        if form.method == "get":
            return self.hall._ask("GET", path, params=sent)
        files = dict.fromkeys(form.files, ("x.csv", b""))
        return self.hall.post(path, sent, **({"files": files} if files else {}))  # type: ignore[arg-type]


def found_forms(hall: Hall, *, slow: bool) -> tuple[Form, ...]:
    """A form of each kind: of one address and with the same fields, whatever stands in them."""
    forms: dict[tuple[str, str, frozenset[str]], Form] = {}
    routes: set[str] = set()
    for path, route in addresses(hall).items():
        if (route in routes and "entry" not in route) or (SLOW.search(path) and not slow):
            continue
        routes.add(route)
        answer = hall.get(path)
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        page = Forms(path.partition("?")[0])
        page.feed(answer.text)
        for form in page.forms:
            names = frozenset(re.sub(r"\d+", "#", name) for name in form.fields)
            kind = re.sub(r"[0-9a-f-]{36}", "", form.action), form.method, names
            if form.action.startswith("/") and (slow or not SLOW.search(form.action)):
                forms.setdefault(kind, form)
    return tuple(forms.values())


def faults(html: str) -> list[str]:
    """What a page says is wrong."""
    every = (unescape(_TAG.sub(" ", text)) for _, text in _FAULT.findall(html))
    return [" ".join(each.split()) for each in every]


def shown(value: str) -> str:
    """What of a value comes back with a page: the first of it, and no zero byte."""
    return value.replace("\0", "").replace("\r", "")[:20]


def wrong_with(
    answer: httpx.Response, wrong: Mapping[str, str], before: int, after: int
) -> Iterator[str]:
    """What is not as it should be in the answer to a form with something wrong in it."""
    status = answer.status_code
    if status >= 500:
        yield f"status {status}"
        return
    if status >= 400 and after != before:
        yield "refused, and yet recorded"
    if status in (200, 422) and "html" in answer.headers.get("content-type", ""):
        lines = faults(answer.text)
        for line in lines:
            said = line
            for value in wrong.values():
                said = said.replace(value or "nothing", "")
            if ODD.search(said):
                yield f"says {line[:160]!r}"
        text = unescape(answer.text)
        if lines and status == 422:
            lost = [name for name, value in wrong.items() if shown(value) not in text]
            yield from (f"{name} is no longer there" for name in lost)
        elif status == 422 and "Is this right?" not in text and "cannot be planned" not in text:
            yield "refused without a word"


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    with Hall(friday_url(tmp_path), fixture.NOW) as hall:
        yield Site(hall, found_forms(hall, slow=False))


def test_a_form_with_everything_wrong_in_it(site: Site) -> None:
    """Each form once, another mistake in every field that is typed."""
    mistakes = cycle(each for each in MISTAKES if each not in ("nothing", "a zero byte"))
    found = []
    for form in site.forms:
        names = islice(mistakes, len(form.typed))
        wrong = {name: MISTAKES[next(names)] for name in form.typed}
        before = site.hall.desk.revision()
        answer = site.send(form, wrong)
        after = site.hall.desk.revision()
        at = f"{form.method} {form.action}"
        found += [f"{at}: {each}" for each in wrong_with(answer, wrong, before, after)]
    assert found == [], "\n".join(found)
    assert len(site.forms) > 30


@pytest.mark.long
def test_every_mistake_in_every_field(tmp_path: Path) -> None:
    found: list[str] = []
    with Hall(friday_url(tmp_path), fixture.NOW) as hall:
        site = Site(hall, found_forms(hall, slow=True))
        for form in site.forms:
            for name in form.fields:
                found += _one_field(site, form, name)
        broken = [path for path in addresses(hall) if hall.get(path).status_code >= 500]
    assert broken == []
    assert found == [], "\n".join(found)


def _one_field(site: Site, form: Form, name: str) -> Iterator[str]:
    """Each mistake alone in one field; besides left out, and sent twice."""
    at = f"{form.method} {form.action} {name}"
    others: dict[str, str | Sequence[str] | None] = {"left out": None, "twice": ("1", "2")}
    every = {**MISTAKES, **others}
    few = SLOW.search(form.action) is not None
    for what, value in every.items():
        if few and what not in FEW:
            continue
        before = site.hall.desk.revision()
        answer = site.send(form, {name: value})
        after = site.hall.desk.revision()
        typed = {name: value} if isinstance(value, str) and name in form.typed else {}
        yield from (f"{at}, {what}: {x}" for x in wrong_with(answer, typed, before, after))
        if form.typed.get(name) in NUMBERS and what in NO_NUMBER and after != before:
            yield f"{at}, {what}: recorded"
