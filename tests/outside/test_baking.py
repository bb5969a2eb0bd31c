"""Bakes against published figures: losses, core curves, cooling."""

from __future__ import annotations

import pytest
from tests.outside.baking_cases import TOPICS
from tests.outside.case import Case, each

CASES = each(TOPICS)


@pytest.mark.parametrize("case", [case for _, case in CASES], ids=[name for name, _ in CASES])
def test_baking(case: Case) -> None:
    ours = case.ours()
    assert case.holds(ours), f"{ours:g} against {case.published}"
