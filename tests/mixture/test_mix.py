"""What `mix` must keep: mass, water, salt, acid, sugar, carbon, cells and heat."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import S

grams = st.floats(1.0, 5000.0)
celsius = st.floats(0.0, 45.0)
KINDS = ("wheat-white", "wheat-whole", "rye-whole", "spelt-whole")


@st.composite
def mixtures(draw: st.DrawFn) -> Mixture:
    """Raw dough with some life and acid put in, so that there is something to keep."""
    whole = raw(
        {draw(st.sampled_from(KINDS)): draw(grams)},
        water=draw(grams),
        salt=draw(st.floats(0.0, 20.0)),
        celsius=draw(celsius),
    )
    whole.states[:, S.YEAST] = draw(st.floats(0.0, 1e8))
    whole.states[:, S.BACTERIA] = draw(st.floats(0.0, 1e10))
    whole.states[:, S.LACTIC] = draw(st.floats(0.0, 0.15))
    whole.states[:, S.ACETIC] = draw(st.floats(0.0, 0.03))
    whole.states[:, S.GASSING] = draw(st.floats(0.0, 1.0))
    whole.states[:, S.LEAVENED] = draw(st.floats(0.0, 0.3))
    whole.states[:, S.BUBBLES] = draw(st.floats(0.0, 0.06))
    whole.states[:, S.GAS] = whole.states[:, S.BUBBLES] + draw(st.floats(0.0, 0.03))
    return whole


@given(st.lists(mixtures(), min_size=1, max_size=4))
def test_what_goes_in_is_in_it(parts: list[Mixture]) -> None:
    whole = mix(parts)
    assert whole.mass == pytest.approx(sum(p.mass for p in parts), rel=1e-12)
    assert whole.water == pytest.approx(sum(p.water for p in parts), rel=1e-12)
    assert whole.salt == pytest.approx(sum(p.salt for p in parts), rel=1e-12)
    assert whole.flour == pytest.approx(sum(p.flour for p in parts), rel=1e-12)
    for kept in (S.YEAST, S.BACTERIA, S.LACTIC, S.ACETIC, S.SUGAR, S.MALTOSE, S.LEAVENED):
        before = sum(float(p.states[0, kept]) * p.mass for p in parts)
        assert float(whole.states[0, kept]) * whole.mass == pytest.approx(before, rel=1e-9)


@given(st.lists(mixtures(), min_size=1, max_size=4))
def test_the_share_of_gas_makers_is_that_over_all_bacteria(parts: list[Mixture]) -> None:
    whole = mix(parts)
    cells = [float(p.states[0, S.BACTERIA]) * p.mass for p in parts]
    makers = [n * float(p.states[0, S.GASSING]) for n, p in zip(cells, parts, strict=True)]
    share = float(whole.states[0, S.GASSING])
    assert 0.0 <= share <= 1.0 + 1e-12
    assert share * sum(cells) == pytest.approx(sum(makers), rel=1e-9, abs=1e-6)


@given(st.lists(mixtures(), min_size=1, max_size=4))
def test_gas_is_worked_out_but_not_lost_from_the_books(parts: list[Mixture]) -> None:
    whole = mix(parts)
    before = sum(float(p.states[0, [S.GAS, S.ESCAPED]].sum()) * p.mass for p in parts)
    after = float(whole.states[0, [S.GAS, S.ESCAPED]].sum()) * whole.mass
    assert after == pytest.approx(before, rel=1e-9)
    assert whole.states[0, S.BUBBLES] <= whole.states[0, S.GAS] + 1e-12
    assert whole.states[0, S.AT_MIX] == whole.states[0, S.BUBBLES]


@given(st.lists(mixtures(), min_size=2, max_size=4), st.floats(0.0, 10.0))
def test_heat_is_kept_and_friction_added(parts: list[Mixture], gained: float) -> None:
    whole = mix(parts, gained)
    heat = sum(p.heat_capacity * p.temperature_c for p in parts)
    expected = heat / sum(p.heat_capacity for p in parts) + gained
    assert whole.temperature_c == pytest.approx(expected, rel=1e-9)
    coldest = min(p.temperature_c for p in parts)
    warmest = max(p.temperature_c for p in parts)
    assert coldest - 1e-9 <= whole.temperature_c - gained <= warmest + 1e-9


@given(mixtures(), st.floats(0.01, 1.0))
def test_a_part_is_like_the_whole(whole: Mixture, share: float) -> None:
    part = whole.part(share * whole.mass)
    assert part.mass == pytest.approx(share * whole.mass, rel=1e-9)
    assert part.hydration == pytest.approx(whole.hydration, rel=1e-9)
    assert np.array_equal(part.states, whole.states)


@given(mixtures(), st.floats(0.0, 1.0))
def test_handling_drives_out_gas_and_keeps_it_in_the_books(whole: Mixture, keeps: float) -> None:
    worked = whole.handled(keeps)
    assert worked.states[0, S.BUBBLES] == pytest.approx(keeps * whole.states[0, S.BUBBLES])
    books = [S.GAS, S.ESCAPED]
    assert worked.states[0, books].sum() == pytest.approx(whole.states[0, books].sum(), rel=1e-12)


def test_more_than_there_is_cannot_be_taken() -> None:
    with pytest.raises(InputError, match="no more than the 200 g"):
        raw({"wheat-white": 100.0}, water=100.0).part(300.0)
