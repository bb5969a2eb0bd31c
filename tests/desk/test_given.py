"""A piece of a culture in another kitchen: what its sheet and page say of a room."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from pointage.culture.upkeep import Upkeep
from pointage.desk.at_hand import at_hand
from pointage.desk.cultures.given import GivenCulture, given, read_room
from pointage.desk.cultures.share_culture import read_rights, share_culture
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.desk.now.present import Present
from pointage.desk.sheets import travelling
from pointage.documents.page.write import MOST_BYTES
from pointage.errors import InputError, InputErrors
from pointage.mixture.traits import draw_traits

NOW = datetime(2026, 11, 27, 9, tzinfo=UTC)
ROOMS_C = (16.0, 24.0)
HOSTILE = "</script><script>window.ran=1</script>"


@pytest.fixture(scope="module")
def present() -> Present:
    return at_hand(NOW, demonstration_text(), "kitchen.toml")


@pytest.fixture(scope="module")
def found(present: Present) -> GivenCulture:
    plover = present.kitchen.culture("Plover")
    return given(plover, present.kitchen, draw_traits(20, 1), ROOMS_C, (0.0, 7.0))


def test_a_cold_room_and_a_rest_in_the_cold_are_slower(found: GivenCulture) -> None:
    cool, warm = found.rooms
    assert cool.peak_h[0.0].p50 > warm.peak_h[0.0].p50
    for room in found.rooms:
        assert room.peak_h[7.0].p50 > room.peak_h[0.0].p50
        assert room.feeds[7.0] >= room.feeds[0.0] >= 1


def test_a_week_wakes_it_then_keeps_it_and_ends_on_the_seventh_day(found: GivenCulture) -> None:
    for room in found.rooms:
        assert isinstance(room.kept, Upkeep)
        week = room.week(5.0)  # between two rests the longer one's feeds
        assert [feed.wakes for feed in week].count(True) == room.feeds[7.0]
        assert week[0].hour == 0.0
        assert week[-1].hour <= 144.0 < week[-1].hour + room.kept.rhythm.every_h
        assert {feed.parts for feed in week if not feed.wakes} == {room.kept.parts}


def test_its_sheet_is_worked_out_once_for_its_picture_and_its_file(
    present: Present, found: GivenCulture, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []

    def worked_out(*of: object) -> GivenCulture:
        asked.append(of)
        return found

    monkeypatch.setattr(travelling, "given", worked_out)
    first, second = (travelling.travelling_sheet("Plover", present, NOW) for _ in range(2))
    assert first == second
    assert len(asked) == 1
    travelling.travelling_sheet("Plover", present, NOW, room_c=24.0)
    assert len(asked) == 2


def test_its_page_is_small_safe_and_says_whose_it_is(present: Present) -> None:
    plover = present.kitchen.culture("Plover")
    page = share_culture(plover, present, read_rights(HOSTILE, "2026", "CC BY 4.0"))
    assert len(page.encode()) <= MOST_BYTES
    assert "<script>window" not in page
    assert page.count("CC BY 4.0") == 3  # under its name, at the foot, in the linked data


def test_rights_and_rooms_that_cannot_be_are_named() -> None:
    with pytest.raises(InputErrors) as wrong:
        read_rights("x" * 301, "20x6", "")
    assert [each.field for each in wrong.value.found] == ["author", "year"]
    for text in ("13C", "91F", "warm"):
        with pytest.raises(InputError):
            read_room(text)
    assert read_room("66F") == pytest.approx(18.9, abs=0.05)
