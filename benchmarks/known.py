"""Weeks of four doughs by what is known of their cultures: what is kept, and what is shown.

`python -m benchmarks.known [WEEKS]` prints one JSON object; 4 weeks for each row if none are given.

A week has wishes of its own (benchmarks.week) and cultures of its own: lasting traits from a
population WIDER times as wide (in logarithms) as the planner's priors. It is lived LIVES times,
each time with other mixes, whose paces are WIDER times as far apart as believed, and other
readings. So nature is wider than what is believed in every row, in the traits as in the mixes: the
priors are ours, from few papers, and who plans for what nobody has seen is too sure.

Rows: `0`, cultures of which nothing is known; `3` and `10`, of so many feeds with one reading each,
drawn from that nature with the error of a reading and learned from as the product does; `lasting`,
cultures known through and through, but not each mix; `all`, the pace of the mix besides, planned
for and never left out of sight, lived once a week: about what this search can keep at the most. In
the others the baker looks once at each mixture, and what she learns there she keeps for the later
bakes of its culture in that week. Twins (Plover and Tern) are one culture in two jars.

Of each row: the share kept (as in benchmarks.week) by the plan, with its standard error over weeks,
by one after another and by a backward pass; why wishes are lost, by formula; `planned`, the share
of wishes for which there was a plan; and the share kept by tenths of the odds shown.
"""

from __future__ import annotations

import json
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import timedelta
from functools import cache
from statistics import fmean, stdev
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.week import NOW, READINGS, WIDER, backward, four_cultures, lost, wishes
from pointage.culture.mature import feed, mature
from pointage.kitchen.kitchen import CultureAtHand
from pointage.mixture.hold import hold
from pointage.mixture.learning.observation import RISE_ERROR, Rise
from pointage.mixture.learning.surface import FREEDOM
from pointage.mixture.learning.update import Watched, learn
from pointage.mixture.traits import Traits, draw_lasting, in_a_mix, median_traits
from pointage.timetable.baker.life import Lived
from pointage.timetable.choice.alternatives import Packed, Packing
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.odds import followed
from pointage.timetable.week.packing import one_after_another
from pointage.timetable.week.question import WeekQuestion, WeekWish
from pointage.timetable.week.week import WeekChoice, choose_week

LIVES, DOUGHS, WEEKS = 10, 4, 4
ROWS = ("0", "3", "10", "lasting", "all")
BELIEVED = 160  # members of an ensemble that is made here
READ_H = (3.0, 8.0)  # after a feed: when somebody looks at a jar
TWINS = {"Tern": "Plover", "Skua": "Gannet"}

Floats = NDArray[np.float64]


@dataclass(eq=False)
class Row:
    """What became of the wishes of a row. kept: of each week; tenths: by the odds shown."""

    kept: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    lives: dict[str, list[Lived]] = field(default_factory=lambda: defaultdict(list))
    tenths: dict[int, list[float]] = field(default_factory=lambda: defaultdict(list))
    planned: list[bool] = field(default_factory=list)


def alike(traits: Traits, members: int) -> Traits:
    """So many members of the one culture of `traits`."""
    return traits.only(np.zeros(members, dtype=np.intp))


@cache
def population(weeks: int) -> dict[str, Traits]:
    """A culture a week of each kind."""
    found = {}
    for number, name in enumerate(("Plover", "Gannet")):
        drawn = draw_lasting(weeks, 500 + number)
        middle = median_traits()
        values = [
            getattr(middle, f.name) * (getattr(drawn, f.name) / getattr(middle, f.name)) ** WIDER
            for f in fields(Traits)
        ]
        found[name] = Traits(*values)
    return found


def recorded(culture: CultureAtHand, truth: Traits, feeds: int, seed: int) -> Traits:
    """What is believed of a culture after so many feeds in the warm with a reading of each."""
    rng = np.random.default_rng(seed)
    hall = four_cultures()
    place, record = hall.warmest_place, hall.record(culture.flours)
    seen = []
    for number in range(feeds):
        at = NOW - timedelta(days=feeds - number)
        mixed = [
            feed(
                mature(culture.flours, culture.hydration, traits, record),
                *(20.0, {kind: 100.0 * part for kind, part in culture.flours.items()}),
                *(100.0 * culture.hydration, 22.0),
                record=record,
            )
            for traits in (truth, median_traits())
        ]
        traits = in_a_mix(truth, WIDER * rng.standard_normal(1))
        course = hold(mixed[0], place.surroundings, at, READ_H[1] + 1, traits)
        look = at + timedelta(hours=rng.uniform(*READ_H))
        shows = float(Rise(look, 1.5).expected(course)[0]) + RISE_ERROR * rng.standard_t(FREEDOM)
        seen.append(Watched(mixed[1], place.surroundings, at, (Rise(look, max(1.0, shows)),)))
    return learn(None, seen, seed).traits


