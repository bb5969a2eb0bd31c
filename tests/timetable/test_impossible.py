"""A wish that cannot be kept: what stands in the way, and that giving it up brings the bread."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import pytest
from tests.timetable.hall import DUBLIN, NOW, SATURDAY, SLUGS, of_kind, planned
from tests.timetable.promises import keeps_its_promises

from pointage.desk.wording import conflict_name, conflict_words
from pointage.errors import InputError
from pointage.kitchen.capacity import HANDS
from pointage.timetable.occupied import Occupied
from pointage.timetable.plan import Plan, Status

CLOCK = re.compile(r"\w{3} (\d{1,2} \w{3}) (\d\d:\d\d)")


def words(plan: Plan, name: str) -> tuple[str, str]:
    return next(
        conflict_words(each, DUBLIN) for each in plan.conflicts if conflict_name(each) == name
    )


def relaxed(plan: Plan, name: str) -> str:
    return words(plan, name)[1]


def clock_in(sentence: str, year: int = 2026) -> datetime:
    found = CLOCK.search(sentence)
    assert found, f"no time in {sentence!r}"
    text = f"{found[1]} {year} {found[2]}"
    return datetime.strptime(text, "%d %b %Y %H:%M").replace(tzinfo=DUBLIN)


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.soon(1)
def test_bread_in_five_hours(slug: str) -> None:
    """Refused with the first hour that will do: that one plans, and half an hour less does not."""
    wished = NOW + timedelta(hours=5)
    plan = planned(slug, wished)
    assert plan.status is Status.IMPOSSIBLE
    assert plan.steps == ()
    later = clock_in(relaxed(plan, "ready"))
    assert wished < later <= wished + timedelta(hours=48)
    kept = planned(slug, later)
    keeps_its_promises(kept, slug)
    assert of_kind(kept, "bake")[-1].end == later
    assert planned(slug, later - timedelta(minutes=30)).status is Status.IMPOSSIBLE


def test_more_than_the_oven_can_ever_bake_is_refused_before_anything_is_searched() -> None:
    """A load is 8 loaves, in, baked and out again: by hand from the plan of one load."""
    one = of_kind(planned("harbour-loaf", pieces=8), "bake")[0]
    a_load = one.end - one.start + timedelta(minutes=5)
    most = 8 * ((timedelta(hours=96) + timedelta(minutes=5)) // a_load)
    with pytest.raises(InputError, match=f"^pieces: {most + 1} .*at most {most},"):
        planned("harbour-loaf", pieces=most + 1)


def test_it_says_when_it_would_have_had_to_begin() -> None:
    plan = planned("harbour-loaf", NOW + timedelta(hours=5))
    begun = words(plan, "start")[0]
    assert clock_in(begun) < NOW


@pytest.mark.long
def test_sleep_in_the_way_names_the_work_of_the_night_and_waking_for_it_helps() -> None:
    at_three = NOW + timedelta(days=2, hours=-6)
    plan = planned("harbour-loaf", at_three)
    sentence = words(plan, "sleep")[0]
    assert not 6 <= clock_in(sentence).hour < 22
    awake = planned("harbour-loaf", at_three, changes=(('sleep = "22:30-06:00"', "sleep = []"),))
    assert awake.status is Status.BEST


@pytest.mark.long
def test_a_small_oven_in_the_way() -> None:
    plan = planned("harbour-loaf", pieces=24)
    assert plan.status is Status.IMPOSSIBLE
    assert "oven" in {conflict_name(each) for each in plan.conflicts}
    large = planned("harbour-loaf", pieces=24, changes=(("loaves = 8", "loaves = 24"),))
    assert large.status is Status.BEST


def test_another_bake_in_the_way() -> None:
    all_week = Occupied(HANDS, NOW, SATURDAY + timedelta(days=1))
    plan = planned("harbour-loaf", occupied=(all_week,))
    assert plan.status is Status.IMPOSSIBLE
    assert "other bakes" in {conflict_name(each) for each in plan.conflicts}
