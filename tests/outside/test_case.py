"""The rule by which a case holds can say no, and every case says what it is."""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from tests.outside.case import HELD_BACK, Case, Departure, Topic, held_back
from tests.outside.topics import TOPICS

SOURCE = Path(__file__).resolve().parents[2] / "src" / "pointage"


def nothing() -> float:
    return 0.0


def test_a_number_is_held_within_its_tolerance() -> None:
    assert Case("", 2.0, nothing, 0.1).holds(2.1)
    assert not Case("", 2.0, nothing, 0.1).holds(2.11)
    assert Case("", 20.0, nothing, 0.1, relative=True).holds(21.9)
    assert not Case("", 20.0, nothing, 0.1, relative=True).holds(22.1)


def test_a_range_is_held_as_it_stands() -> None:
    between = Case("", (4.0, 6.0), nothing)
    assert between.holds(4.0)
    assert between.holds(6.0)
    assert not between.holds(6.01)
    assert not between.holds(3.99)


def test_no_value_never_holds() -> None:
    assert not Case("", (4.0, 6.0), nothing, 100.0).holds(math.nan)
    assert not Case("", 4.0, nothing, 100.0).holds(math.nan)
    assert not Case("", 4.0, nothing, 0.1, departure=Departure(9.0, "")).holds(math.nan)


def test_a_departure_that_is_mended_or_grows_is_noticed() -> None:
    departs = Case("", 4.0, nothing, 0.1, departure=Departure(0.3, "known"))
    assert departs.holds(4.2)
    assert not departs.holds(4.05)
    assert not departs.holds(4.4)


def test_a_case_that_does_not_say_what_it_is_is_refused() -> None:
    silent, held = Case("", 4.0, nothing), Case("", 4.0, nothing, sets=HELD_BACK)
    with pytest.raises(ValueError, match="fitted or held back"):
        Topic("title", "source", "why", (silent,)).set_by(silent)
    with pytest.raises(ValueError, match="fitted or held back"):
        list(held_back((Topic("title", "source", "why", (held, silent)),)))


@pytest.mark.parametrize("topic", TOPICS, ids=lambda topic: topic.title)
def test_every_case_says_what_was_set_by_it(topic: Topic) -> None:
    """The constants named are there: parameters, whole growth sets or constants of the core."""
    assert topic.source
    assert topic.why
    for case in topic.cases:
        named = topic.set_by(case)
        assert set(named.split(", ")) <= constants() | {HELD_BACK}, named


@cache
def constants() -> frozenset[str]:
    found: set[str] = set()
    for path in SOURCE.glob("data/parameters/*.toml"):
        found |= {path.stem, *_paths(tomllib.loads(path.read_text("utf-8")))}
    for path in SOURCE.glob("*/*.py"):
        found |= set(re.findall(r"^([A-Z][A-Z0-9_]+)\b.* = ", path.read_text("utf-8"), re.M))
    return frozenset(found)


def _paths(table: dict[str, Any]) -> set[str]:
    inner = {key: value for key, value in table.items() if isinstance(value, dict)}
    return set(table) | {f"{key}.{path}" for key, value in inner.items() for path in _paths(value)}


@pytest.mark.parametrize("topic", TOPICS, ids=lambda topic: topic.title)
def test_practice_never_stands_under_published(topic: Topic) -> None:
    """A topic has one or the other, since its heading and the head of its column say which."""
    says = "common practice, no source" in topic.source.lower()
    assert topic.practice == says
