"""Weeks of more and more doughs: how fast they are planned, how near to the best, and what is kept.

`python -m benchmarks.week [DOUGHS …]` prints one JSON object; 2, 4 and 8 doughs if none are given.
`python -m benchmarks.week 16 32` shows weeks that are too full, in a minute or two.
Skerry Hall has four cultures there, one oven of one load at a time, its nights asleep; wishes are
drawn over seven days. Beside the plan stand two others on the same ways: a plain backward pass
(each bake as if it were alone, what then clashes is lost) and one after another (each takes the
best that the earlier ones leave).

`nature`: the chosen plans lived through in MEMBERS weeks, in each of which every culture has traits
of its own, drawn from a population WIDER times as wide (in logarithms) as the planner believes. The
baker knows no more than the planner: she looks once at each mixture, reads it to 0.1 of its rise,
and goes by that and by what the mixtures before it did (docs/week.md). Kept is a wish whose levains
are used inside their windows and whose dough is loaded inside its proof range while it still
stands, out within 20 min of when it was to be; `by_clock` besides is divided inside its range.
`lost`: the shares of weeks in which a levain was not in its window, the dough was not in its proof
range, had become too weak, or came too late, by formula; a wish may be lost by several.
`tenths`: for the shown odds by tenths, how many wishes there were, and the share kept in nature.
`gap`: the share of the penalty that another choice which keeps the same wishes might save at the
most. `seconds` are of the processor, in this process and the one beside it (decision 0057),
`seconds_here` in this one alone, `seconds_wall` by the clock (judge those on a quiet machine); the
kernel is compiled before. `seconds_to_first_wall`: until it is first known what becomes of all
wishes together, which may still get better (decision 0061). `seconds_one_changed`: planned again
with the last wish an hour later, what was worked out for the others at hand.
"""

from __future__ import annotations

import json
import os
import sys
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta
from random import Random
from statistics import fmean
from time import perf_counter, process_time
from typing import Any

import numpy as np

from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.formula.file.read import read_formula
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.kitchen import Kitchen
from pointage.mixture.traits import Traits, draw_traits
from pointage.timetable.baker.life import Lived
from pointage.timetable.choice.alternatives import Options, Packed, Packing
from pointage.timetable.choice.beside import beside
from pointage.timetable.choice.memo import Memo
from pointage.timetable.problem import Problem
from pointage.timetable.ways.bands import run_thread
from pointage.timetable.week.answer import WishAnswer
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.odds import by_clock, followed
from pointage.timetable.week.packing import one_after_another
from pointage.timetable.week.question import WeekQuestion, WeekWish
from pointage.timetable.week.week import SEARCHED, WeekChoice, answers_of, choose_week

NOW = datetime(2026, 11, 30, 7, tzinfo=UTC)  # a Monday
MEMBERS, WIDER = 200, 1.3
READINGS = 9  # the seed of how nature's readings err
SEEDS = (1, 2, 3, 4)
SIZES = (2, 4, 8)
BREADS = (
    ("harbour-loaf", ("Plover", "Tern"), 4),
    ("tinned-rye", ("Gannet", "Skua"), 4),
    ("seeded-rolls", ("Tern", "Plover"), 24),
    ("sunday-spelt", ("Plover", "Tern"), 4),
)


def four_cultures() -> Kitchen:
    """Skerry Hall with a second culture of each flour."""
    hall = read_kitchen(demonstration_text(), NOW)
    twins = {"Plover": "Tern", "Gannet": "Skua"}
    more = (replace(each, name=twins[each.name]) for each in hall.cultures)
    return replace(hall, cultures=(*hall.cultures, *more))


