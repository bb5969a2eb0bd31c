"""What readings are judged by is averaged over what nobody knows, and must be that integral."""

from __future__ import annotations

import numpy as np

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
