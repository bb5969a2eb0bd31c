"""The choice of alternatives against every choice there is, tried one by one."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from random import Random

import numpy as np
import pytest

from pointage.timetable.choice.alternatives import (
    Alternative,
    CapacityUse,
    HotSpell,
    LeftOut,
    Options,
    Packing,
)
from pointage.timetable.choice.proof import worth_weighing
from pointage.timetable.week.clash import clash_with
from pointage.timetable.week.packing import chosen, one_after_another, pack

ROOM = {"hands": 1, "oven": 1, "shelf": 3}
MINUTES = 12


def allowed(problem: Packing, chosen: tuple[int | None, ...]) -> bool:
    """Minute by minute, with nothing of the module's own."""
    picked = [(i, problem.wishes[i].alternatives[k]) for i, k in enumerate(chosen) if k is not None]
    for minute in range(MINUTES + 2):
        for name, room in problem.capacities.items():
            used = sum(
                u.amount for u in problem.fixed if u.capacity == name and u.start <= minute < u.end
            )
            tasks: set[str] = set()
            for _, each in picked:
                for u in each.uses:
                    if u.capacity == name and u.start <= minute < u.end and u.task not in tasks:
                        used += u.amount
                        if u.task:
                            tasks.add(u.task)
            if used > room:
                return False
    return all(
        not each.needs
        or any(
            n.name == o.leaves.name and n.start <= o.leaves.start <= n.end
            for n in each.needs
            for j, o in picked
            if j != i and o.leaves is not None
        )
        for i, each in picked
    )


def price(problem: Packing, chosen: tuple[int | None, ...]) -> float:
    total = 0.0
    tasks: dict[str, float] = {}
    for wish, k in zip(problem.wishes, chosen, strict=True):
        total += wish.given_up if k is None else wish.alternatives[k].penalty
        tasks |= {} if k is None else dict(wish.alternatives[k].tasks)
    return total + sum(tasks.values())


def every_choice(problem: Packing) -> list[tuple[int | None, ...]]:
    each = [[None, *range(len(wish.alternatives))] for wish in problem.wishes]
    return [chosen for chosen in product(*each) if allowed(problem, chosen)]


def drawn(seed: int) -> Packing:
    """A tiny problem: some spells overlap, some tasks are shared, some need a hot oven."""
    chance = Random(seed)

    def use(name: str) -> CapacityUse:
        start = chance.randrange(MINUTES - 3)
        return CapacityUse(
            name,
            start,
            start + chance.randint(1, 4),
            chance.randint(1, 2) if name == "shelf" else 1,
        )

    def alternative() -> Alternative:
        uses = [use("oven")]
        if chance.random() < 0.7:
            uses.append(use("shelf"))
        tasks: tuple[tuple[str, float], ...] = ()
        if chance.random() < 0.4:
            at = chance.randrange(2)
            tasks = ((f"feed {at}", 1.0),)
            uses.append(CapacityUse("hands", at, at + 1, 1, f"feed {at}"))
        else:
            uses.append(use("hands"))
        leaves = HotSpell("oven", uses[0].end, uses[0].end)
        needs: tuple[HotSpell, ...] = ()
        if chance.random() < 0.3:
            needs = (HotSpell("oven", uses[0].start - 2, uses[0].start),)
        return Alternative(chance.randint(0, 8) / 2, tuple(uses), tasks, leaves, needs)

    wishes = tuple(
        Options(
            tuple(alternative() for _ in range(chance.randint(0, 4))), chance.choice((3.0, 100.0))
        )
        for _ in range(chance.randint(1, 4))
    )
    fixed = tuple(use("oven") for _ in range(chance.randint(0, 1)))
    return Packing(ROOM, wishes, fixed)


@pytest.mark.parametrize("block", range(10))
@pytest.mark.soon(3)
def test_nothing_is_cheaper_than_what_is_chosen(block: int) -> None:
    for seed in range(30 * block, 30 * block + 30):
        problem = drawn(seed)
        found = pack(problem)
        best = min(price(problem, chosen) for chosen in every_choice(problem))
        assert allowed(problem, found.chosen), seed
        assert found.penalty == pytest.approx(price(problem, found.chosen))
        assert found.penalty == pytest.approx(best, abs=0.001), seed  # the solver rounds
        assert found.optimal, seed
        assert found.bound <= best + 1e-6


