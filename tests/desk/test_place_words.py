"""Where a thing is put, as a cook says it."""

from __future__ import annotations

import pytest

from pointage.desk.wording.arguments import in_place


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("Boiler cupboard", "in the boiler cupboard"),
        ("Fridge", "in the fridge"),
        ("Counter", "on the counter"),
        ("Kitchen table", "on the kitchen table"),
        ("Table drawer", "in the table drawer"),
    ],
)
def test_on_the_counter_and_in_the_fridge(name: str, words: str) -> None:
    assert in_place(name) == words
