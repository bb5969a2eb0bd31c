"""What readings are judged by is averaged over what nobody knows, and must be that integral."""

from __future__ import annotations

import numpy as np
import pytest

from pointage.mixture.learning import surface
from pointage.mixture.learning.surface import PACES, Judge

READ = 3
"""So many readings of one mix; a spread of its pace is three errors of each if it is slow, else one
and a half: a rise of 1.75 for an e-fold of time is the steepest."""
FALLS = np.where(PACES < 0, -3.0, -1.5) * PACES


def judge() -> Judge:
    several, none = np.arange(READ), np.zeros(READ, dtype=bool)
    pace = np.repeat(FALLS[:, None], READ, axis=1)
    shifts = (np.zeros(READ), pace)
    return Judge.of(none, several, shifts, np.zeros(READ, dtype=int), none)


def test_the_pace_of_a_mix_is_integrated_over_wherever_it_lies() -> None:
    """Against the integral of (1 − ε)·t(z) + ε·N(z/8)/8 over a normal pace, by 4001 points.

    A quarter in the logarithm is a quarter of an error in a reading that is off by one.
    """
    paces = np.linspace(-6.0, 6.0, 4001)
    falls = np.where(paces < 0, -3.0, -1.5) * paces
    truths = np.linspace(-2.4, 2.4, 33)
    gaps = -np.repeat(np.interp(truths, paces, falls)[:, None], READ, axis=1)
    z = gaps[:, :1] + falls
    half = (surface.FREEDOM + 1) / 2
    right = np.exp(surface.T_AT_NOUGHT) * (1 + z**2 / surface.FREEDOM) ** -half
    wide = surface.STRAY_ERRORS
    each = (1 - surface.STRAYS) * right + surface.STRAYS * np.exp(-0.5 * (z / wide) ** 2) / wide
    normal = np.exp(-0.5 * paces**2)
    exact = np.log((each**READ * normal).sum(axis=1) / normal.sum())
    ours = judge().log_likelihood(gaps)
    assert np.abs(ours - exact).max() < 0.25


def test_two_likelihoods_are_added_by_their_logarithms() -> None:
    """Also where one is nothing at all, or far beyond what a number may be."""
    a = np.array([-3.0, 2.0, 0.0, -2e4, 900.0])
    b = np.array([-1.0, 2.0, -np.inf, -1e4, -900.0])
    np.testing.assert_allclose(surface._log_sum(a, b), np.logaddexp(a, b), rtol=1e-14)


@pytest.mark.parametrize("slips", ["never", "some", "ever"])
@pytest.mark.parametrize("spread", [0.3, 3.0, 1e3])
@pytest.mark.parametrize("signs", ["none", "some", "all"])
def test_compiled_likelihoods_are_those_of_each_observation(
    signs: str, spread: float, slips: str
) -> None:
    """`parts` says it of each observation by logarithms; here they are added up by node."""
    rng = np.random.default_rng(2)
    one_sided = {"none": np.zeros(7, bool), "some": np.arange(7) == 3, "all": np.ones(7, bool)}
    sure = {"ever": np.zeros(5, bool), "some": np.arange(5) % 2 == 1, "never": np.ones(5, bool)}
    shifts = rng.normal(size=7), rng.normal(size=(len(PACES), 7))
    first, history = np.array([0, 1, 3, 4, 6]), np.array([0, 0, 0, 1, 1])
    judge = Judge.of(one_sided[signs], first, shifts, history, sure[slips])
    gaps, own = spread * rng.normal(size=(11, 7)), rng.random(7)
    by_node = []
    for moved, log_odds in zip(judge.moved, judge.log_odds, strict=True):
        each = surface._log_sum(*judge.parts(gaps + moved, own))
        by_node.append(np.add.reduceat(each, [0, 3], axis=-1) + log_odds)
    expected = np.logaddexp.reduce(np.array(by_node), axis=0).sum(axis=1)
    np.testing.assert_allclose(judge.log_likelihood(gaps, own), expected, rtol=1e-11)
    odds = judge.node_odds(gaps)
    np.testing.assert_allclose(odds.sum(axis=0), 1.0, rtol=1e-12)
