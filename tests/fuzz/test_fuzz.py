"""A slice of scripts/fuzz.py, the same each time: no reader fails, whatever it is given."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from random import Random
from time import process_time
from typing import Any

import pytest
from starlette.routing import Route
from tests.conftest import EVERYTHING
from tests.fuzz import commands, pages, readers
from tests.fuzz.meter import Reader, Wrong, measure

from pointage.errors import InputError

PATIENT_S = 20.0
"""Ten times what scripts/fuzz.py allows: here it is for what never ends."""

CHEAP = {reader.name: reader for reader in readers.readers()}
INPUTS = {"quantities": 6000, "archive": 25}
PART = 1 if EVERYTHING else 4
"""Of the inputs one in so many is tried."""


def _slice(reader: Reader, inputs: int) -> None:
    found = measure(reader, inputs, Random(f"a slice of {reader.name}"), PATIENT_S)
    assert not found.failures, json.dumps(list(found.failures.values()), indent=2)
    assert found.inputs == inputs
    assert 0 < found.refused < inputs or reader.name in ("page", "form", "probe", "command")


@pytest.mark.parametrize("name", CHEAP)
def test_a_reader_refuses_in_a_line_or_reads(name: str) -> None:
    _slice(CHEAP[name], INPUTS.get(name, 300) // PART)


@pytest.fixture(scope="module")
def site() -> Iterator[pages.Site]:
    opened = pages.Site()
    yield opened
    opened.close()


@pytest.mark.long
def test_pages_and_forms_answer(site: pages.Site) -> None:
    _slice(Reader("page", 1, site.query, site.get), 40)
    _slice(Reader("form", 1, site.form, site.post), 40)
    _slice(Reader("probe", 1, site.message, site.tell), 100)


SLOW = {"/cultures/raise/share", "/cultures/raise/page.html"}
"""Seconds of the engine each, and they take nothing; their own tests ask them."""


@pytest.mark.long
def test_every_route_is_asked(site: pages.Site) -> None:
    """A new page or form is found by itself."""
    routes = [each for each in site.hall.app.routes if isinstance(each, Route)]
    posted = [each for each in routes if "POST" in (each.methods or ())]
    for route in posted:
        assert any(route.path_regex.match(form.action) for form in site.forms), route.path
    asked = set(site.pages.values()) | SLOW
    assert {each.path for each in routes if "GET" in (each.methods or ())} <= asked
    assert {"revision", "hours", "page", "first", "for"} <= set(site.names)


def test_every_command_and_option_is_given() -> None:
    lines = commands.Lines()
    try:
        made = [lines.make(Random(seed))[0] for seed in range(6000)]
        _slice(Reader("command", 1, lines.make, lines.run), 60 // PART)
    finally:
        lines.close()
    words = {word.partition("=")[0] for line in made for word in line}
    for name, command in commands.commands().items():
        assert any(" ".join(line).startswith(name) for line in made)
        options = {opt for each in command.params for opt in each.opts if opt.startswith("--")}
        assert options <= words


def _fails(read: Callable[[Any], object], given: Any) -> list[dict[str, Any]]:
    reader = Reader("x", 1, lambda rng: given, read)
    return list(measure(reader, 1, Random(1), most_s=0.5).failures.values())


@pytest.mark.long
def test_the_meter_sees_what_is_wrong_and_makes_it_small() -> None:
    def refuses(text: str) -> None:
        raise InputError("x", text, "another")

    def breaks(text: str) -> None:
        if "b" in text:
            raise KeyError(text)

    def answers_badly(_: str) -> None:
        raise Wrong("status 500")

    def is_slow(_: str) -> None:
        until = process_time() + 0.7  # however quick the machine is
        while process_time() < until:
            pass

    assert _fails(refuses, "abc") == []
    (found,) = _fails(breaks, "a" * 300 + "b" + "c" * 300)
    assert found["input"] == "'b'"
    assert found["what"].startswith("KeyError")
    assert "status 500" in _fails(answers_badly, "")[0]["what"]
    assert "more than 0.5 s" in _fails(is_slow, "")[0]["what"]
    assert "more than 200 MB" in _fails(lambda _: bytearray(300_000_000), "")[0]["what"]
