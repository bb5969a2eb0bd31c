"""A quick measure of honesty; `python -m benchmarks.honesty` is the larger one."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from benchmarks import learning
from benchmarks.honesty import Outcome, chance, coverage, replicate

REPLICATES = 24
HOURS = np.arange(0.0, 30.0, 1 / 6)


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


def test_what_was_learned_forecasts_better(outcomes: list[Outcome]) -> None:
    taught = np.mean([each.error for each in outcomes])
    assert taught < 0.7 * np.mean([each.error_untaught for each in outcomes])


def test_a_place_that_strays_leaves_the_bands_honest() -> None:
    """The place is 1.2 K off or so at each feed, and nobody knows how far; limits as above."""
    found = [replicate(seed, 4, 4, spread_k=1.2) for seed in range(2000, 2000 + REPLICATES)]
    assert 0.655 <= coverage(np.array([each.rises for each in found])) <= 0.945
    ranks = np.array([each.traits for each in found]).ravel()
    assert chance(ranks) > 0.005


def test_uneven_ranks_are_noticed() -> None:
    level = (np.arange(240) + 0.5) / 240
    assert chance(level) > 0.9
    assert chance(0.25 + 0.5 * level) < 0.001, "a band too wide"
    assert chance(level**2) < 0.001, "a band too high"
    assert coverage(level) == pytest.approx(0.8)


def test_the_baselines_find_the_curve_they_assume() -> None:
    """Modified Gompertz, Zwietering 1990: height 200 px, 25 px/h, lag 5 h; and a straight line."""
    inner = 25.0 * np.e / 200.0 * (5.0 - HOURS) + 1.0
    height = 200.0 * np.exp(-np.exp(inner))
    found = learning.gompertz(HOURS[:80], height[:80], HOURS[80:])
    assert found == pytest.approx(height[80:], rel=1e-3)
    line = learning.slope(HOURS[:80], 3.0 * HOURS[:80], HOURS[80:])
    assert line == pytest.approx(3.0 * HOURS[80:])


def test_simulated_tubes_are_forecast(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Tubes of other draws than the pool's, read with errors, in the file's format."""
    monkeypatch.setattr(learning, "LOTS", 40)
    monkeypatch.setattr(learning, "LOT", 25)
    rng = np.random.default_rng(3)
    true = learning.pool(learning.Population(), seed=98)
    rows = ["tube,dough,hours,height_px"]
    for number in range(30):
        shape = true.shape[int(rng.integers(len(true.shape)))]
        top = 180.0 * np.exp(0.4 * rng.standard_normal())
        for hours in HOURS:
            height = top * np.interp(hours, true.hours, shape) + 2.0 * rng.standard_normal()
            rows.append(f"1-{number}-a-{number},{number},{hours:.4f},{max(height, 0.0):.1f}")
    file = tmp_path / "tubes.csv"
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    assert learning.main([str(file)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["tubes"] == 30
    parts = [answer["first_third"], answer["first_half"]]
    ours, slope, gompertz = (sum(p[m] for p in parts) for m in ("ours", "slope", "gompertz"))
    assert ours < 0.75 * min(slope, gompertz)
    # Thirty tubes: 0.8 ± 2.5·0.4/√30 at each part, since the points of one tube go together.
    assert all(0.61 <= p["coverage_80"] <= 0.99 for p in parts)


def test_a_file_that_is_not_there_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert learning.main(["nowhere.csv"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
