"""A quick measure of honesty; `python -m benchmarks.honesty` is the larger one."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from benchmarks import learning, tubes
from benchmarks.honesty import Outcome, chance, coverage, replicate
from tests.conftest import EVERYTHING

REPLICATES = 24 if EVERYTHING else 10
HOURS = np.arange(0.0, 30.0, 1 / 6)


@pytest.fixture(scope="module")
def outcomes() -> list[Outcome]:
    return [replicate(seed, feeds=4, readings=4) for seed in range(1000, 1000 + REPLICATES)]


def test_the_band_holds_about_as_often_as_it_says(outcomes: list[Outcome]) -> None:
    """Six rises of one feed are nearly two independent ones: 0.8 ± 2.5·0.4/√48 where all are."""
    found = coverage(np.array([each.rises for each in outcomes]))
    assert abs(found - 0.8) <= 2.5 * 0.4 / np.sqrt(2 * REPLICATES)


def test_ranks_of_the_true_traits_are_level(outcomes: list[Outcome]) -> None:
    ranks = np.array([each.traits for each in outcomes]).ravel()
    assert chance(ranks) > 0.005
    assert abs(ranks.mean() - 0.5) < 3 * np.sqrt(1 / 12 / len(ranks))


def test_what_was_learned_forecasts_better(outcomes: list[Outcome]) -> None:
    taught = np.mean([each.error for each in outcomes])
    assert taught < 0.7 * np.mean([each.error_untaught for each in outcomes])


@pytest.mark.long
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


def simulated(courses: tubes.Pool, doughs: int, rng: np.random.Generator) -> list[str]:
    """Rows of three tubes a dough: one course of the engine, other heights, read with errors."""
    rows = ["tube,dough,hours,height_px"]
    for dough in range(doughs):
        shape = courses.shape[:, int(rng.integers(courses.shape.shape[1]))]
        for tube in range(3):
            top = 180.0 * np.exp(0.4 * rng.standard_normal())
            for hours in HOURS:
                height = top * np.interp(hours, courses.hours, shape) + 2.0 * rng.standard_normal()
                rows.append(f"{dough}-{tube},{dough},{hours:.4f},{max(height, 0.0):.1f}")
    return rows


@pytest.mark.long
def test_simulated_tubes_are_forecast(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Tubes of other draws than the pool's, in the file's format."""
    monkeypatch.setattr(tubes, "LOTS", 80)
    true = tubes.pool(tubes.Priors(), seed=98)
    file = tmp_path / "tubes.csv"
    rows = simulated(true, 12, np.random.default_rng(3))
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    assert learning.main([str(file)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["tubes"], answer["doughs"]) == (36, 12)
    assert answer["priors"]["celsius"] == [16.0, 27.0]
    parts = [answer["first_third"], answer["first_half"]]
    ours, slope, gompertz = (sum(p[m] for p in parts) for m in ("ours", "slope", "gompertz"))
    assert ours < 0.75 * min(slope, gompertz)
    for part in parts:
        best = min(part["slope"], part["gompertz"])
        assert part["ratio"] == pytest.approx(part["ours"] / best, abs=0.01)
        for name, (low, high) in part["interval_95"].items():
            assert low <= part[name] <= high
        # Twelve doughs, whose tubes go together: 0.8 ± 2.5·0.4/√12, and no more than all.
        assert part["coverage_80"] >= 0.51


def test_what_is_learned_is_of_other_doughs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each population is learned from the whole tubes of all doughs but the one forecast."""
    monkeypatch.setattr(tubes, "LOTS", 20)
    heights = 100.0 / (1.0 + np.exp(10.0 - HOURS))
    found = [
        learning.Tube(batch, dough, HOURS, (i + 1) * heights)
        for i, (batch, dough) in enumerate(zip("1112", "aabc", strict=True))
    ]
    courses = tubes.pool(tubes.Priors())
    whole = [courses.by_lot(tubes.likelihood(courses, t.hours, t.height)) for t in found]
    seen: list[list[int]] = []

    def learn(
        priors: tubes.Priors, courses: tubes.Pool, others: list[tubes.Singles]
    ) -> tubes.Population:
        seen.append([i for o in others for i, w in enumerate(whole) if np.array_equal(o, w)])
        return tubes.learn(priors, courses, others)

    def of_batch(population: tubes.Population, beside: list[tubes.Singles]) -> tubes.Population:
        same.append([i for o in beside for i, w in enumerate(whole) if np.array_equal(o, w)])
        return tubes.of_batch(population, beside)

    same: list[list[int]] = []
    monkeypatch.setattr(learning, "learn", learn)
    monkeypatch.setattr(learning, "of_batch", of_batch)
    learning.compare(found, tubes.Priors(), courses)
    assert seen == [[2, 3], [0, 1, 3], [0, 1, 2]]
    assert same == [[2], [2], [0, 1], []]


def test_a_batch_is_in_the_name_of_a_tube(tmp_path: Path) -> None:
    rows = ["tube,dough,hours,height_px"]
    rows += [f"{tube},7,{at},{at}" for tube in ("3-7-a-1", "12-7-b", "blank") for at in range(8)]
    (tmp_path / "tubes.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    assert [t.batch for t in learning.tubes(tmp_path / "tubes.csv")] == ["3", "12", ""]


def test_tall_tubes_of_other_doughs_raise_the_heights_believed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(tubes, "LOTS", 20)
    courses = tubes.pool(tubes.Priors())
    height = 400.0 / (1.0 + np.exp((12.0 - HOURS) / 2.0))
    others = [courses.by_lot(tubes.likelihood(courses, HOURS, height))] * 5
    alone, taught = (tubes.learn(tubes.Priors(), courses, each) for each in ([], others))
    believed = [np.exp(each.height[0]) for each in (alone, taught)]
    assert believed[0] == pytest.approx(180.0, rel=0.1)
    assert believed[1] > 300.0
    assert taught.lots.sum() == pytest.approx(1.0)
    # Of its own batch five count as much as all the others together.
    beside = tubes.of_batch(alone, others)
    assert 180.0 < np.exp(beside.height[0]) < believed[1]
    assert beside.height[1] == alone.height[1]
    assert beside.lots.sum() == pytest.approx(1.0)
    assert tubes.of_batch(alone, []) is alone


@pytest.mark.parametrize(
    "text",
    [
        "",
        "tube,dough,hours,height_px\n",
        "tube,hours,height_px\na,0,0\n",
        "tube,dough,hours,height_px\na,1,0,high\n",
        "tube,dough,hours,height_px\na,1,nan,0\n",
        "tube,dough,hours,height_px\na,1,0,0\n",
    ],
)
def test_a_file_of_no_use_is_one_line(
    text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "tubes.csv"
    file.write_text(text, encoding="utf-8")
    assert learning.main([str(file)]) == 2
    assert learning.main([str(tmp_path / "nowhere.csv")]) == 2
    assert capsys.readouterr().err.count("\n") == 2
