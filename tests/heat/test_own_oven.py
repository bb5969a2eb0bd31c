"""The oven's own offset: found again where it was hidden, and believed no more than was seen."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.errors import InputError
from pointage.heat.baking import BakedOn, LoafInOven, baked_for
from pointage.heat.loaf import LoafShape
from pointage.heat.own_oven import PRIOR_SD_K, MeasuredBake, own_oven

SET = (
    (LoafInOven(0.9, LoafShape.BOULE, 240.0, 24.0), 40.0),
    (LoafInOven(0.5, LoafShape.BATARD, 230.0, 8.0), 25.0),
    (LoafInOven(0.8, LoafShape.TIN, 210.0, 25.0, stands=BakedOn.TIN, steam_minutes=0.0), 32.0),
    (LoafInOven(0.09, LoafShape.ROLL, 220.0, 24.0), 11.0),
)


def invented(hidden_k: float, bakes: int, seed: int, *, loss: bool = True) -> list[MeasuredBake]:
    """Bakes of an oven whose offset is known, weighed and probed with some error."""
    dice, found = random.Random(seed), []
    for n in range(bakes):
        what, minutes = SET[n % len(SET)]
        core, lost = baked_for(replace(what, offset_k=hidden_k), minutes)
        seen = lost + dice.gauss(0, 0.006) if loss else None
        found.append(MeasuredBake(what, minutes, core + dice.gauss(0, 1.0), seen))
    return found


@settings(max_examples=some(8), deadline=None)
@given(hidden_k=st.integers(-30, 30), seed=st.integers(0, 99))
@pytest.mark.long
def test_a_hidden_offset_is_found(hidden_k: int, seed: int) -> None:
    found = own_oven(invented(hidden_k, 12, seed))
    assert found.bakes == 12
    assert abs(found.offset_k - hidden_k) < 3 * found.spread_k + 1.0
    assert found.spread_k < 8.0


def test_nothing_seen_is_the_prior() -> None:
    found = own_oven([])
    assert found.offset_k == pytest.approx(0.0, abs=1e-9)
    assert found.spread_k == pytest.approx(PRIOR_SD_K, rel=0.01)


@pytest.mark.long
def test_more_bakes_narrow_it_and_a_loss_tells_more_than_a_core() -> None:
    one, many = (own_oven(invented(15, n, 1)) for n in (1, 8))
    assert many.spread_k < one.spread_k < PRIOR_SD_K
    assert own_oven(invented(15, 4, 1, loss=False)).spread_k > own_oven(invented(15, 4, 1)).spread_k


def test_a_bake_that_tells_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="neither core nor loss"):
        own_oven([MeasuredBake(SET[0][0], 40.0)])