def wishes(hall: Kitchen, doughs: int, seed: int) -> tuple[WeekWish, ...]:
    """So many wishes for bread in the daytime of the third to the seventh day."""
    chance = Random(seed)
    formulas = {
        slug: read_formula(text, f"{slug}.toml") for slug, text in demonstration_formulas().items()
    }
    found = []
    for number in range(doughs):
        slug, cultures, pieces = BREADS[number % len(BREADS)]
        day, hour = chance.randint(2, 6), chance.choice((9, 10, 11, 13, 15, 17))
        ready = (NOW + timedelta(days=day)).replace(hour=hour)
        bread = formulas[slug]
        culture = hall.culture(cultures[number // len(BREADS) % 2])
        what = (bread, hall, culture, NOW, ready, pieces, bread.piece_g)
        found.append(WeekWish(Problem(*what)))
    return tuple(found)


def backward(packing: Packing) -> Packed:
    """Each wish by its own cheapest way, in the order of the wishes."""
    alone = tuple(
        Options(tuple(sorted(each.alternatives, key=lambda it: it.whole)[:1]), each.given_up)
        for each in packing.wishes
    )
    found = one_after_another(replace(packing, wishes=alone))
    numbers = tuple(
        None if k is None else each.alternatives.index(own.alternatives[0])
        for k, each, own in zip(found.chosen, packing.wishes, alone, strict=True)
    )
    return replace(found, chosen=numbers)


def stretched(seed: int) -> Traits:
    """Nature's members: those of another draw, so much further from its median."""
    drawn = draw_traits(MEMBERS, seed)
    values = [np.asarray(getattr(drawn, field.name)) for field in fields(Traits)]
    return Traits(*(np.median(v) * (v / np.median(v)) ** WIDER for v in values))


def lived(
    ways: Sequence[WeekWay | None], nature: Traits, losses: dict[str, list[Lived]] | None = None
) -> list[tuple[float, float]]:
    """The share of weeks in which each wish is kept, by the signs and by the clock."""
    found = []
    for way in ways:
        if way is None:
            found.append((0.0, 0.0))
            continue
        thread, problem = way.thread(), way.problem
        baker = followed(problem, way.stage, thread).baker
        signs = baker.lives(nature, READINGS)
        if losses is not None:
            losses[problem.formula.slug].append(signs)
        run = run_thread(problem, thread, nature, baker.masses)
        clock = by_clock(problem, way.stage, thread, run)
        found.append((float(np.mean(signs.kept)), float(np.mean(clock))))
    return found


def lost(lives: Sequence[Lived]) -> dict[str, float]:
    """Why the wishes of a formula are lost."""
    why: dict[str, list[float]] = defaultdict(list)
    for each in lives:
        assert each.dough is not None
        why["levain"].append(1 - float(np.mean(np.logical_and.reduce(each.ripe))))
        why["proof"].append(1 - float(np.mean(each.dough.proofed)))
        why["weak"].append(1 - float(np.mean(each.dough.sound)))
        why["late"].append(1 - float(np.mean(each.on_time)))
        why["kept"].append(float(np.mean(each.kept)))
    return {name: round(fmean(shares), 3) for name, shares in why.items()}


def share(lives: Sequence[tuple[float, float]]) -> dict[str, float]:
    signs, clock = (fmean(each) for each in zip(*lives, strict=True))
    return {"by_signs": round(signs, 3), "by_clock": round(clock, 3)}


def worked() -> float:
    """Seconds of the processor so far, of this process and of those that it has ended."""
    return sum(os.times()[:4])


def planned(
    question: WeekQuestion, memo: Memo
) -> tuple[WeekChoice, tuple[WishAnswer, ...], float, float]:
    """A week as `plan_week` has it, but for upkeep; when by the clock a first plan of all wishes
    was there, and when by the processor the last was chosen."""
    searched, first = [0.0], list[float]()

    def heard(ready: tuple[datetime | None, ...]) -> None:
        if searched[-1] >= SEARCHED:
            first.append(perf_counter())

    choice = choose_week(question, searched.append, so_far=heard, memo=memo)
    chosen = worked()
    with beside(choice.proved_packed) as proof:
        answers = answers_of(choice, memo=memo)
        choice = replace(choice, packed=proof(), unproved=None)
    return choice, answers, first[0], chosen


def one(
    doughs: int, seed: int, tenths: dict[int, list[float]], losses: dict[str, list[Lived]]
) -> dict[str, Any]:
    hall = four_cultures()
    question = WeekQuestion(hall, NOW, wishes(hall, doughs, seed))
    memo = Memo()
    began, here, wall = worked(), process_time(), perf_counter()
    choice, answers, first_wall, chosen = planned(question, memo)
    written, here_end, wall_end = worked(), process_time(), perf_counter()
    moved = question.wishes[-1].problem
    moved = replace(moved, ready=moved.ready + timedelta(hours=1))
    *same, last = question.wishes
    again = replace(question, wishes=(*same, replace(last, problem=moved)))
    changed, here_changed, wall_changed = worked(), process_time(), perf_counter()
    *_, first_changed, _ = planned(again, memo)
    after, here_after, wall_after = worked(), process_time(), perf_counter()
    nature = stretched(1000 + seed)
    others = {
        "backward_pass": backward(choice.packing),
        "one_after_another": one_after_another(choice.packing),
    }
    lives = lived(choice.ways, nature, losses)
    for answer, (signs, _) in zip(answers, lives, strict=True):
        if answer.odds is not None:
            tenths[min(9, int(10 * answer.odds.by_signs))].append(signs)
    packed = choice.packed
    paid = packed.penalty - choice.penalty
    return {
        "seed": seed,
        "seconds": round(written - began, 2),
        "seconds_here": round(here_end - here, 2),
        "seconds_wall": round(wall_end - wall, 2),
        "seconds_to_first_wall": round(first_wall - wall, 2),
        "seconds_to_choose": round(chosen - began, 2),
        "seconds_one_changed": round(after - changed, 2),
        "seconds_one_changed_here": round(here_after - here_changed, 2),
        "seconds_one_changed_wall": round(wall_after - wall_changed, 2),
        "seconds_one_changed_to_first_wall": round(first_changed - wall_changed, 2),
        "optimal": packed.optimal,
        "penalty": round(choice.penalty, 2),
        "bound": round(max(0.0, packed.bound - paid), 2),
        "gap": round(choice.gap, 3),
        "kept": sum(each.kept for each in answers),
        **{f"kept_{name}": sum(k is not None for k in p.chosen) for name, p in others.items()},
        "nature": share(lives),
        **{f"nature_{name}": share(lived(_ways(choice, p), nature)) for name, p in others.items()},
    }


def _ways(choice: WeekChoice, packed: Packed) -> list[WeekWay | None]:
    return replace(choice, packed=packed).ways


def main(arguments: Sequence[str]) -> None:
    sizes = [int(each) for each in arguments] or list(SIZES)
    hall = four_cultures()
    choose_week(WeekQuestion(hall, NOW, wishes(hall, 1, 0)))  # the kernel is compiled and loaded
    tenths: dict[int, list[float]] = defaultdict(list)
    losses: dict[str, list[Lived]] = defaultdict(list)
    weeks = {str(doughs): [one(doughs, seed, tenths, losses) for seed in SEEDS] for doughs in sizes}
    shown = {
        f"{n / 10:.1f}": {"wishes": len(kept), "kept": round(fmean(kept), 3)}
        for n, kept in sorted(tenths.items())
    }
    found = {"members": MEMBERS, "wider": WIDER, "doughs": weeks, "tenths": shown}
    print(
        json.dumps(found | {"lost": {slug: lost(each) for slug, each in losses.items()}}, indent=2)
    )


if __name__ == "__main__":
    main(sys.argv[1:])
