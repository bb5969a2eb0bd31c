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
NAMES = re.compile("/(renamed|split|backup|raise)$|^/begin")
"""Forms that name something, which later answers would repeat."""
EACH, ONE = 4, 1
"""So many mistakes for each field; one on a page that asks the engine or a plan."""
NUMBERS = ("decimal", "numeric", "date", "time", "datetime-local")
SLOW = re.compile(
    r"/(what-if|weeks|rest|keep|change|share|raise|page\.html)\b|^/week/(wish|plan|can|change|moves)|"
    r"\.(pdf|png|ics|jsonld|toml)$|^/(static|licences|photos|devices|join|alive|jobs|worker)|/file$"
)
"""Pages that ask the engine or a plan, each with tests of its own; and what is no page."""
ODD = re.compile(r"\d[eE][+-]?\d|\bnan\b|\binf\b|Fraction\(|\bNone\b|Traceback|input should be")
"""What a person should never have to read, unless they typed it."""
QUOTED = re.compile(r"'[^']*'")
"""A value, as it was typed now or for a name before."""
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
    answer: httpx.Response,
    form: Form,
    wrong: Mapping[str, str | Sequence[str] | None],
    recorded: bool,
) -> Iterator[str]:
    """What is not as it should be in the answer to a form with something wrong in it."""
    status = answer.status_code
    if status >= 500:
        yield f"status {status}"
        return
    if status >= 400 and recorded:
        yield "refused, and yet recorded"
    if status not in (200, 422) or "html" not in answer.headers.get("content-type", ""):
        return
    lines, text = faults(answer.text), unescape(answer.text)
    values = sorted((v for v in wrong.values() if isinstance(v, str) and v), key=len)
    for line in lines:
        said = QUOTED.sub("", line)
        for value in values[::-1]:
            said = said.replace(value, "")
        if ODD.search(said):
            yield f"says {line[:160]!r}"
    is_typed = not wrong.keys().isdisjoint(form.typed)
    if (
        status == 422
        and is_typed
        and not (lines or "Is this right?" in text or "cannot be planned" in text)
    ):
        yield "refused without a word"
    page = Forms(form.action)
    page.feed(answer.text)
    asked = {name for each in page.forms if each.action == form.action for name in each.typed}
    if status == 422 and lines:
        typed = {name: wrong[name] for name in wrong.keys() & form.typed.keys() & asked}
        lost = [n for n, v in typed.items() if isinstance(v, str) and shown(v) not in text]
        yield from (f"{name} is no longer there" for name in lost)


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    with Hall(friday_url(tmp_path), fixture.NOW) as hall:
        yield Site(hall, found_forms(hall, slow=False))


@pytest.mark.long
def test_a_form_with_everything_wrong_in_it(site: Site) -> None:
    """Each form once, another mistake in every field that is typed."""
    mistakes = cycle(each for each in MISTAKES if each not in ("nothing", "a zero byte"))
    found = []
    for form in site.forms:
        names = islice(mistakes, len(form.typed))
        wrong = {name: MISTAKES[next(names)] for name in form.typed}
        before = site.hall.desk.revision()
        answer = site.send(form, wrong)
        recorded = site.hall.desk.revision() != before
        at = f"{form.method} {form.action}"
        found += [f"{at}: {each}" for each in wrong_with(answer, form, wrong, recorded)]
    assert found == [], "\n".join(found)
    assert len(site.forms) > 30


@pytest.mark.long
def test_a_mistake_in_one_field(tmp_path: Path) -> None:
    """Each field of each form, by itself, with a few of the mistakes in turn; or left out."""
    mistakes = cycle({**MISTAKES, "left out": None, "twice": ("1", "2")}.items())
    found: list[str] = []
    with Hall(friday_url(tmp_path), fixture.NOW) as hall:
        forms, fresh = found_forms(hall, slow=True), hall.desk.revision()
    hall = Hall(friday_url(tmp_path), fixture.NOW)
    for form in forms:
        few = ONE if SLOW.search(form.action) else EACH
        tried = [(name, each) for name in form.fields for each in islice(mistakes, few)]
        for number, (name, (what, value)) in enumerate(tried):
            if hall.desk.revision() != fresh and (not number or NAMES.search(form.action)):
                hall.close()  # what was recorded before is none of this one's
                hall = Hall(friday_url(tmp_path), fixture.NOW)
            found += _one(Site(hall, forms), form, name, what, value)
    broken = [path for path in addresses(hall) if hall.get(path).status_code >= 500]
    hall.close()
    assert broken == []
    assert found == [], "\n".join(found)


def _one(
    site: Site, form: Form, name: str, what: str, value: str | Sequence[str] | None
) -> Iterator[str]:
    before = site.hall.desk.revision()
    answer = site.send(form, {name: value})
    recorded = site.hall.desk.revision() != before
    at = f"{form.method} {form.action} {name}, {what}"
    yield from (f"{at}: {x}" for x in wrong_with(answer, form, {name: value}, recorded))
    if form.typed.get(name) in NUMBERS and what in NO_NUMBER and recorded:
        yield f"{at}: recorded"
