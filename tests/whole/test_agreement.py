"""Pages and commands read the same store, so they say the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from uuid import uuid4

import pytest
from tests.whole.agreement import disagreements, now_said
from tests.whole.figures import grams_of
from tests.whole.hall import Hall, command
from tests.whole.journey import begin


@pytest.fixture
def hall(new_url: Callable[[], str]) -> Iterator[Hall]:
    url = new_url()
    with Hall(url, begin(url)) as hall:
        yield hall


@pytest.mark.soon(1)
def test_they_agree_before_and_after_a_feed(hall: Hall) -> None:
    assert list(disagreements(hall)) == []
    fields = {"entry": str(uuid4()), "flour": "rye-whole", "place": "Hall",
              "seed_g": "20", "flour_g": "60", "water_g": "50"}  # fmt: skip
    assert hall.post("/cultures/Gannet/fed", fields).status_code == 303
    assert list(disagreements(hall)) == []
    told = {each["name"]: each["grams"] for each in now_said(hall)["cultures"]}
    assert told["Gannet"] == grams_of(hall, "Gannet") == 130


@pytest.mark.parametrize("name", ["Tern", "Fulmar"])
def test_a_culture_of_the_daybook_can_be_forecast(hall: Hall, name: str) -> None:
    """Tern was split off and renamed, Fulmar begun from flour: no kitchen's file has them."""
    words = ("--seed", "50g", "--flour", "100g", "--water", "100g", "--at", "25C", "--hours", "3")
    said = command(hall.url, "forecast", *words, "--culture", name, "--json")
    assert said.status == 0, said.err