def test_what_is_kept_could_not_be_cheaper_than_is_stated() -> None:
    for seed in range(40):
        problem = drawn(seed)
        found = pack(problem)
        paid = sum(
            wish.given_up for wish, k in zip(problem.wishes, found.chosen, strict=True) if k is None
        )
        kept = [k is None for k in found.chosen]
        alike = [
            price(problem, each) - paid
            for each in every_choice(problem)
            if [k is None for k in each] == kept
        ]
        assert found.least_kept <= min(alike) + 1e-6, seed
        assert found.penalty - paid - found.least_kept <= 0.01, seed


def test_what_was_not_weighed_is_in_the_bound() -> None:
    for seed in range(60):
        every = drawn(seed)
        wishes = []
        for wish in every.wishes:
            weighed, others = wish.alternatives[::2], wish.alternatives[1::2]
            left_out = None
            if others:
                # What they use is known in two parts, and not all of it.
                parts = (
                    tuple(Alternative(0.0, o.uses[:1], (), o.leaves, o.needs) for o in others),
                    tuple(Alternative(0.0, o.uses[2:], o.tasks) for o in others),
                )
                numbers = np.arange(len(others))
                prices = np.array([other.penalty for other in others])
                left_out = LeftOut(prices, np.stack([numbers, numbers], axis=1), parts)
            wishes.append(Options(weighed, wish.given_up, left_out))
        problem = replace(every, wishes=tuple(wishes))
        found = pack(problem)
        choices = every_choice(every)
        assert found.bound <= min(price(every, each) for each in choices) + 1e-6, seed
        kept = [k is None for k in found.chosen]
        paid = sum(w.given_up for w, none in zip(every.wishes, kept, strict=True) if none)
        alike = [price(every, c) - paid for c in choices if [k is None for k in c] == kept]
        assert found.least_kept <= min(alike) + 1e-6, seed
        for own, wish in zip(worth_weighing(chosen(problem)), problem.wishes, strict=True):
            assert len(set(own)) == len(own)
            assert set(own) <= set(range(len(wish.left_out.penalty) if wish.left_out else 0))


def test_one_after_another_is_allowed_and_never_better() -> None:
    for seed in range(100):
        problem = drawn(seed)
        greedy = one_after_another(problem)
        assert allowed(problem, greedy.chosen), seed
        assert greedy.penalty >= pack(problem).penalty - 0.01


def test_a_wish_given_up_never_makes_the_rest_dearer() -> None:
    for seed in range(100):
        problem = drawn(seed)
        alone = Packing(problem.capacities, problem.wishes[1:], problem.fixed)
        shared = any(each.tasks or each.needs for w in problem.wishes for each in w.alternatives)
        if len(problem.wishes) > 1 and not shared:
            whole = pack(problem)
            assert pack(alone).penalty <= whole.penalty + 0.01


def test_a_clash_is_as_small_as_can_be() -> None:
    def needs(*spells: tuple[str, int]) -> Options:
        uses = tuple(CapacityUse(name, at, at + 2) for name, at in spells)
        return Options((Alternative(0.0, uses),), 100.0)

    # 0 and 2 want the oven at once; 1 is in nobody's way; 3, 4 and 5 want two shelves too many.
    shelf = Options((Alternative(0.0, (CapacityUse("shelf", 8, 10, 2),)),), 100.0)
    problem = Packing(
        {**ROOM, "shelf": 5},
        (needs(("oven", 0)), needs(("oven", 4)), needs(("oven", 1)), shelf, shelf, shelf),
    )
    found = pack(problem)
    assert sum(each is None for each in found.chosen) == 2
    assert clash_with(problem, 0, [1, 2, 3, 4]) == (0, 2)
    assert clash_with(problem, 5, [0, 1, 3, 4]) == (3, 4, 5)
