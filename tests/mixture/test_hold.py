"""What `hold` must keep and how it must behave, whatever the numbers."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.culture.mature import feed, mature
from pointage.data import load
from pointage.heat.flag import Flag, FlagCode
from pointage.mixture.course import BY_YEAST, Course
from pointage.mixture.hold import hold
from pointage.mixture.many import hold_from, stacked
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Constant, Logged, Stepped
from pointage.mixture.traits import draw_traits, median_traits

START = datetime(2026, 1, 1, tzinfo=UTC)
CARBON = {
    S.SUGAR: 6, S.MALTOSE: 6, S.LACTIC: 3, S.ACETIC: 2, S.ETHANOL: 2,
    S.GAS: 1, S.ESCAPED: 1,
}  # fmt: skip


def fed(seed_g: float, celsius: float = 25.0, kind: str = "wheat-white") -> Mixture:
    culture = mature({kind: 1.0}, 1.0, median_traits())
    return feed(culture, seed_g, {kind: 100.0}, 100.0, celsius)


def course(mixture: Mixture, celsius: float, hours: float = 24.0) -> Course:
    return hold(mixture, Constant(celsius), START, hours, median_traits())


def carbon(states: np.ndarray) -> float:
    return float(sum(atoms * states[0, column] for column, atoms in CARBON.items()))


@settings(deadline=None, max_examples=some(40))
@given(
    st.floats(5.0, 100.0),
    st.floats(2.0, 40.0),
    st.sampled_from(["wheat-white", "wheat-whole", "rye-whole"]),
    st.floats(0.0, 1.0),
)
def test_carbon_leaves_the_sugar_only_into_products(
    seed: float, warm: float, kind: str, gassing: float
) -> None:
    """Whatever share of the bacteria makes gas; the rest make lactic acid and nothing else."""
    mixture = fed(seed, warm, kind)
    mixture.states[:, S.GASSING] = gassing
    after = course(mixture, warm, 36.0)
    assert carbon(after.final.states) == pytest.approx(carbon(mixture.states), rel=1e-6)
    assert ((after.states[:, :, S.GASSING] >= gassing) & (after.states[:, :, S.GASSING] <= 1)).all()


@settings(deadline=None, max_examples=some(20))
@given(st.floats(0.0, 1.0), st.floats(15.0, 38.0))
def test_bacteria_make_gas_and_vinegar_as_far_as_they_are_of_that_kind(
    gassing: float, warm: float
) -> None:
    """Without yeast and early flora: a mole of gas for each mole of lactic acid of the gas makers,
    and acetic acid in a fixed share of that; all of the lactic acid is there either way.
    """
    mixture = fed(20.0, warm)
    mixture.states[:, [S.YEAST, S.EARLY]] = 0.0
    mixture.states[:, S.GASSING] = gassing
    after = course(mixture, warm, 12.0)
    change = after.states[0, -1] - after.states[0, 0]
    gas = change[S.GAS] + change[S.ESCAPED]
    last = after.states[0, -1, S.GASSING]
    assert gassing - 1e-9 <= gas / change[S.LACTIC] <= last + 1e-9
    acetic = load("parameters/kinetics.toml")["bacteria"]["acetic_per_lactic"]
    assert change[S.ACETIC] == pytest.approx(acetic * gas, rel=1e-6, abs=1e-15)
    assert change[S.LEAVENED] == 0.0


@settings(deadline=None, max_examples=some(30))
@given(st.floats(5.0, 100.0), st.floats(2.0, 60.0))
def test_ripe_is_only_said_of_what_yeast_has_raised(seed: float, warm: float) -> None:
    after = course(fed(seed, warm), warm, 36.0)
    begin, end = after.ripe()
    top = int(after.rise[0].argmax())
    change = after.states[0, top] - after.states[0, 0]
    if (
        change[S.LEAVENED] < BY_YEAST * (change[S.GAS] + change[S.ESCAPED])
        or after.rise.max() < 1.1
    ):
        assert np.isnan(begin[0])
        assert np.isnan(end[0])
    else:
        assert begin[0] > 0 or np.isnan(begin[0])


def test_at_forty_five_degrees_nothing_rises_and_nothing_is_ripe() -> None:
    scalded = course(fed(20.0, 45.0), 45.0)
    assert np.isnan(scalded.peak_h()[0])
    assert np.isnan(scalded.ripe()).all()


def test_gas_of_raw_flour_in_the_heat_is_not_called_ripe() -> None:
    """At 40 °C the early flora of flour and water raises it, and no yeast does."""
    porridge = mix([raw({"wheat-whole": 100.0}, water=100.0, celsius=40.0)])
    risen = course(porridge, 40.0, 48.0)
    assert risen.rise.max() > 1.3
    assert np.isnan(risen.ripe()).all()
    assert any((flag.code, flag.low) == (FlagCode.WARM_FOR_YEAST, 33.0) for flag in risen.flags)


@pytest.mark.parametrize(("odds", "warm", "warned"), [
    (0.3, 32.9, False), (0.3, 33.5, True), (0.3, 38.0, True), (50.0, 38.0, False),
    (50.0, 41.0, True),
])  # fmt: skip
def test_heat_is_warned_of_unless_the_culture_bears_it(
    odds: float, warm: float, warned: bool
) -> None:
    traits = replace(median_traits(), heat_odds=np.array([odds]))
    assert bool(hold(fed(20.0, warm), Constant(warm), START, 4.0, traits).flags) == warned


def test_six_hours_at_fifty_five_degrees_kill() -> None:
    """Yeast to less than a millionth; bacteria, by the FDA's figures 1.5 h to a tenth, to less than
    a thousandth. At 45 °C yeast dies too, if slowly.
    """
    left = course(fed(20.0).at_temperature(55.0), 55.0, 6.0)
    assert left.yeast[0, -1] < 1e-6 * left.yeast[0, 0]
    assert left.bacteria[0, -1] < 1e-3 * left.bacteria[0, 0]
    warm = course(fed(20.0).at_temperature(45.0), 45.0, 6.0)
    assert 0.01 < warm.yeast[0, -1] / warm.yeast[0, 0] < 0.6


@settings(deadline=None, max_examples=some(40))
@given(st.floats(5.0, 100.0), st.floats(2.0, 40.0))
def test_nothing_turns_negative_and_acid_only_grows(seed: float, warm: float) -> None:
    after = course(fed(seed, warm), warm, 48.0)
    assert (after.states > -1e-9).all()
    for acid in (S.LACTIC, S.ACETIC):
        assert (np.diff(after.states[0, :, acid]) >= -1e-12).all()
    assert (np.diff(after.ph[0]) <= 1e-5).all()


@pytest.mark.parametrize("warm", [18.0, 22.0, 26.0])
def test_more_seed_is_ripe_sooner(warm: float) -> None:
    peaks = [
        float(course(fed(seed, warm), warm, 48.0).peak_h()[0]) for seed in (5, 10, 20, 50, 100)
    ]
    assert peaks == sorted(peaks, reverse=True)


def test_warmth_up_to_the_optimum_is_quicker() -> None:
    peaks = [
        float(course(fed(20.0, warm), warm, 72.0).peak_h()[0]) for warm in (16, 19, 22, 25, 27)
    ]
    assert peaks == sorted(peaks, reverse=True)


def test_wholemeal_and_rye_rise_less_than_white() -> None:
    white, whole, rye = (
        float(course(fed(20.0, 25.0, kind), 25.0).rise.max())
        for kind in ("wheat-white", "wheat-whole", "rye-whole")
    )
    assert white > whole > rye > 1.2


def test_the_fridge_brings_a_dough_near_to_a_stop() -> None:
    cold = course(fed(20.0, 4.5), 4.5, 24.0)
    assert cold.yeast[0, -1] < 1.05 * cold.yeast[0, 0]
    warm = course(fed(20.0, 25.0), 25.0, 8.0)
    assert warm.yeast[0, -1] > 3 * warm.yeast[0, 0]


def test_a_tub_follows_its_surroundings() -> None:
    chilled = hold(fed(20.0, 25.0), Constant(4.5), START, 10.0, median_traits(), follow_h=2.0)
    warming = float(median_traits().warming[0])
    expected = 4.5 + (chilled.temperature[0, 0] - 4.5) * np.exp(-chilled.hours / (2.0 * warming))
    assert chilled.temperature[0] == pytest.approx(expected, rel=1e-3)


def test_cold_rest_costs_readiness_and_life() -> None:
    kept = hold(fed(20.0, 20.0), Constant(4.5), START, 24.0 * 21, median_traits()).final
    fresh = mature({"wheat-white": 1.0}, 1.0, median_traits())
    assert kept.states[0, S.YEAST_READY] < 0.2 * fresh.states[0, S.YEAST_READY]
    assert kept.states[0, S.YEAST] < 0.8 * fresh.states[0, S.YEAST]


def test_many_at_once_are_each_as_alone() -> None:
    mixtures = [fed(20.0, warm) for warm in (20.0, 28.0)]
    both = stacked(mixtures)
    side_by_side = hold_from(both, Constant(25.0), [START, START], 12.0, median_traits())
    for i, mixture in enumerate(mixtures):
        alone = course(mixture, 25.0, 12.0)
        assert side_by_side.rise[i] == pytest.approx(alone.rise[0], rel=1e-9)


def test_a_logged_series_is_followed() -> None:
    instants = [START, START.replace(hour=6), START.replace(hour=12)]
    log = Logged(instants, [15.0, 27.0, 27.0])
    held = hold(
        fed(20.0, 15.0).at_temperature(15.0), log, START, 12.0, median_traits(), follow_h=0.2
    )
    assert held.temperature[0, 0] == pytest.approx(15.0)
    assert held.temperature[0, -1] == pytest.approx(27.0, rel=1e-3)


def test_a_mixture_moved_to_the_fridge_is_as_one_held_there() -> None:
    """Six hours warm and then cold, in one hold with a move or in two holds."""
    chilled = START.replace(hour=6)
    moved = Stepped([(START, Constant(25.0)), (chilled, Constant(4.5))])
    traits = median_traits()
    once = hold(fed(20.0), moved, START, 18.0, traits, follow_h=2.0).final
    warm = hold(fed(20.0), Constant(25.0), START, 6.0, traits, follow_h=2.0).final
    twice = hold(warm, Constant(4.5), chilled, 12.0, traits, follow_h=2.0).final
    # In one hold the move itself takes a step of a quarter of an hour.
    assert once.states[0, S.YEAST] == pytest.approx(twice.states[0, S.YEAST], rel=0.03)
    assert once.temperature_c == pytest.approx(twice.temperature_c, rel=0.02)


def test_the_same_seed_gives_the_same_members_and_the_band_has_width() -> None:
    first, second = draw_traits(50, seed=7), draw_traits(50, seed=7)
    assert np.array_equal(first.yeast_gas, second.yeast_gas)
    held = hold(fed(20.0), Constant(25.0), START, 24.0, first)
    low, high = np.percentile(held.peak_h(), (10, 90))
    assert high - low > 1.0


def test_outside_the_range_there_is_a_flag() -> None:
    assert course(fed(20.0), 45.0).flags == (Flag(FlagCode.TEMPERATURE, 45.0, 2.0, 40.0),)
    runny = feed(
        mature({"wheat-white": 1.0}, 1.0, median_traits()), 5, {"wheat-white": 50}, 190, 25
    )
    assert [flag.code for flag in course(runny, 25.0).flags] == [FlagCode.HYDRATION]
    assert course(fed(20.0), 25.0).flags == ()
