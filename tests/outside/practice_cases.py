"""Figures of the trade that no source has, each run as a whole course."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache, partial

import numpy as np
from tests.outside.case import HELD_BACK, Case, Departure, Topic

from pointage.culture.mature import feed, mature
from pointage.culture.rest import waking
from pointage.culture.young import raise_course
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.desk.now.cultures.culture import courses, culture_now
from pointage.kitchen.file.read import read_kitchen
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import draw_traits, median_traits

START = datetime(2026, 1, 1, tzinfo=UTC)
WHITE, RYE, STIFF, LIQUID = "wheat-white", "rye-whole", 0.5, 1.0
MEMBERS, SEED = 100, 1
PEAKS = {1: (4.0, 6.0), 2: (5.0, 8.0), 5: (8.0, 12.0), 10: (10.0, 16.0)}
WARM = Constant(25.0)
TOO_WARM = Departure(
    0.4, "four degrees above the optimum of most of its yeast, ours falls short of a doubling"
)


@cache
def dough(
    ratio: float,
    celsius: float = 25.0,
    kind: str = WHITE,
    hydration: float = 1.0,
    *,
    salt: float = 0.0,
    members: int = 1,
) -> Course:
    """One part of ripe culture (100 % hydration) to `ratio` parts of flour, with water and salt."""
    traits = median_traits() if members == 1 else draw_traits(members, SEED)
    seed = mature({kind: 1.0}, 1.0, traits).scaled(100.0)
    flour = 100.0 * ratio
    fresh = raw({kind: flour}, hydration * flour, salt * flour, celsius=celsius)
    return hold(mix([seed, fresh]), Constant(celsius), START, 60.0, traits)


def peak_h(ratio: float, celsius: float = 25.0, kind: str = WHITE, hydration: float = 1.0) -> float:
    return float(dough(ratio, celsius, kind, hydration).peak_h()[0])


def late_peak_h(ratio: float) -> float:
    """The hour by which nine cultures in ten have peaked, before anything was seen of them."""
    return float(np.percentile(dough(ratio, members=MEMBERS).peak_h(), 90))


def against_25(ratio: float, celsius: float) -> float:
    return peak_h(ratio, celsius) / peak_h(ratio)


def rye_over_white(figure: str) -> float:
    """Of whole rye over white, each on its own culture, 1:5:5: hours to the peak, or its rise."""
    both = [dough(5, kind=kind) for kind in (RYE, WHITE)]
    rye, white = (
        float(each.peak_h()[0] if figure == "peak" else each.rise.max() - 1) for each in both
    )
    return rye / white


def salted_over_not(salt: float) -> float:
    """Hours to the peak of a dough of 66 % hydration, 1:5, with salt over without."""
    plain, salted = (dough(5, hydration=0.66, salt=each) for each in (0.0, salt))
    return float(salted.peak_h()[0] / plain.peak_h()[0])


def retarded_rise(hours: float) -> float:
    """Rise of 800 g of white dough (1:5, 68 %, salted) put at 4 °C at a rise of 1.6."""
    bulk = dough(5, hydration=0.68, salt=0.02)
    chilled = bulk.after(float(bulk.reaches(1.6)[0])).scaled(800.0)
    return float(hold(chilled, Constant(4.0), START, hours, median_traits()).rise[0, -1])


@cache
def rested(weeks: float, hydration: float) -> tuple[Mixture, float]:
    """A culture fed 1:2, two hours warm, then so long at 4 °C; and the share of its yeast left."""
    fed = _fed(hydration, 25.0)
    warm = hold(fed, WARM, START, 2.0, median_traits()).final
    cold = hold(warm, Constant(4.0), START, weeks * 168.0, median_traits(), every_min=180)
    return cold.final, float(cold.yeast[0, -1] / cold.yeast[0].max())


def left_warm(days: float) -> Mixture:
    """A culture fed 1:2 and left at 22 °C."""
    return hold(_fed(LIQUID, 22.0), Constant(22.0), START, 24.0 * days, median_traits()).final


def _fed(hydration: float, celsius: float) -> Mixture:
    culture = mature({WHITE: 1.0}, hydration, median_traits())
    return feed(culture, 50.0, {WHITE: 100.0}, 100.0 * hydration, celsius)


def feeds_to_wake(weeks: float, hydration: float) -> float:
    found = waking(
        rested(weeks, hydration)[0], flours={WHITE: 1.0}, hydration=hydration, place=WARM,
        start=START, traits=median_traits(),
    )  # fmt: skip
    return float(found.feeds)


def left_of_stiff_over_liquid(weeks: float) -> float:
    return rested(weeks, STIFF)[1] / rested(weeks, LIQUID)[1]


def after_five_days_more(figure: str) -> float:
    """A seed left six days at 22 °C over one left a day, fed 1:2: hours to the peak, or rise."""
    both = []
    for days in (6.0, 1.0):
        fed = feed(left_warm(days), 50.0, {WHITE: 100.0}, 100.0, 25.0)
        course = hold(fed, WARM, START, 36.0, median_traits())
        peak, rise = course.peak_h()[0], course.rise.max() - 1
        both.append(float(peak if figure == "peak" else rise))
    return both[0] / both[1]


def established_rise(celsius: float, kept: float, every_h: float) -> float:
    """Rise between feeds of an established white culture, after twenty-four of them."""
    days = raise_course({WHITE: 1.0}, 1.0, Constant(celsius), keep_share=kept,
                        feed_every_h=every_h, days=24, traits=median_traits())  # fmt: skip
    return float(days[-1].peak_rise[0])


def chilled_keeps_days(name: str) -> float:
    """Days in the fridge until a culture would want more than one feed to wake."""
    now = datetime(2026, 11, 25, 12, tzinfo=UTC)
    kitchen = read_kitchen(demonstration_text(), now)
    culture = kitchen.culture(name)
    now_at = culture_now(culture, courses(culture, kitchen, 1), now)
    chilled = now_at.culture.fed + timedelta(hours=now_at.culture.warm_hours)
    assert now_at.holds_until is not None
    return (now_at.holds_until - chilled) / timedelta(days=1)


TOPICS = (
    Topic(
        "Peaks by dilution",
        "Common practice, no source: white or mixed wheat at 100 % hydration, a vigorous culture "
        "at 24 to 26 °C; hours to the peak by seed : flour : water",
        "The ranges as they stand for the middle of all cultures; and since practice goes on to "
        "16 h at 1:10:10, one culture in ten is to peak after 13; cultures of which nothing is "
        "known spread a little wider: 1.5 h.",
        (
            *(
                Case(f"1:{ratio}:{ratio} at 25 °C, h", hours, partial(peak_h, ratio))
                for ratio, hours in PEAKS.items()
            ),
            Case(
                "1:10:10 at 25 °C, nine in ten by, h", (13.0, 16.0), partial(late_peak_h, 10), 1.5
            ),
        ),
        sets="yeast_doubling_h, dough.weaken_sour, dough.seep",
        practice=True,
    ),
    Topic(
        "Peaks by temperature",
        "Common practice, no source: at 20 °C 1.4 to 1.8 times the hours of 25 °C, at 30 °C 0.8 to "
        "1.0 of them; 1:2:2 overnight at 18 °C is ripe after 10 to 15 h",
        "The ranges as they stand.",
        (
            *(
                Case(
                    f"1:{ratio}:{ratio}, {celsius:g} °C over 25 °C",
                    span,
                    partial(against_25, ratio, celsius),
                )
                for celsius, span in ((20.0, (1.4, 1.8)), (30.0, (0.8, 1.0)))
                for ratio in PEAKS
            ),
            Case("1:2:2 at 18 °C, h", (10.0, 15.0), partial(peak_h, 2, 18.0)),
        ),
        sets=HELD_BACK,
        practice=True,
    ),
    Topic(
        "Rye, water and salt",
        "Common practice, no source: whole rye peaks sooner and lower than white wheat; stiff "
        "peaks later than liquid from the same seed; 2 % of salt on the flour slows the peak by 10 "
        "to 30 %",
        "Directions, of at least 2 %, and the range as it stands. Stiff is later by 2 to 25 %.",
        (
            Case(
                "whole rye over white, 1:5:5, hours to the peak",
                (0.4, 0.98),
                partial(rye_over_white, "peak"),
                sets=HELD_BACK,
            ),
            Case(
                "whole rye over white, 1:5:5, rise above 1",
                (0.3, 0.9),
                partial(rye_over_white, "rise"),
                sets=HELD_BACK,
            ),
            Case(
                "50 over 100 % hydration, 1:5, hours to the peak",
                (1.02, 1.25),
                lambda: peak_h(5, hydration=STIFF) / peak_h(5),
                sets="dough.thick",
            ),
            Case(
                "2 % of salt over none, hours to the peak",
                (1.1, 1.3),
                partial(salted_over_not, 0.02),
                sets="yeast.salt_stop",
            ),
        ),
        practice=True,
    ),
    Topic(
        "A dough in the fridge",
        "Common practice, no source: 800 g of dough put at 4 °C at a rise of 1.6 stands at 1.5 to "
        "1.75 after 12 h",
        "The range as it stands, and 18 h with it, for that is a night and a morning.",
        tuple(
            Case(f"rise after {hours:g} h", (1.5, 1.75), partial(retarded_rise, hours))
            for hours in (12.0, 18.0)
        ),
        sets="dough.seep, dough.idle_q10",
        practice=True,
    ),
    Topic(
        "Rests",
        "Common practice, no source: after two, four and eight weeks at 4 °C a culture wants 1 to "
        "2, 2 to 3 and 3 to 4 feeds; stiff keeps better than liquid; a seed left five days more at "
        "22 °C comes back later and weaker",
        "The ranges as they stand; directions, of at least 5 %.",
        (
            *(
                Case(
                    f"{weeks} weeks at {100 * hydration:.0f} %, feeds to wake",
                    feeds,
                    partial(feeds_to_wake, weeks, hydration),
                )
                for hydration in (LIQUID, STIFF)
                for weeks, feeds in ((2, (1, 2)), (4, (2, 3)), (8, (3, 4)))
            ),
            Case(
                "4 weeks, yeast left in stiff over liquid",
                (1.05, 2.0),
                partial(left_of_stiff_over_liquid, 4),
            ),
            Case(
                "five days more at 22 °C, hours to the peak",
                (1.05, 3.0),
                partial(after_five_days_more, "peak"),
            ),
            Case(
                "five days more at 22 °C, rise above 1",
                (0.3, 0.95),
                partial(after_five_days_more, "rise"),
            ),
        ),
        sets="dough.asleep, yeast.drowse, yeast.die, yeast.die_sour, dough.starve_power",
        practice=True,
    ),
    Topic(
        "Keeping a culture",
        "Common practice, no source: equal parts of flour and water kept at 21 to 32 °C, renewed "
        "every 20 to 24 h with a quarter to a third kept, double between feeds once established; "
        "a culture fed and chilled keeps two to three weeks. Firm keeps longer, some months in "
        "words (Handbook on Sourdough Biotechnology, 2013, section 4.2.3, seen)",
        "The ranges as they stand; Plover is stiff: two weeks to six, the longest we look.",
        (
            *(
                Case(
                    f"established, white, {celsius:g} °C, {share} kept, every {every:g} h: rise",
                    (2.0, 3.0),
                    partial(established_rise, celsius, kept, every),
                    sets=HELD_BACK,
                    departure=departure,
                )
                for celsius, kept, share, every, departure in (
                    (21.0, 1 / 3, "a third", 24.0, None),
                    (25.0, 1 / 4, "a quarter", 20.0, None),
                    (27.0, 1 / 4, "a quarter", 24.0, None),
                    (32.0, 1 / 3, "a third", 20.0, TOO_WARM),
                )
            ),
            Case(
                "Gannet, chilled: days until one feed is not enough",
                (14.0, 21.0),
                partial(chilled_keeps_days, "Gannet"),
                sets="LONG_LAG_H, FEW_YEASTS",
            ),
            Case(
                "Plover, stiff, chilled: days until one feed is not enough",
                (14.0, 42.0),
                partial(chilled_keeps_days, "Plover"),
                sets="dough.starve_power",
            ),
        ),
        practice=True,
    ),
)
