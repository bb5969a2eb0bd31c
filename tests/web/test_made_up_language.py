"""Every page in a made-up language: nothing is left behind in English."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import pytest
from tests.made_up import made_up
from tests.web.conftest import ORIGIN, ask
from tests.web.fixture_plan import NOW

from pointage import language
from pointage.desk.desk import StoredDesk
from pointage.formula.ingredients import Ingredient, ingredients
from pointage.web.app import create_app

WORD = re.compile(r"[A-Za-z]{3,}")
PART = re.compile(r"\{\w+\}")
"""What a script puts in its place in a text that it is given."""
SPOKEN = ("aria-label", "alt", "title", "placeholder", "data-busy", "data-says")
"""Attributes that are read, by eye or ear."""
OPAQUE = ("script", "style", "textarea", "pre", "code")
"""What is no prose: programs, and files as they lie."""
SIGNS = frozenset({"min", "kcal", "kpa", "toml", "csv", "jpeg", "png", "webp", "iso"})
"""Units and names of formats, which are the same in every language."""
ONE_OF_EACH = re.compile(r"^(/daybook/[a-z]+|/[a-z]+)/(?!new|entry|culture|formula|compare)[^/]+")
NOT_A_PAGE = re.compile(
    r"^/(static|licences|photos|daybook/archive)|/file$|/export|\.(pdf|ics|jsonld)$"
)


NOTES = ("text", "note", "why", "words", "supplier", "label", "place")
"""What of an entry is its author's own."""


class Visible(HTMLParser):
    """What a reader is shown of a page, and the pages it leads to."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.links: list[str] = []
        self._opaque = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self._opaque += tag in OPAQUE
        self.texts += [given[name] or "" for name in SPOKEN if name in given]
        if tag == "a" and (given.get("href") or "").startswith("/"):
            self.links.append(str(given["href"]).split("#")[0])

    def handle_endtag(self, tag: str) -> None:
        self._opaque -= tag in OPAQUE

    def handle_data(self, data: str) -> None:
        if not self._opaque:
            self.texts.append(data)


def strings(value: Any) -> Iterator[str]:
    """Every text in a parsed file."""
    match value:
        case str():
            yield value
        case dict():
            for each in value.values():
                yield from strings(each)
        case list():
            for each in value:
                yield from strings(each)


def own_words(desk: StoredDesk) -> frozenset[str]:
    """The words of the kitchen's own people: names and notes, which nobody translates."""
    texts = [*strings(tomllib.loads(desk.kitchen_file.text))]
    for each in desk.book.latest().values():
        texts += strings(tomllib.loads(each.text))
    for line in desk.records.lines():
        texts += [str(line.written.body[name]) for name in NOTES if name in line.written.body]
    # Ingredients as formulas call them, and the tables that their figures are from.
    texts += [text for each in ingredients().values() for text in (each.name, *_sources(each))]
    return frozenset(WORD.findall(" ".join(texts).casefold()))


def _sources(one: Ingredient) -> Iterator[str]:
    yield one.source
    yield from one.sources.values()


def left_behind(desk: StoredDesk) -> dict[str, list[str]]:
    """What is still English, by page, one page of each kind."""
    app = create_app(desk, lambda: NOW)
    speaks = made_up()
    own = own_words(desk) | SIGNS | {*speaks.days, *speaks.months, *speaks.long_months}
    found: dict[str, list[str]] = {}
    ahead, seen = ["/"], {"/"}
    while ahead:
        path = ahead.pop(0)
        answer = ask(app, "GET", ORIGIN + path, headers={"accept-language": "qps"})
        if "html" not in answer.headers["content-type"]:
            continue
        page = Visible()
        page.feed(answer.text)
        left = [
            " ".join(text.split())
            for text in page.texts
            if any(word.casefold() not in own for word in WORD.findall(PART.sub("", text)))
        ]
        found[path] = list(dict.fromkeys(left))
        for link in page.links:
            kind = ONE_OF_EACH.sub(r"\1/*", link.split("?")[0])
            if kind not in seen and not NOT_A_PAGE.search(link):
                seen.add(kind)
                ahead.append(link)
    return found


@pytest.mark.long
def test_nothing_is_left_in_english(
    demonstration: StoredDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    known = language.languages()
    monkeypatch.setattr(language, "languages", lambda: {**known, "qps": made_up()})
    found = left_behind(demonstration)
    assert len(found) > 20
    assert {path: texts for path, texts in found.items() if texts} == {}
