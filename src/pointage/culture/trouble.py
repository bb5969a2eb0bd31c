"""Signs and trouble: likely causes, by what is seen and by the engine, and a feed to mend it.

P(cause | answers) ∝ how common it is × Π P(answer | cause) × P(what the engine says | cause). Mould
and coloured streaks are not weighed: seen, they mean discard.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor, log2
from typing import Any

import numpy as np

from pointage.culture.upkeep import LEAST_SEED_G
from pointage.data import load
from pointage.errors import InputError
from pointage.language import say
from pointage.mixture.course import Course
from pointage.shown import warmth

AGREES = 0.7
"""Odds that a course by the engine shows what the cause says of it: ours."""
EARLY_RISE = 0.5  # of its own highest: before, the hours were too few
WORTH_NAMING = 0.05
WARM_C = 22.0
LIKELY = 0.8  # odds of a cause from which no more is asked: ours
LEAST_LEARNED = 0.1  # bits; less is not worth a question: ours
SPEAKS = 1.2  # so much likelier than on the whole: ours
SAFETY = ("colour", "surface")
"""Asked before all else, for what they may show goes away whole."""


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
    """A likely cause. odds: of all causes together 1. discard: there is no remedy but the bin.

    evidence: the questions whose answers speak for it. expected: whether the engine's course of its
    last feed does. give_up: when to.
    """

    key: str
    title: str
    odds: float
    discard: bool
    why: str
    watch: str
    remedy: Remedy | None
    evidence: tuple[str, ...] = ()
    expected: bool = False
    give_up: str = ""


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
    most_g: Fraction | None = None,
    expected: Course | None = None,
    elapsed_h: float | None = None,
) -> tuple[Cause, ...]:
    """The causes worth showing, the likeliest first.

    answers: question to answer, both by key; some may be left out. expected: what the engine says
    the last feed should have done in its place, and elapsed_h the hours since. seed_g: kept for the
    remedy's feed, less where that would be more than `most_g`, what its jar takes. Raises
    InputError for a question or answer there is not.
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
    odds = _odds(table, answers, asked, course)
    found = [
        replace(
            _cause(key, table[key], share, hydration, (seed_g, most_g)),
            evidence=tuple(_speaking(key, table, answers)),
            expected=course is not None and table[key].get("engine") == course,
        )
        for key, share in odds.items()
        if share >= WORTH_NAMING
    ]
    return tuple(sorted(found, key=lambda cause: -cause.odds))


def next_question(
    answers: Mapping[str, str], expected: Course | None = None, elapsed_h: float | None = None
) -> TroubleQuestion | None:
    """What to ask next: first what is a matter of safety, then what tells the causes apart best.

    That is the question whose answer leaves the least doubt, Σ P(answer)·H(causes | answer), H in
    bits. None once one cause is likely enough, or nothing more would be learned. answers: by key,
    what is known besides.
    """
    asked = {question.key: question for question in questions()}
    table: Mapping[str, Any] = load("trouble.toml")["cause"]
    course = None if expected is None or elapsed_h is None else _says(expected, elapsed_h)
    odds = _odds(table, answers, asked, course)
    if any(table[key].get("discard") and share == 1.0 for key, share in odds.items()):
        return None
    open_ = [question for key, question in asked.items() if key not in answers]
    for question in open_:
        if question.key in SAFETY:
            return question
    if not open_ or max(odds.values()) >= LIKELY:
        return None

    def doubt_left(question: TroubleQuestion) -> float:
        left = 0.0
        for answer in question.answers:
            chance = sum(
                share * _likelihood(table[key], {question.key: answer}, asked)
                for key, share in odds.items()
            )
            after = _odds(table, {**answers, question.key: answer}, asked, course)
            left += chance * _bits(after.values())
        return left

    best = min(open_, key=doubt_left)
    return best if _bits(odds.values()) - doubt_left(best) >= LEAST_LEARNED else None


def _odds(
    table: Mapping[str, Any],
    answers: Mapping[str, str],
    asked: Mapping[str, TroubleQuestion],
    course: str | None,
) -> dict[str, float]:
    """P(cause | answers); what is seen and means discard is certain."""
    for key, each in table.items():
        if each.get("discard") and _is_seen(each, answers):
            return dict.fromkeys(table, 0.0) | {key: 1.0}
    weights = {
        key: each["usual"] * _likelihood(each, answers, asked) * _agreement(each, course)
        for key, each in table.items()
    }
    whole = sum(weights.values())
    return {key: weight / whole for key, weight in weights.items()}


def _bits(odds: Iterable[float]) -> float:
    return -sum(share * log2(share) for share in odds if share > 0)


def _speaking(key: str, table: Mapping[str, Any], answers: Mapping[str, str]) -> Iterator[str]:
    """The questions whose answers are likelier with this cause than on the whole."""
    usual = sum(each["usual"] for each in table.values())
    for question, answer in answers.items():
        own = table[key]["signs"].get(question, {}).get(answer)
        others = sum(
            each["usual"] * each["signs"].get(question, {}).get(answer, 0.0)
            for each in table.values()
        )
        if own is not None and own > SPEAKS * others / usual:
            yield question


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
    key: str,
    table: Mapping[str, Any],
    odds: float,
    hydration: Fraction,
    amounts: tuple[Fraction, Fraction | None],
) -> Cause:
    remedy = None
    if "remedy" in table:
        recipe = table["remedy"]
        share = Fraction(recipe["share"]).limit_denominator(100)
        seed_g, most_g = amounts
        if most_g is not None:
            seed_g = min(seed_g, Fraction(floor(most_g / (1 + (1 + hydration) / share))))
        seed_g = max(seed_g, Fraction(LEAST_SEED_G))
        flour = Fraction(floor(seed_g / share))
        water = Fraction(floor(flour * hydration))
        remedy = Remedy(seed_g, flour, water, recipe["feeds"], float(recipe["celsius"]))
    return Cause(
        key,
        say(table["title"]),
        odds,
        table.get("discard", False),
        say(table["why"]),
        say(table["watch"]),
        remedy,
        give_up=say(table["give_up"], warm=warmth(WARM_C)) if table["give_up"] else "",
    )
