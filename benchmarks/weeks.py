"""Many weeks of one life each, lived through step by step, with and without replanning.

`python -m benchmarks.weeks [WEEKS [FIRST]]` prints one JSON object; 4 weeks from the first if
nothing is given. A week has four wishes (benchmarks.week), and nature its own cultures: lasting
traits WIDER times as far (in logarithms) from the middle as the planner believes, and for each bake
a pace of its own, WIDER times as far, too. At first nothing is known of any culture.

Rows: `plan`, as it was made, by a baker who follows the signs; `replanned`, the same week
with each offer taken that keeps more wishes by what is believed then (benchmarks.walk);
`one_after_another` and `backward_pass`, plans of the same ways, as they were made; `all_known`,
what can be kept at the most, as a rule: planned and lived through by one who knows each culture to
the last trait, the pace of each mix included, and never leaves it out of sight. Kept: every
levain used inside its window, the dough loaded inside its proof range while it still stands, by
nature's truth, and out within 20 min of when it was planned to be, which is never after it was
wanted and at most 3 h before; `to_the_time` besides: out within 20 min of when it was wanted. ±
`error`: the standard error over weeks; of `gained`, that of the difference.
`lost`: of 100 wishes, the first cause; `tenths`: shown odds, how many wishes, the share kept;
`of_possible`: of the wishes that are kept in `all_known`, the share kept.
"""

from __future__ import annotations

import json
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import fmean, stdev
from time import process_time
from typing import Any

import numpy as np

from benchmarks.known import TWINS, population
from benchmarks.walk import READINGS, InHand, Walk
from benchmarks.week import NOW, WIDER, backward, four_cultures, wishes
from pointage.mixture.traits import Traits, in_a_mix
from pointage.timetable.baker.life import Lived
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.odds import followed
from pointage.timetable.week.packing import one_after_another
from pointage.timetable.week.question import ON_TIME, WeekQuestion, WeekWish
from pointage.timetable.week.week import choose_week

DOUGHS, WEEKS = 4, 4
POPULATION = 200  # so many weeks there are, from 0


@dataclass(eq=False)
class Kept:
    """What became of the wishes of a row."""

    wishes: list[bool] = field(default_factory=list)
    weeks: list[float] = field(default_factory=list)
    to_the_time: list[float] = field(default_factory=list)
    causes: Counter[str] = field(default_factory=Counter)
    tenths: dict[int, list[bool]] = field(default_factory=lambda: defaultdict(list))

    def add(self, lives: Sequence[tuple[WeekWish, Lived | None, float, bool]]) -> None:
        """Of each wish its life, the odds shown, and whether it was planned to the time."""
        kept = [life is not None and bool(life.kept[0]) for _, life, _, _ in lives]
        self.wishes += kept
        self.weeks.append(fmean(kept))
        on_time = [k and each[3] for k, each in zip(kept, lives, strict=True)]
        self.to_the_time.append(fmean(on_time))
        for is_kept, (_, life, odds, _) in zip(kept, lives, strict=True):
            self.causes[first_cause(life)] += 1
            if life is not None:
                self.tenths[min(9, int(10 * odds))].append(is_kept)

    def summed(self) -> dict[str, Any]:
        wishes_lived = sum(self.causes.values())
        return {
            "kept": round(fmean(self.weeks), 3),
            "error": standard_error(self.weeks),
            "to_the_time": round(fmean(self.to_the_time), 3),
            "lost": {
                cause: round(100 * count / wishes_lived, 1)
                for cause, count in self.causes.most_common()
                if cause != "kept"
            },
            "tenths": {
                f"{n / 10:.1f}": {"wishes": len(each), "kept": round(fmean(each), 2)}
                for n, each in sorted(self.tenths.items())
            },
        }


def standard_error(values: Sequence[float]) -> float | None:
    return round(stdev(values) / len(values) ** 0.5, 3) if len(values) > 1 else None


def first_cause(life: Lived | None) -> str:
    if life is None:
        return "no plan"
    dough = life.dough
    assert dough is not None
    if not all(bool(each[0]) for each in life.ripe):
        return "levain outside its window"
    if not life.on_time[0]:
        return "too late"
    if not dough.sound[0]:
        return "too weak"
    return "kept" if dough.proofed[0] else "outside its proof range"


