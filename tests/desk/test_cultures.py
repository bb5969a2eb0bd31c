"""The cultures at hand: what the engine says of each agrees with where it stands."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.timetable.hall import NOW, kitchen

from pointage.desk.answers import CultureNow
from pointage.desk.now.cultures.culture import courses, culture_now
from pointage.kitchen.kitchen import CultureAtHand, Kitchen


def at_now(culture: CultureAtHand, hall: Kitchen) -> CultureNow:
    return culture_now(culture, courses(culture, hall, 1), NOW)


def test_two_cultures_resting_in_the_fridge() -> None:
    hall = kitchen()
    found = {each.culture.name: each for each in (at_now(kept, hall) for kept in hall.cultures)}
    assert set(found) == {"Gannet", "Plover"}
    for name, days in (("Gannet", 4), ("Plover", 3)):
        now = found[name]
        assert now.culture.fed == NOW - timedelta(days=days)
        assert now.standing is not None
        rows = now.standing.rows
        assert rows[0].at == now.culture.fed + timedelta(hours=now.culture.warm_hours)
        assert rows[-1].at >= NOW
        assert rows[0].temperature_c > 20  # it has just come from the cupboard
        assert rows[-1].temperature_c == pytest.approx(4.5, abs=0.1)
        assert rows[-1].ph < rows[0].ph
        assert all(row.rise_p10 <= row.rise <= row.rise_p90 for row in rows)
        # a chilled culture keeps two to three weeks: common practice, no source
        assert now.holds_until is not None
        assert timedelta(days=10) < now.holds_until - now.culture.fed < timedelta(days=30)
        # sourdough yeasts double in 1.5 to 4 h at about 25 °C, from memory
        assert now.to_peak_h is not None
        assert 3.0 < now.to_peak_h < 16.0


def test_a_colder_fridge_keeps_a_culture_longer() -> None:
    holds = {}
    for celsius in ("3C", "8C"):
        hall = kitchen(NOW, ('temperature = "4.5C"', f'temperature = "{celsius}"'))
        plover = next(
            each
            for each in (at_now(kept, hall) for kept in hall.cultures)
            if each.culture.name == "Plover"
        )
        holds[celsius] = plover.holds_until or NOW + timedelta(days=365)
    assert holds["3C"] > holds["8C"]
