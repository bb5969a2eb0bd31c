"""Growth against temperature, pH and time, held against what was published."""

from __future__ import annotations

import pytest
from tests.outside.case import Case, each
from tests.outside.growth_cases import TOPICS

CASES = each(TOPICS)


@pytest.mark.parametrize("case", [case for _, case in CASES], ids=[name for name, _ in CASES])
def test_growth(case: Case) -> None:
    ours = case.ours()
    assert case.holds(ours), f"{ours:g} against {case.published}"
