"""Hypothesis at work in a kitchen: a rule for each sort of move, and what must hold after each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule
from tests.whole.journey import Journey
from tests.whole.moves import MAKERS, Maker, wish

T = TypeVar("T")
EXCHANGED_EVERY = 4
"""One example in so many ends with an export and an import: it costs as much as several moves."""


def _rule(name: str, maker: Maker) -> Callable[..., None]:
    def made(self: KitchenMachine, data: st.DataObject) -> None:
        def pick(choices: Sequence[T], /) -> T:
            return data.draw(st.sampled_from(choices))

        self.journey.make(maker(pick, self.journey.hall))

    made.__name__ = name
    return made


class KitchenMachine(RuleBasedStateMachine):
    """A store filled anew for each example; `new_url` is set by the test."""

    new_url: Callable[[], str]
    examples = 0

    def __init__(self) -> None:
        super().__init__()
        type(self).examples += 1
        self.journey = Journey(type(self).new_url)

    def teardown(self) -> None:
        try:
            if self.examples % EXCHANGED_EVERY == 1:
                self.journey.exchange()
        finally:
            self.journey.close()


for _name, (_maker, _often) in {**MAKERS, "wish": (wish, 1)}.items():
    _key = _name.replace(" ", "_")
    setattr(KitchenMachine, _key, rule(data=st.data())(_rule(_key, _maker)))
