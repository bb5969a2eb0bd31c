"""How cultures are kept from day to day, against what bakers do (common practice, no source)."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

from tests.timetable.hall import NOW, kitchen
from tests.timetable.upkeep.test_upkeep import IN_THE_WARM, kept

from pointage.kitchen.needs import NeedKind
from pointage.timetable.upkeep.ahead import ahead

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def test_one_that_stands_on_the_counter_is_fed_once_or_twice_a_day() -> None:
    hall = kitchen(NOW, *IN_THE_WARM)
    tasks = ahead(kept("Gannet", hall), hall, NOW, NOW + 5 * DAY).tasks
    assert {task.kind for task in tasks} == {NeedKind.FEED}
    for before, after in pairwise(tasks):
        assert 10 * HOUR <= after.at - before.at <= 26 * HOUR


def test_one_in_the_fridge_is_left_in_peace_for_a_week_and_more() -> None:
    """Fed about every week or two; a stiff one of white flour keeps longest."""
    hall = kitchen()
    refresh, chill, *_ = ahead(kept("Gannet", hall), hall, NOW, NOW + 9 * DAY).tasks
    fed = hall.culture("Gannet").fed
    assert 7 * DAY <= refresh.at - fed <= 21 * DAY
    assert not ahead(kept("Plover", hall), hall, NOW, NOW + 9 * DAY).tasks
    # Out, fed, some hours in the warm while it begins to rise, and back.
    assert (refresh.kind, chill.kind) == (NeedKind.REFRESH, NeedKind.CHILL)
    assert HOUR <= chill.at - refresh.at <= 8 * HOUR


def test_one_that_was_forgotten_is_fed_day_after_day_before_it_rests_again() -> None:
    hall = kitchen(NOW, ("fed_days_ago = 3", "fed_days_ago = 35"))
    tasks = ahead(kept("Plover", hall), hall, NOW, NOW + 6 * DAY).tasks
    kinds = [task.kind for task in tasks]
    feeds = [task.at for task in tasks if task.kind is not NeedKind.CHILL]
    assert kinds[-1] is NeedKind.CHILL
    assert len(feeds) >= 3
    for before, after in pairwise(feeds):
        assert after - before <= 25 * HOUR