def believed(
    row: str, culture: CultureAtHand, truth: Traits, life: Traits, seed: int
) -> Traits | None:
    """What the planner of a row believes of a culture. life: it with the pace of its mixes."""
    if row == "0":
        return None
    if row == "all":
        return life
    if row == "lasting":
        rng = np.random.default_rng(1)
        return in_a_mix(alike(truth, BELIEVED), rng.standard_normal(BELIEVED))
    return recorded(culture, truth, int(row), seed)


def lived(
    ways: Sequence[WeekWay | None], asked: Sequence[WeekWish], natures: dict[str, Traits], row: str
) -> Iterator[tuple[Lived | None, float]]:
    """What becomes of each wish, and the odds that were shown, in the order of the wishes."""
    found: dict[int, tuple[Lived | None, float]] = {}
    learned: dict[str, Floats | None] = {}
    for number in sorted(range(len(ways)), key=lambda n: asked[n].last):
        way = ways[number]
        if way is None:
            found[number] = None, 0.0
            continue
        name = way.problem.culture.name
        name = TWINS.get(name, name)
        follower = followed(way.problem, way.stage, way.thread())
        baker = follower.baker if row != "all" else replace(follower.baker, known=())
        life = baker.lives(natures[name], READINGS + number, learned=learned.get(name))
        learned[name] = life.learned
        found[number] = life, float(np.mean(follower.lived.kept))
    return (found[number] for number in range(len(ways)))


def week(row: str, number: int, weeks: int, into: Row) -> None:
    hall = four_cultures()
    rng = np.random.default_rng(900 + number)
    lives = 1 if row == "all" else LIVES
    paces = WIDER * rng.standard_normal(LIVES)[:lives]
    truths = {k: each.only(np.array([number])) for k, each in population(weeks).items()}
    natures = {k: in_a_mix(alike(each, lives), paces) for k, each in truths.items()}
    beliefs = {
        k: believed(row, hall.culture(k), each, natures[k], 70 + number)
        for k, each in truths.items()
    }
    asked = []
    for each in wishes(hall, DOUGHS, number):
        name = each.problem.culture.name
        known = beliefs[TWINS.get(name, name)]
        asked.append(replace(each, problem=replace(each.problem, believed=known)))
    choice = choose_week(WeekQuestion(hall, NOW, tuple(asked)))
    others: dict[str, Callable[[Packing], Packed]] = {
        "one_after_another": one_after_another,
        "backward_pass": backward,
    }
    ways: dict[str, list[WeekWay | None]] = {"plan": choice.ways}
    if row != "all":
        ways |= {name: _ways(choice, how(choice.packing)) for name, how in others.items()}
    for name, chosen in ways.items():
        shares = []
        for way, (life, odds) in zip(chosen, lived(chosen, asked, natures, row), strict=True):
            shares.append(0.0 if life is None else float(np.mean(life.kept)))
            if name != "plan":
                continue
            into.planned.append(life is not None)
            if way is not None and life is not None:
                into.lives[way.problem.formula.slug].append(life)
                into.tenths[min(9, int(10 * odds))].append(shares[-1])
        into.kept[name].append(fmean(shares))


def _ways(choice: WeekChoice, packed: Packed) -> list[WeekWay | None]:
    return replace(choice, packed=packed).ways


def summed(row: Row) -> dict[str, Any]:
    plan = row.kept["plan"]
    error = stdev(plan) / len(plan) ** 0.5 if len(plan) > 1 else None
    return {
        "kept": {name: round(fmean(each), 3) for name, each in row.kept.items()},
        "error": None if error is None else round(error, 3),
        "planned": round(fmean(row.planned), 3),
        "lost": {slug: lost(each) for slug, each in row.lives.items()},
        "tenths": {
            f"{n / 10:.1f}": {"wishes": len(each), "kept": round(fmean(each), 3)}
            for n, each in sorted(row.tenths.items())
        },
    }


def main(arguments: Sequence[str]) -> None:
    weeks = int(arguments[0]) if arguments else WEEKS
    rows = arguments[1:] or ROWS
    found = {}
    for name in rows:
        row = Row()
        for number in range(weeks):
            week(name, number, weeks, row)
        found[name] = summed(row)
    what = {"weeks": weeks, "lives": LIVES, "wider": WIDER, "rows": found}
    print(json.dumps(what, indent=2))


if __name__ == "__main__":
    main(sys.argv[1:])
