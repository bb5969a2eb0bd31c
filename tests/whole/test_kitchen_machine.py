"""Whatever is done to a kitchen, every screen opens, every command ends, and nothing is lost.

Sixty seeded moves on SQLite, twenty on PostgreSQL. `scripts/wander.py` goes on for as long as it
is let.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test
from tests.whole.kitchen_machine import KitchenMachine

EXAMPLES = {"sqlite": 3, "postgresql": 1}
A_MINUTE = settings(
    stateful_step_count=20,
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.generate,),  # `scripts/wander.py` shortens what it finds; here it would take long
    suppress_health_check=list(HealthCheck),
)


@pytest.mark.long
def test_nothing_that_is_done_shuts_a_screen(new_url: Callable[[], str]) -> None:
    machine = type("Machine", (KitchenMachine,), {"new_url": staticmethod(new_url), "examples": 0})
    examples = EXAMPLES[new_url().partition(":")[0]]
    run_state_machine_as_test(machine, settings=settings(A_MINUTE, max_examples=examples))
