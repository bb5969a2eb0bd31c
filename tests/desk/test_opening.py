"""Opening a desk: the demonstration, one's own store, taking in files, and the coming Saturday."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.timetable.hall import NOW

from pointage.daybook.store.store import Store
from pointage.desk.kitchen.begin import is_unnamed
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import (
    next_saturday,
    open_demonstration,
    open_own,
    take_in,
)
from pointage.errors import InputError
from pointage.timetable.plan import Status

DUBLIN = ZoneInfo("Europe/Dublin")


@pytest.fixture(autouse=True)
def data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("POINTAGE_STORE", raising=False)
    return tmp_path / "pointage"


@pytest.mark.long
def test_the_demonstration_has_bread_for_saturday_in_a_store_of_its_own(data_folder: Path) -> None:
    desk = open_demonstration(NOW, clock=lambda: NOW)
    (bake,) = desk.bakes()
    assert bake.plan.status is Status.BEST
    assert bake.plan.ready.astimezone(DUBLIN) == datetime(2026, 11, 28, 9, tzinfo=DUBLIN)
    assert {each.slug for each in desk.formulas()} == set(demonstration_formulas())
    assert desk.kitchen().name == "Skerry Hall"
    assert {each.name for each in data_folder.glob("*.sqlite3")} == {"demonstration.sqlite3"}


@pytest.mark.long
def test_the_demonstration_opened_again_is_the_same_and_does_not_age() -> None:
    first = open_demonstration(NOW, clock=lambda: NOW).bakes()
    later = NOW + timedelta(hours=3)
    assert open_demonstration(later, clock=lambda: later).bakes() == first
    summer = NOW + timedelta(days=200)
    desk = open_demonstration(summer, clock=lambda: summer)
    (bake,) = desk.bakes()
    assert bake.plan.ready > summer
    assert all(summer - each.fed < timedelta(days=7) for each in desk.kitchen().cultures)


def test_ones_own_store_starts_with_a_kitchen_that_is_asked_about() -> None:
    desk = open_own(NOW)
    assert is_unnamed(desk.kitchen())
    assert desk.kitchen().cultures == ()
    assert list(desk.formulas()) == []


def test_the_cultures_of_ones_own_kitchen_do_age() -> None:
    fed = {each.name: each.fed for each in open_own(NOW, demonstration_text()).kitchen().cultures}
    later = open_own(NOW + timedelta(days=10)).kitchen()
    assert {each.name: each.fed for each in later.cultures} == fed
    assert NOW - fed["Plover"] == timedelta(days=3)


@pytest.mark.parametrize("days", ["4  # since the weekend", "1e400", "nan", '"nonsense"', "9e9"])
def test_a_kitchen_whose_feeds_cannot_be_dated_is_read_or_refused_in_a_line(days: str) -> None:
    text = demonstration_text().replace("fed_days_ago = 4", f"fed_days_ago = {days}", 1)
    assert text != demonstration_text()
    if "#" in days:
        assert open_own(NOW, text, {}).kitchen().name == "Skerry Hall"
        return
    with pytest.raises(InputError, match="fed_days_ago"):
        open_own(NOW, text, {})


def test_ones_own_kitchen_takes_the_place_of_the_unnamed() -> None:
    open_own(NOW)
    mine = demonstration_text().replace("Skerry Hall", "Tern Cottage")
    assert open_own(NOW, mine, {}).kitchen().name == "Tern Cottage"
    assert open_own(NOW).kitchen().name == "Tern Cottage"


def test_a_store_named_by_its_url_is_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, data_folder: Path
) -> None:
    monkeypatch.setenv("POINTAGE_STORE", f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}")
    open_own(NOW)
    assert (tmp_path / "elsewhere.sqlite3").is_file()
    assert not data_folder.exists()


def test_taking_in_is_all_or_nothing(store: Store) -> None:
    good = demonstration_formulas()
    bad = {**good, "seeded-rolls": good["seeded-rolls"].replace("water = 84", "water = 4")}
    with pytest.raises(InputError, match=r"seeded-rolls\.toml"):
        take_in(store, demonstration_text(), bad, NOW)
    assert store.kitchens() == []
    with pytest.raises(InputError, match="zone"):
        take_in(store, demonstration_text().replace("Europe/Dublin", "Skerry"), good, NOW)
    assert store.kitchens() == []


def test_taking_in_what_is_there_changes_nothing_and_a_new_text_is_a_revision(store: Store) -> None:
    good = demonstration_formulas()
    record = take_in(store, demonstration_text(), good, NOW)
    assert take_in(store, demonstration_text(), good, NOW) == record
    assert {each.revision for each in store.formulas(record.id)} == {1}
    wetter = {"harbour-loaf": good["harbour-loaf"].replace("water = 72", "water = 75")}
    take_in(store, demonstration_text(), wetter, NOW)
    revisions = {each.slug: each.revision for each in store.formulas(record.id)}
    assert revisions == {slug: 2 if slug == "harbour-loaf" else 1 for slug in good}


@given(
    st.integers(0, 2 * 365 * 24 * 60),
    st.sampled_from(["Europe/Dublin", "America/St_Johns", "Pacific/Auckland"]),
)
def test_the_coming_saturday_at_nine_by_the_clock_of_the_kitchen(minutes: int, zone: str) -> None:
    now = NOW + timedelta(minutes=minutes)
    ready = next_saturday(ZoneInfo(zone), now)
    local = ready.astimezone(ZoneInfo(zone))
    assert (local.weekday(), local.hour, local.minute) == (5, 9, 0)
    ahead = ready - now
    assert timedelta(hours=43) <= ahead < timedelta(days=7, hours=46)  # a change of the clocks


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        pytest.param("2026-11-25T09:00", "2026-11-28T09:00", id="Wednesday"),
        pytest.param("2026-11-27T09:00", "2026-12-05T09:00", id="Friday is too late"),
        pytest.param("2026-10-22T12:00", "2026-10-24T09:00", id="summer time"),
        pytest.param("2026-10-24T12:00", "2026-10-31T09:00", id="over the end of summer time"),
        pytest.param("2027-03-27T12:00", "2027-04-03T09:00", id="over its beginning"),
    ],
)
def test_saturdays_around_the_changes_of_the_clocks(now: str, expected: str) -> None:
    at, wanted = (datetime.fromisoformat(each).replace(tzinfo=DUBLIN) for each in (now, expected))
    assert next_saturday(DUBLIN, at.astimezone(UTC)) == wanted
