"""The first minutes: zones as people say them, and the kitchen that follows from a few answers."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.timetable.hall import NOW

from pointage.desk.kitchen.begin import (
    FirstThings,
    OwnCulture,
    first_kitchen,
    is_unnamed,
    unnamed_kitchen,
    with_culture,
)
from pointage.desk.kitchen.zones import zone_called
from pointage.errors import InputError
from pointage.kitchen.file.read import read_kitchen

HOME = FirstThings(
    name="Tern Cottage",
    zone=ZoneInfo("America/New_York"),
    spot="Counter",
    spot_temperature="65F",
    fridge_temperature="38F",
    loaves=2,
    sleep=(time(22, 30), time(6, 30)),
    step_g=Fraction(1),
    jar_l=0.946,
    jar_g=412.0,
    shown={"degrees": "F", "clock": "12"},
    currency="USD",
)


@pytest.mark.parametrize(
    ("said", "zone"),
    [
        ("Boston", "America/New_York"),
        ("Eastern", "America/New_York"),
        ("pacific standard time", "America/Los_Angeles"),
        ("EST", "America/New_York"),
        ("Portland, Oregon", "America/Los_Angeles"),
        ("Ireland", "Europe/Dublin"),
        ("Germany", "Europe/Berlin"),
        ("são paulo", "America/Sao_Paulo"),
        ("Zürich", "Europe/Zurich"),
        (" Europe/Dublin ", "Europe/Dublin"),
    ],
)
def test_a_zone_as_people_say_it(said: str, zone: str) -> None:
    assert zone_called(said, "town") == ZoneInfo(zone)


@pytest.mark.parametrize("said", ["United States", "Atlantis", "Europe/Atlantis", "", "x" * 5000])
def test_what_names_no_clock_is_refused_in_a_line(said: str) -> None:
    with pytest.raises(InputError, match=r"^town: ") as refused:
        zone_called(said, "town")
    assert "\n" not in str(refused.value)


def test_a_country_of_several_clocks_names_its_towns() -> None:
    with pytest.raises(InputError, match="one of its towns, such as New York"):
        zone_called("United States", "town")


def test_a_few_answers_make_a_kitchen() -> None:
    kitchen = read_kitchen(first_kitchen(HOME), NOW)
    assert (kitchen.name, kitchen.zone.key, kitchen.currency) == (
        "Tern Cottage", "America/New_York", "USD",
    )  # fmt: skip
    assert kitchen.room.mean_c(NOW, 0, 24) == pytest.approx((65 - 32) / 1.8)
    assert kitchen.hours.sleep == ((time(22, 30), time(6, 30)),)
    assert kitchen.shown == {"degrees": "F", "clock": "12"}
    assert not is_unnamed(kitchen)
    assert is_unnamed(read_kitchen(unnamed_kitchen(), NOW))


@given(
    loaves=st.integers(1, 200),
    step=st.sampled_from(["0.1", "0.5", "1", "2", "5"]),
    litres=st.floats(0.05, 20),
    grams=st.floats(0, 5000),
    name=st.text(st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=40).filter(
        str.strip
    ),
)
def test_any_answers_make_one_that_can_be_read(
    loaves: int, step: str, litres: float, grams: float, name: str
) -> None:
    said = replace(HOME, loaves=loaves, step_g=Fraction(step), jar_l=litres, jar_g=grams, name=name)
    kitchen = read_kitchen(first_kitchen(said), NOW)
    assert kitchen.name == name
    assert kitchen.ovens[0].loaves == loaves
    assert kitchen.scales[0].step_g == Fraction(step)
    assert kitchen.vessels[0].volume_l == pytest.approx(litres, abs=0.0006)


def test_a_culture_is_brought_along() -> None:
    fed = NOW - timedelta(hours=30)
    said = OwnCulture(
        "Fulmar", "rye-whole", 100.0, Fraction(80), 50.0, fed, 4.0, "Counter", "Fridge"
    )
    text = with_culture(first_kitchen(HOME), said)
    (culture,) = read_kitchen(text, NOW).cultures
    assert (culture.name, culture.mass_g, culture.seed_share) == ("Fulmar", 80.0, 0.5)
    assert culture.fed == fed.replace(second=0, microsecond=0).astimezone(UTC)
    both = with_culture(text, replace(said, name="Petrel", fed=datetime(2026, 11, 20, tzinfo=UTC)))
    assert [each.name for each in read_kitchen(both, NOW).cultures] == ["Fulmar", "Petrel"]
