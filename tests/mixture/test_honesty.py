"""A quick measure of honesty; `python -m benchmarks.honesty` is the larger one."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.append(str(Path(__file__).parents[2]))  # benchmarks stand beside src, not installed

from benchmarks.honesty import Outcome, chance, coverage, replicate

REPLICATES = 24


@pytest.fixture(scope="module")
def outcomes() -> list[Outcome]:
    return [replicate(seed, feeds=4, readings=4) for seed in range(1000, 1000 + REPLICATES)]


def test_the_band_holds_about_as_often_as_it_says(outcomes: list[Outcome]) -> None:
    """Six rises of one feed are nearly two independent ones: 0.8 ± 2.5·0.4/√48."""
    found = coverage(np.array([each.rises for each in outcomes]))
    assert 0.655 <= found <= 0.945


def test_ranks_of_the_true_traits_are_level(outcomes: list[Outcome]) -> None:
    ranks = np.array([each.traits for each in outcomes]).ravel()
    assert chance(ranks) > 0.005
    assert abs(ranks.mean() - 0.5) < 3 * np.sqrt(1 / 12 / len(ranks))


def test_what_was_learned_foretells_better(outcomes: list[Outcome]) -> None:
    taught = np.mean([each.error for each in outcomes])
    assert taught < 0.7 * np.mean([each.error_untaught for each in outcomes])


def test_uneven_ranks_are_noticed() -> None:
    level = (np.arange(240) + 0.5) / 240
    assert chance(level) > 0.9
    assert chance(0.25 + 0.5 * level) < 0.001, "a band too wide"
    assert chance(level**2) < 0.001, "a band too high"
    assert coverage(level) == pytest.approx(0.8)
