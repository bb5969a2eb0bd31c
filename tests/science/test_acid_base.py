"""pH from the balance of charge, from wherever the solver begins."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.science.acid_base import PKA_ACETIC, PKA_LACTIC, dissociated, ph_by_charge

NEUTRAL = 6.05


@given(st.floats(3.0, 6.0), st.floats(0.005, 0.03), st.floats(0.0, 1.0), st.floats(3.0, NEUTRAL))
def test_the_acids_of_a_ph_give_that_ph_from_any_guess(
    ph: float, buffer: float, acetic: float, guess: float
) -> None:
    given_up = dissociated(ph, PKA_LACTIC) + acetic * dissociated(ph, PKA_ACETIC)
    lactic = buffer * (NEUTRAL - ph) / given_up
    assert ph_by_charge(lactic, acetic * lactic, buffer, NEUTRAL, guess) == pytest.approx(
        ph, abs=1e-5
    )


@pytest.mark.parametrize("ph", [3.64, 3.66, 3.68, 3.70, 3.72])
def test_steps_do_not_go_to_and_fro_from_neutral(ph: float) -> None:
    """From neutral a whole step lands below, and the next one back above: `mix` begins there."""
    lactic = 0.0095 * (NEUTRAL - ph) / dissociated(ph, PKA_LACTIC)
    assert ph_by_charge(lactic, 0.0, 0.0095, NEUTRAL, NEUTRAL) == pytest.approx(ph, abs=1e-5)
