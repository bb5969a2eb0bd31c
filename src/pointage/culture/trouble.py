"""Signs and trouble: likely causes, by what is seen and by the engine, and a feed to mend it.

P(cause | answers) ∝ how common it is × Π P(answer | cause) × P(what the engine says | cause). Mould
and coloured streaks are not weighed: seen, they mean discard.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Any

import numpy as np

from pointage.data import load
from pointage.errors import InputError
from pointage.language import say
from pointage.mixture.course import Course

AGREES = 0.7
"""Odds that a course by the engine shows what the cause says of it: ours."""
EARLY_RISE = 0.5  # of its own highest: before, the hours were too few
WORTH_NAMING = 0.05


@dataclass(frozen=True, slots=True)
class TroubleQuestion:
    """One question with its answers, by key."""

    key: str
    asks: str
    answers: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Remedy:
    """Feeds that mend it: grams of one feed, how many, and the temperature of the place, °C."""

    seed_g: Fraction
    flour_g: Fraction
    water_g: Fraction
    feeds: int
    celsius: float


@dataclass(frozen=True, slots=True)
class Cause:
    """A likely cause. odds: of all causes together 1. discard: there is no remedy but the bin."""

    key: str
    title: str
    odds: float
    discard: bool
    why: str
    watch: str
    remedy: Remedy | None


def questions() -> tuple[TroubleQuestion, ...]:
    """What is asked, in order."""
    table: Mapping[str, Any] = load("trouble.toml")["question"]
    return tuple(
        TroubleQuestion(
            key,
            say(each["asks"]),
            {answer: say(label) for answer, label in each["answers"].items()},
        )
        for key, each in table.items()
    )


def causes(
    answers: Mapping[str, str],
    *,
    hydration: Fraction,
    seed_g: Fraction = Fraction(20),
    expected: Course | None = None,
    elapsed_h: float | None = None,
) -> tuple[Cause, ...]:
    """The causes worth showing, the likeliest first.

    answers: question to answer, both by key; some may be left out. expected: what the engine says
    the last feed should have done in its place, and elapsed_h the hours since. seed_g: kept for the
    remedy's feed. Raises InputError for a question or answer there is not.
    """
    asked = {question.key: question for question in questions()}
    for key, answer in answers.items():
        if key not in asked:
            raise InputError("question", repr(key), say("one of {known}", known=", ".join(asked)))
        if answer not in asked[key].answers:
            raise InputError(
                key, repr(answer), say("one of {known}", known=", ".join(asked[key].answers))
            )
    table: Mapping[str, Any] = load("trouble.toml")["cause"]
    course = None if expected is None or elapsed_h is None else _says(expected, elapsed_h)
    weights = {
        key: each["usual"] * _likelihood(each, answers, asked) * _agreement(each, course)
        for key, each in table.items()
    }
    for key, each in table.items():
        if each.get("discard") and _is_seen(each, answers):
            weights = dict.fromkeys(weights, 0.0) | {key: 1.0}
            break
    whole = sum(weights.values())
    found = [
        _cause(key, table[key], weight / whole, hydration, seed_g)
        for key, weight in weights.items()
        if weight / whole >= WORTH_NAMING
    ]
    return tuple(sorted(found, key=lambda cause: -cause.odds))


def _likelihood(
    cause: Mapping[str, Any], answers: Mapping[str, str], asked: Mapping[str, TroubleQuestion]
) -> float:
    odds = 1.0
    for key, answer in answers.items():
        named: Mapping[str, float] = cause["signs"].get(key, {})
        others = [each for each in asked[key].answers if each not in named]
        rest = max(1.0 - sum(named.values()), 0.01) / max(len(others), 1)
        odds *= named.get(answer, rest)
    return odds


def _agreement(cause: Mapping[str, Any], course: str | None) -> float:
    if course is None or "engine" not in cause:
        return 1.0
    return AGREES if cause["engine"] == course else (1.0 - AGREES) / 2


def _says(expected: Course, elapsed_h: float) -> str:
    """ "early", "due" or "late": where a sound culture would be on its course by now."""
    rise = np.median(expected.rise, axis=0) - 1.0
    row = int(np.abs(expected.hours - elapsed_h).argmin())
    top = int(rise.argmax())
    if row <= top and rise[row] < EARLY_RISE * rise[top]:
        return "early"
    return "late" if row > top and rise[row] < 0.9 * rise[top] else "due"


def _is_seen(cause: Mapping[str, Any], answers: Mapping[str, str]) -> bool:
    return any(
        answers.get(key) == answer and odds > 0.9
        for key, named in cause["signs"].items()
        for answer, odds in named.items()
    )


def _cause(
    key: str, table: Mapping[str, Any], odds: float, hydration: Fraction, seed_g: Fraction
) -> Cause:
    remedy = None
    if "remedy" in table:
        recipe = table["remedy"]
        flour = Fraction(ceil(seed_g / Fraction(recipe["share"]).limit_denominator(100)))
        water = Fraction(round(flour * hydration))
        remedy = Remedy(seed_g, flour, water, recipe["feeds"], float(recipe["celsius"]))
    return Cause(
        key,
        say(table["title"]),
        odds,
        table.get("discard", False),
        say(table["why"]),
        say(table["watch"]),
        remedy,
    )
