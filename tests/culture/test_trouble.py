"""Signs and trouble: odds that are odds, the bin where the bin is due, and a feed that is one."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.culture.mature import feed, mature
from pointage.culture.trouble import causes, questions
from pointage.data import load
from pointage.errors import InputError
from pointage.mixture.hold import hold
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import median_traits

ASKED = {question.key: sorted(question.answers) for question in questions()}
ANSWERS = st.fixed_dictionaries({}, optional={k: st.sampled_from(v) for k, v in ASKED.items()})
ONE = median_traits()


@given(ANSWERS)
def test_odds_are_odds_and_mould_or_pink_is_always_the_bin(answers: dict[str, str]) -> None:
    found = causes(answers, hydration=Fraction(1))
    assert found
    assert 0 < sum(cause.odds for cause in found) <= 1 + 1e-9
    assert [cause.odds for cause in found] == sorted((c.odds for c in found), reverse=True)
    if answers.get("surface") == "fuzzy" or answers.get("colour") == "pink":
        assert len(found) == 1
        assert found[0].discard
        assert found[0].remedy is None


@pytest.mark.parametrize(
    ("answers", "likeliest"),
    [
        ({"rise": "fallen", "smell": "solvent", "surface": "liquid"}, "hungry"),
        ({"rise": "none", "smell": "flour", "surface": "smooth"}, "cold"),
        ({"rise": "little", "rest": "long", "surface": "liquid"}, "asleep"),
        ({"rise": "none", "smell": "foul", "age": "young"}, "young"),
        ({"rise": "little", "smell": "vinegar", "rest": "no"}, "sour"),
        ({"surface": "skin"}, "dry"),
        ({"rise": "usual", "smell": "sour", "surface": "bubbles"}, "sound"),
    ],
)
def test_plain_cases_of_the_trade(answers: dict[str, str], likeliest: str) -> None:
    """Common practice, no source."""
    assert causes(answers, hydration=Fraction(1))[0].key == likeliest


def odds_of(key: str, celsius: float, hours: float) -> float:
    fed = feed(mature({"wheat-white": 1.0}, 1.0, ONE), 20, {"wheat-white": 100.0}, 100.0, celsius)
    start = datetime(2026, 12, 1, tzinfo=UTC)
    course = hold(fed, Constant(celsius), start, 36.0, ONE)
    found = causes({"rise": "little"}, hydration=Fraction(1), expected=course, elapsed_h=hours)
    return next((cause.odds for cause in found if cause.key == key), 0.0)


def test_the_engine_has_its_word() -> None:
    """After six hours at 16 °C nothing is late; after 30 at 28 °C it is past its height."""
    assert odds_of("cold", 16.0, 6.0) > odds_of("cold", 28.0, 30.0) + 0.2
    assert odds_of("hungry", 28.0, 30.0) > odds_of("hungry", 16.0, 6.0) + 0.1


def test_a_remedy_is_a_feed() -> None:
    found = causes({"smell": "vinegar", "rise": "little"}, hydration=Fraction(3, 5))[0].remedy
    assert found is not None
    assert [found.seed_g, found.flour_g, found.water_g] == [20, 200, 120]
    assert found.feeds == 3


def test_every_sign_named_by_a_cause_is_an_answer() -> None:
    table: dict[str, Any] = load("trouble.toml")["cause"]
    for cause in table.values():
        for key, named in cause["signs"].items():
            assert set(named) <= set(ASKED[key])
            assert sum(named.values()) < 1.0
    assert sum(cause["usual"] for cause in table.values()) == pytest.approx(1.0)


@pytest.mark.parametrize(("key", "answer"), [("taste", "good"), ("rise", "tripled")])
def test_an_answer_there_is_not_is_refused(key: str, answer: str) -> None:
    with pytest.raises(InputError, match="one of"):
        causes({key: answer}, hydration=Fraction(1))
