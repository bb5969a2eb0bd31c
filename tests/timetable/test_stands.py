"""Vessels of a bake: which is taken, how it follows, and what is forecast of its brim."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from tests.timetable.hall import DUBLIN, NOW, SATURDAY, formula, kitchen, of_kind, planned, step

from pointage.desk.wording import caution, note
from pointage.kitchen.fill import overflow
from pointage.kitchen.stand import stand
from pointage.kitchen.vessel import VesselUse
from pointage.mixture.hold import hold
from pointage.mixture.mixture import raw
from pointage.mixture.traits import draw_traits
from pointage.timetable.plan import Plan, StepCourse
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import plan
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import run_thread

BOWL = 'volume = "12l"'


def stood(found: Plan, key: str) -> StepCourse:
    standing = step(found, key).standing
    assert standing is not None
    return standing


def problem(**changes: object) -> Problem:
    hall = kitchen(NOW)
    whole = formula("harbour-loaf")
    plain = Problem(whole, hall, hall.culture("Plover"), NOW, SATURDAY, 8, whole.piece_g)
    return replace(plain, **changes)  # type: ignore[arg-type]


def test_a_dough_that_will_fit_is_not_spoken_of() -> None:
    found = planned("harbour-loaf", pieces=6)
    bulk = stood(found, "bulk")
    assert bulk.vessel == "Mixing bowl"
    assert bulk.caution is None
    assert "brim" not in note(step(found, "mix"), DUBLIN)
    # 5.4 kg of dough at some 0.87 l for each kilogram, in 12 l.
    assert bulk.full == pytest.approx(5.4 * 0.87 / 12, rel=0.05)


def test_a_dough_that_will_pass_the_brim_is_forecast_where_it_is_mixed() -> None:
    """10.8 kg in 12 l: full at 1.27 times its volume, and it is wanted at 1.6; nothing else is
    large enough for half of it."""
    found = planned("harbour-loaf", pieces=12, changes=(('volume = "10l"', 'volume = "4l"'),))
    said, bulk = note(step(found, "mix"), DUBLIN), stood(found, "bulk")
    assert bulk.caution is not None
    assert caution(bulk, DUBLIN) in said
    assert "overflow Mixing bowl" in said
    assert " in 100)" in said
    assert "or two vessels" in said
    crossed = next(row for row in bulk.rows if row.rise * bulk.full >= 1)
    assert crossed.at < step(found, "divide").start


def test_a_larger_vessel_of_the_kitchen_is_named() -> None:
    bowl = (BOWL, 'volume = "7l"'), ('diameter = "36cm"', 'diameter = "30cm"')
    small = planned("harbour-loaf", pieces=6, changes=bowl)
    assert stood(small, "bulk").vessel == "Tub 3"
    assert stood(small, "bulk").caution is None
    ladder = step(small, "mix").ladder
    assert ladder is not None
    assert ladder.vessel == "Tub 3"


def test_a_tight_lid_is_spoken_of_once() -> None:
    tubs = (('volume = "5l"', 'volume = "5l"\nlid = "tight"'),)
    tight = planned("harbour-loaf", pieces=8, changes=tubs)
    notes = " ".join(note(each, DUBLIN) for each in of_kind(tight, "feed", "build"))
    assert notes.count("closes tight") == 1
    assert notes.count("gas can burst") <= 2  # the first feed stands in another tub
    plain = planned("harbour-loaf", pieces=8)
    assert " ".join(note(each, DUBLIN) for each in plain.steps).count("gas can burst") == 1


def test_a_retard_is_a_curve_whose_core_is_behind() -> None:
    """900 g in a basket at 4.5 °C: half of the gap is left after about two hours, a tenth after 7.

    Common practice, no source: a loaf needs the better part of a night to be cold right through.
    """
    found = planned("harbour-loaf")
    (cold,) = of_kind(found, "retard")
    standing = stood(found, "retard")
    gaps = [row.temperature_c - 4.5 for row in standing.rows]
    halved = next(i for i, gap in enumerate(gaps) if gap < gaps[0] / 2) / 4
    tenth = next(i for i, gap in enumerate(gaps) if gap < gaps[0] / 10) / 4
    assert 1.2 < halved < 3.0
    assert 4.5 < tenth < 9.0
    assert 0.7 < standing.core_lag_h < 2.0
    assert standing.vessel == "Basket"
    assert cold.end - cold.start > timedelta(hours=6)


def test_what_was_learned_of_a_vessel_in_a_place_is_planned_by() -> None:
    """A basket that cools twice as slowly in this fridge ferments on for longer in it."""
    plain = problem()
    thread = plan(plain).thread
    assert thread is not None
    assert thread.retarded
    masses = amounts(plain, thread.feeds).masses

    def three_hours_on(**learned: float) -> float:
        """°C of the pieces after three hours in the fridge, by what was learned of a stand."""
        warming = {name.replace("_", " "): np.full(160, by) for name, by in learned.items()}
        each = problem(warming=warming)
        return float(
            np.median(run_thread(each, thread, each.traits, masses).proof.temperature[:, 12])
        )

    assert three_hours_on(Basket_in_Fridge=2.0) > three_hours_on() + 3
    assert three_hours_on(Basket_in_Cellar=2.0) == three_hours_on()


def test_stands_take_members_of_any_number() -> None:
    hall = kitchen(NOW)
    tub = hall.vessel_for((VesselUse.TUB,), 1.0)
    levain = raw({"wheat-white": 200.0}, water=200.0)
    here = stand(
        tub, hall.place("Hall"), levain, warming={"Tub 1 in Hall": np.linspace(0.8, 1.4, 41)}
    )
    assert here.name == "Tub 1 in Hall"
    for members in (1, 41, 160):
        traits = here.traits(draw_traits(members, seed=1))
        assert len(traits.warming) == members
        assert np.median(traits.warming) == pytest.approx(1.1, abs=0.01)


def test_odds_of_the_brim() -> None:
    """Half of the members rise beyond the median's peak: by the definition of odds."""
    levain = planned("harbour-loaf")
    assert stood(levain, "build-2").full > 0
    traits = draw_traits(200, seed=3)
    hall = kitchen(NOW)
    from pointage.kitchen.culture_state import culture_at

    culture = culture_at(hall.culture("Plover"), hall, NOW, traits)
    course = hold(culture, hall.place("Boiler cupboard").surroundings, NOW, 12.0, traits)
    tops = course.rise.max(axis=1)
    found = overflow(course, 1.0 / float(np.median(tops)), 12.0)
    assert found is not None
    assert found.odds == pytest.approx(0.5, abs=0.02)
    assert overflow(course, 1.0 / (float(tops.max()) + 0.1), 12.0) is None
    assert overflow(course, 0.0, 12.0) is None
