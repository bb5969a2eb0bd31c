"""A baker who follows the signs: what she keeps, and that what is shown is what she keeps."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
from tests.timetable.hall import NOW, SATURDAY
from tests.timetable.week.weeks import week

from pointage.mixture.traits import draw_traits
from pointage.timetable.baker.life import Baker, lived_abreast
from pointage.timetable.baker.looking import Believed, found_at
from pointage.timetable.baker.quarters import Quarters
from pointage.timetable.calendar import Calendar, calendar_of
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.week.odds import followed
from pointage.timetable.week.question import WantedStage
from pointage.timetable.week.steady import wider

HOUR = timedelta(hours=1)
LOAF = ("harbour-loaf", SATURDAY, 4)


def test_what_is_shown_is_kept_by_others_than_it_was_asked_of() -> None:
    """Binomial spread of 80 members and of 120: 6 in 100 together (1 sd), so 15 at the most."""
    (wish,) = week(NOW, LOAF).wishes
    assert wish.plan
    assert wish.plan.thread
    assert wish.odds
    baker = followed(wish.wish.problem, WantedStage.BAKED, wish.plan.thread).baker
    kept = baker.lives(wider(draw_traits(120, 77)), seed=3).kept
    assert abs(float(np.mean(kept)) - wish.odds.by_signs) < 0.15


def test_signs_and_the_cold_keep_what_the_clock_loses() -> None:
    (wish,) = week(NOW, LOAF).wishes
    assert wish.odds
    assert wish.odds.by_signs > 0.6
    assert wish.odds.by_clock < 0.3
    assert wish.odds.watched >= wish.odds.by_signs


def test_plans_lived_through_abreast_are_lived_as_each_alone() -> None:
    """One fed once more, retarded or not, and one a day and a half later than another."""
    (wish,) = week(NOW, LOAF).wishes
    assert wish.plan
    assert wish.plan.thread
    problem, thread = wish.wish.problem, wish.plan.thread
    feeds = thread.feeds
    earlier = replace(feeds[0], at=feeds[0].at - 20 * HOUR, seed_share=0.5)
    more = replace(thread, feeds=(earlier, *feeds), retarded=not thread.retarded)
    later = {
        name: getattr(thread, name) + 36 * HOUR for name in ("mix", "divide", "shaped", "preheat")
    }
    later |= {"loads": tuple(at + 36 * HOUR for at in thread.loads)}
    later |= {"feeds": tuple(replace(each, at=each.at + 36 * HOUR) for each in feeds)}
    calendar = calendar_of(problem.kitchen, NOW, thread.loads[-1] + 66 * HOUR)
    bakers = [
        Baker(problem, WantedStage.BAKED, each, amounts(problem, each.feeds).masses, calendar)
        for each in (thread, more, replace(thread, **later))
    ]
    traits = draw_traits(9, 4)
    for life, baker in zip(lived_abreast(bakers, traits), bakers, strict=True):
        alone = baker.lives(traits)
        assert life.dough
        assert alone.dough
        since = round((life.begun[0] - alone.begun[0])[0])
        for one, other in zip((*life.begun, life.taken), (*alone.begun, alone.taken), strict=True):
            assert (one - since == other).all()
        assert (life.dough.divided - since == alone.dough.divided).all()
        assert np.allclose(life.dough.rise, alone.dough.rise, rtol=1e-9)
        assert (life.kept == alone.kept).all()


def test_each_step_that_waits_has_its_window_and_its_look() -> None:
    (wish,) = week(NOW, LOAF).wishes
    assert wish.plan
    starts = {step.key: step.start for step in wish.plan.steps}
    assert [each.key for each in wish.windows][-2:] == ["mix", "divide"]
    for each in wish.windows:
        assert each.key in starts
        assert each.earliest <= each.latest
        if each.look is not None:
            assert starts[each.key] < each.look.at <= each.look.again <= each.look.until


def test_what_comes_in_the_night_is_looked_at_before_it() -> None:
    """Mixed at eight, it comes between three and six, and no reading tells when: bed at half past
    ten. A look in the morning would find all of it late."""
    evening = NOW.replace(hour=20, minute=0, second=0, microsecond=0)
    night = (evening + 2.5 * HOUR, evening + 10 * HOUR)
    traits = draw_traits(13, 1)
    quarters = Quarters(traits, evening, Calendar(evening, evening + 24 * HOUR, (night,)), 96)
    comes = np.arange(28, 41)
    rise = np.ones((13, 60))
    start = np.zeros(13, dtype=np.intp)
    found = found_at(quarters, start, rise, comes, Believed(rise, comes), learned=None, seed=1).rows
    assert found[0] < 40
    assert (found >= comes).all()


def test_what_has_come_by_the_look_is_taken_then() -> None:
    morning = NOW.replace(hour=8, minute=0, second=0, microsecond=0)
    traits = draw_traits(9, 1)
    quarters = Quarters(traits, morning, Calendar(morning, morning + 24 * HOUR, ()), 96)
    comes, true = np.arange(12, 21), np.full(9, 6)
    heights = np.linspace(2.0, 1.2, 9)  # the slowest stands lowest, and so does this one
    known = Believed(np.repeat(heights[:, None], 60, axis=1), comes)
    start = np.zeros(9, dtype=np.intp)
    rise = np.full((9, 60), 1.2)
    found = found_at(quarters, start, rise, true, known, learned=None, seed=1).rows
    assert (found == known.look).all()
