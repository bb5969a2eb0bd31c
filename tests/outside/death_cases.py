"""Death by heat: published resistance, and what kitchens know, each run as a whole course."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache, partial

import numpy as np
from tests.outside.case import HELD_BACK, Case, Topic

from pointage.culture.mature import mature
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import median_traits

START = datetime(2026, 1, 1, tzinfo=UTC)
FDA_C = 65.6  # 150 °F
COOLER, HOTTER = 52.0, 57.0


@cache
def heated(celsius: float, hours: float) -> Course:
    """A ripe white culture, all of it at this temperature from the start."""
    ripe = mature({"wheat-white": 1.0}, 1.0, median_traits()).at_temperature(celsius)
    return hold(ripe, Constant(celsius), START, hours, median_traits())


def decades(column: S, celsius: float, hours: float) -> float:
    """Powers of ten by which the cells have become fewer."""
    counts = heated(celsius, hours).states[0, [0, -1], column]
    return float(np.log10(counts[0] / counts[1]))


def decimal_minutes(column: S, celsius: float) -> float:
    """Minutes to a tenth, two hours long."""
    return 120.0 / decades(column, celsius, 2.0)


def z_k(column: S) -> float:
    """Kelvin in which the time to a tenth falls to a tenth."""
    fall = np.log10(decimal_minutes(column, COOLER) / decimal_minutes(column, HOTTER))
    return float((HOTTER - COOLER) / fall)


def carried_on(column: S, celsius: float) -> float:
    """Minutes to a tenth where they are too few to be seen in steps of a quarter of an hour."""
    return float(decimal_minutes(column, HOTTER) * 10 ** ((HOTTER - celsius) / z_k(column)))


TOPICS = (
    Topic(
        "Death of lactic acid bacteria by heat",
        "FDA guidance on acidified foods, table 7, lactobacilli and leuconostocs in acid food "
        "(seen as quoted): a tenth left after 0.5 to 1.0 min at 150 °F (65.6 °C), z 8 to 10 °F",
        "The ranges as printed. Ours are taken from courses of two hours at 52 and 57 °C and "
        "carried on by their z, since at 65.6 °C a step is twenty tenths long. At 55 °C this is "
        "1.5 h to a tenth: six hours leave some 2 in 10,000 of the bacteria, not none.",
        (
            Case(
                "minutes to a tenth at 65.6 °C",
                (0.5, 1.0),
                partial(carried_on, S.BACTERIA, FDA_C),
                sets="bacteria.heat_d_min",
            ),
            Case("z, K", (4.4, 5.6), partial(z_k, S.BACTERIA), sets="bacteria.heat_z"),
        ),
    ),
    Topic(
        "Death of yeast by heat",
        "Common practice, no source: harmed from 50 °C, dead at 60 °C; some minutes to a tenth at "
        "55 °C and z of 4 to 6 K from memory",
        "The ranges as remembered. Harmed: between a tenth and all but a thousandth gone in an "
        "hour; dead: a millionth left after a quarter of an hour. A proofing "
        "cabinet at 37 °C kills few: half live after six hours.",
        (
            Case(
                "minutes to a tenth at 55 °C",
                (2.0, 10.0),
                partial(carried_on, S.YEAST, 55.0),
                sets="yeast.heat_d_min",
            ),
            Case("z, K", (4.0, 6.0), partial(z_k, S.YEAST), sets="yeast.heat_z"),
            Case(
                "powers of ten lost, 1 h at 50 °C",
                (0.05, 3.0),
                partial(decades, S.YEAST, 50.0, 1.0),
            ),
            Case(
                "powers of ten lost, 1/4 h at 60 °C",
                (6.0, 300.0),
                partial(decades, S.YEAST, 60.0, 0.25),
            ),
            Case(
                "powers of ten lost, 6 h at 55 °C",
                (6.0, 300.0),
                partial(decades, S.YEAST, 55.0, 6.0),
            ),
            Case(
                "powers of ten lost, 6 h at 37 °C", (0.0, 0.3), partial(decades, S.YEAST, 37.0, 6.0)
            ),
        ),
        sets=HELD_BACK,
        practice=True,
    ),
)