def lived(
    ways: Sequence[WeekWay | None], asked: Sequence[WeekWish], natures: dict[int, Traits]
) -> Iterator[tuple[WeekWish, Lived | None, float, bool]]:
    """What becomes of plans that stay as they are; what one bake taught goes on to the next."""
    learned: dict[str, Any] = {}
    for number in sorted(range(len(ways)), key=lambda n: asked[n].last):
        wish, way = asked[number], ways[number]
        if way is None:
            yield wish, None, 0.0, False
            continue
        name = way.problem.culture.name
        name = TWINS.get(name, name)
        follower = followed(way.problem, way.stage, way.thread())
        life = follower.baker.lives(natures[number], READINGS + number, learned=learned.get(name))
        learned[name] = life.learned
        odds = float(np.mean(follower.lived.kept))
        yield wish, life, odds, abs(wish.last - way.ready) <= ON_TIME


def all_known(
    asked: Sequence[WeekWish], natures: Mapping[int, Traits]
) -> Iterator[tuple[WeekWish, Lived | None, float, bool]]:
    """What becomes of a plan by one who knows all, and sees all."""
    knowing = tuple(
        replace(wish, problem=replace(wish.problem, believed=natures[number]))
        for number, wish in enumerate(asked)
    )
    ways = choose_week(WeekQuestion(four_cultures(), NOW, knowing)).ways
    for number, (wish, way) in enumerate(zip(asked, ways, strict=True)):
        if way is None:
            yield wish, None, 0.0, False
            continue
        follower = followed(way.problem, way.stage, way.thread())
        baker = replace(follower.baker, known=())
        life = baker.lives(natures[number], READINGS + number)
        odds = float(np.mean(follower.lived.kept))
        yield wish, life, odds, abs(wish.last - way.ready) <= ON_TIME


def _walked(
    asked: Sequence[WeekWish], bakes: dict[int, InHand]
) -> Iterator[tuple[WeekWish, Lived | None, float, bool]]:
    for number, wish in enumerate(asked):
        bake = bakes.get(number)
        if bake is None:
            yield wish, None, 0.0, False
        else:
            yield wish, bake.life, bake.odds, abs(wish.last - bake.ready) <= ON_TIME


def week(number: int, into: dict[str, Kept]) -> dict[str, Any]:
    hall = four_cultures()
    rng = np.random.default_rng(900 + number)
    asked = wishes(hall, DOUGHS, number)
    natures = {}
    for n, wish in enumerate(asked):
        name = wish.problem.culture.name
        truth = population(POPULATION)[TWINS.get(name, name)].only(np.array([number]))
        natures[n] = in_a_mix(truth, WIDER * rng.standard_normal(1))
    question = WeekQuestion(hall, NOW, asked)
    choice = choose_week(question)
    into["plan"].add(list(lived(choice.ways, asked, natures)))
    for name, how in (("one_after_another", one_after_another), ("backward_pass", backward)):
        ways = replace(choice, packed=how(choice.packing)).ways
        into[name].add(list(lived(ways, asked, natures)))
    into["all_known"].add(list(all_known(asked, natures)))
    walk = Walk(question, natures, TWINS)
    walk.begin(choice)
    walk.live()
    into["replanned"].add(list(_walked(asked, walk.bakes)))
    return {"offered": walk.offered, "taken": walk.taken, "anew": walk.anew}


def possible(row: Kept, known: Kept) -> float | None:
    """Of the wishes that are kept by one who knows all, the share that a row keeps."""
    pairs = zip(row.wishes, known.wishes, strict=True)
    kept = [is_kept for is_kept, can_be in pairs if can_be]
    return round(fmean(kept), 3) if kept else None


def main(arguments: Sequence[str]) -> None:
    weeks = int(arguments[0]) if arguments else WEEKS
    first = int(arguments[1]) if len(arguments) > 1 else 0
    if not 0 <= first <= first + weeks <= POPULATION:
        sys.exit(f"weeks: {first} to {first + weeks}; there are {POPULATION}, from 0")
    choose_week(WeekQuestion(four_cultures(), NOW, wishes(four_cultures(), 1, 0)))
    rows: dict[str, Kept] = defaultdict(Kept)
    offers = Counter[str]()
    for number in range(first, first + weeks):
        began = process_time()
        offers.update(week(number, rows))
        shares = {name: each.weeks[-1] for name, each in rows.items()}
        print(number, round(process_time() - began, 1), shares, dict(offers), file=sys.stderr)
    gained = np.subtract(rows["replanned"].weeks, rows["plan"].weeks).tolist()
    found = {
        "weeks": weeks,
        "first": first,
        "wishes": DOUGHS * weeks,
        "wider": WIDER,
        "rows": {name: each.summed() for name, each in rows.items()},
        "of_possible": {name: possible(each, rows["all_known"]) for name, each in rows.items()},
        "gained": {"kept": round(fmean(gained), 3), "error": standard_error(gained)},
        **offers,
    }
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    main(sys.argv[1:])
