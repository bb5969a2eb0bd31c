"""Friction is learned from doughs, and one wild reading does not make it."""

from __future__ import annotations

import random
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError
from pointage.kitchen.file.mixer import Mixer
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.friction import Friction, before_any_dough, learn_friction

frictions = st.floats(0.0, 15.0)
readings = st.lists(st.floats(-3.0, 20.0), min_size=1, max_size=12)

EXAMPLE = (Path(__file__).parents[2] / "examples" / "kitchen.toml").read_text(encoding="utf-8")


@given(frictions, readings)
def test_belief_lies_between_what_was_believed_and_what_was_seen(
    told: float, seen: list[float]
) -> None:
    believed = before_any_dough(told)
    learned = learn_friction(believed, seen)
    low, high = min(told, *seen), max(told, *seen)
    assert low - 0.05 <= learned.kelvin <= high + 0.05
    assert learned.spread_k > 0.0
    assert learned.doughs == len(seen)


@given(frictions, readings, st.randoms(use_true_random=False))
def test_the_order_of_the_doughs_is_no_matter(
    told: float, seen: list[float], by: random.Random
) -> None:
    believed = before_any_dough(told)
    shuffled = list(seen)
    by.shuffle(shuffled)
    assert learn_friction(believed, shuffled).kelvin == pytest.approx(
        learn_friction(believed, seen).kelvin, abs=1e-9
    )


@given(frictions, st.floats(0.0, 12.0))
def test_doughs_that_agree_narrow_it_and_bring_it_to_what_they_say(
    told: float, true: float
) -> None:
    believed = before_any_dough(told)
    few, many = learn_friction(believed, [true] * 3), learn_friction(believed, [true] * 12)
    assert abs(many.kelvin - true) <= abs(few.kelvin - true) + 0.01
    assert abs(many.kelvin - true) < 0.5 + 0.1 * abs(told - true)
    if abs(true - told) < 2 * believed.spread_k:  # further out, doughs first make it less sure
        assert many.spread_k < few.spread_k < believed.spread_k


@given(st.floats(1.0, 8.0), st.floats(-12.0, 25.0))
def test_one_wild_reading_moves_it_little(true: float, wild: float) -> None:
    believed = before_any_dough(2.0)
    seen = [true + off for off in (-0.4, 0.3, 0.1, -0.2, 0.4)]
    sober = learn_friction(believed, seen)
    drunk = learn_friction(believed, [*seen, wild])
    # In a mean of six a reading 20 K off would move it by more than 3 K.
    assert abs(drunk.kelvin - sober.kelvin) < 0.5


def test_a_hidden_friction_is_found_with_an_honest_spread() -> None:
    """Twenty kitchens of known friction, six doughs each with 0.8 K of noise: most within 2 σ."""
    by, within = random.Random(7), 0
    for _ in range(20):
        hidden = by.uniform(1.0, 4.0)
        seen = [by.gauss(hidden, 0.8) for _ in range(6)]
        found = learn_friction(before_any_dough(2.0), seen)
        within += abs(found.kelvin - hidden) < 2 * found.spread_k
    assert within >= 17


def test_nothing_seen_leaves_what_was_believed() -> None:
    assert learn_friction(Friction(2.0, 1.5), []) == Friction(2.0, 1.5, 0)


def test_a_mixer_warms_as_told_or_by_its_power_or_by_its_way() -> None:
    """10 min of 200 W on 10 kg are 12 kJ/kg, and wetting 5.65: 17.65 over 2.762 is 6.4 K."""
    assert Mixer("A", "planetary", friction_k=5.0).warming_k(10.0, 8.0) == 5.0
    assert Mixer("B", "planetary", power_w=200.0).warming_k(10.0, 10.0) == pytest.approx(6.39, 5e-3)
    slow = Mixer("C", "spiral-slow").warming_k(7.0, 8.0)
    assert Mixer("D", "spiral-fast").warming_k(7.0, 8.0) > slow + 2.0


@pytest.mark.parametrize(
    ("friction", "power", "named"),
    [
        ("80C", None, "friction"),
        (None, "5W", "power"),
        (None, "5", "power"),
        ("5C", "90W", "power"),
    ],
)
def test_a_mixer_that_cannot_be_is_refused(
    friction: str | None, power: str | None, named: str
) -> None:
    said = {"friction": friction, "power": power}
    lines = [f'{key} = "{text}"' for key, text in said.items() if text]
    table = "\n".join(['[[mixer]]\nname = "Spiral"\nway = "spiral-slow"', *lines])
    with pytest.raises(InputError, match=f"kitchen.toml, mixer 'Spiral', {named}"):
        read_kitchen(f"{EXAMPLE}\n{table}\n", datetime(2026, 11, 26, tzinfo=UTC))
