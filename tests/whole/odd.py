"""Entries that no form lets pass: what another clock, program or version might have written.

Each is a body that could be, with one thing in it changed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Protocol, TypeVar
from uuid import UUID

from tests.whole.pages import There

T = TypeVar("T")
NONE = str(UUID(int=0))
VALUES: tuple[Any, ...] = (
    None, "", "x", "nan", 0, -1, 1e300, -1e300, True, [], {}, [1], {"a": 1}, "2024-11-22",
    "9" * 400, 10**30,
)  # fmt: skip
OFFSETS = (0.0, -1.0, -72.0, -24000.0, 3.0, 24000.0)
"""Hours from now at which it happened: by a clock that is right, late, or far off either way."""


class Picker(Protocol):
    def __call__(self, choices: Sequence[T], /) -> T: ...


def _bodies(there: There, steps: Sequence[str]) -> Mapping[str, Sequence[Mapping[str, Any]]]:
    """Bodies that could be, by kind."""
    culture = there.cultures[0] if there.cultures else "Gannet"
    bake = there.bakes[-1] if there.bakes else NONE
    entry = there.entries[-1] if there.entries else NONE
    parts = [{"ingredient": "rye-whole", "grams": 50.0}, {"ingredient": "water", "grams": 50.0}]
    step = {"bake": bake, "step": steps[0]}
    fed = {"culture": culture, "seed_g": 10.0, "parts": parts, "place": "Fridge",
           "temperature_c": 24.0}  # fmt: skip
    event = {"event": "split", "culture": "Skua", "origin": culture, "grams": 10.0}
    stock = {"item": "rye-whole", "grams": 500.0}
    taken = [{"culture": culture, "grams": 20.0}, *parts]
    return {
        "plan": [{"plan": {"formula": "x"}, "wished": {}}],
        "done": [step],
        "reading": [
            {**step, "reading": "rise", "value": 1.5},
            {**step, "pour": 0, "display_g": 500.0, "keep": "ratios"},
        ],
        "mixed": [{**step, "parts": taken, "temperature_c": 24.0}, {"parts": taken, "into": "Tub"}],
        "held": [{"culture": culture, "place": "Fridge"}],
        "fed": [fed, fed],
        "poured-off": [{"culture": culture, "grams": 10.0, "to": "waste"}],
        "measured": [{"culture": culture, "rise": 1.5, "ph": 4.1, "temperature_c": 24.0}],
        "seen": [{"culture": culture, "signs": ["bubbles"]}],
        "smelled": [{**step, "signs": ["apples"]}],
        "baked": [{"bake": bake, "pieces": 8.0, "minutes": 40.0, "core_c": 97.0, "oven_c": 240.0}],
        "weighed": [{"bake": bake, "grams": 6000.0, "pieces": 8.0, "when": "baked"}],
        "tasted": [{"bake": bake, "crust": 4.0, "flavour": 4.0, "words": "good"}],
        "photo": [{"culture": culture, "sha256": "0" * 64, "caption": "none"}],
        "note": [{"text": "a note", "bake": bake}],
        "bought": [{**stock, "price": 5.0, "currency": "EUR", "best_before": "2025-01-01"}],
        "counted": [stock, {**stock, "lot": entry}],
        "used": [stock, {**stock, "lot": entry}],
        "ingredient": [
            {"ingredient": "mill-1", "name": "Mill", "like": "barley", "allergens": ["barley"]}
        ],
        "culture": [
            event,
            {"event": "began", "culture": "Skua"},
            {"event": "renamed", "culture": "Skua", "origin": culture},
            {"event": "retired", "culture": culture},
            {"event": "dried", "culture": culture},
        ],
        "corrected": [{"entry": entry, "body": fed}, {"entry": entry, "body": {"grams": 5.0}}],
        "withdrawn": [{"entry": entry}, {**step}, {"bake": bake}],
    }


def odd_entry(pick: Picker, there: There, steps: Sequence[str]) -> list[Any]:
    """The kind of an entry, when it happened against now, and its body."""
    bodies = _bodies(there, steps)
    kind = pick(sorted(bodies))
    body: dict[str, Any] = dict(pick(bodies[kind]))
    change: Callable[[], dict[str, Any]] = pick((
        lambda: _with(body, pick(sorted(body)), pick(VALUES)),
        lambda: _without(body, pick(sorted(body))),
        lambda: {**body, "mood": {"of": ["the", "sea"]}},
        lambda: _in_part(pick, body),
        lambda: _strange(pick, body),
        dict,
    ))  # fmt: skip
    return [kind, pick(OFFSETS), change()]


def _with(body: Mapping[str, Any], name: str, value: Any) -> dict[str, Any]:
    return {**body, name: value}


def _without(body: Mapping[str, Any], name: str) -> dict[str, Any]:
    return {key: value for key, value in body.items() if key != name}


def _in_part(pick: Picker, body: Mapping[str, Any]) -> dict[str, Any]:
    """A part of a mix changed; another body as it is, which then is none of the odd ones."""
    if "parts" not in body:
        return dict(body)
    first, *rest = body["parts"]
    part = pick((
        _with(first, "grams", pick(VALUES)),
        {"grams": 10.0, "ingredient": "moonstone"},
        {"grams": 10.0, "culture": "Nobody"},
        {"grams": 10.0, "mixture": NONE},
        _without(first, "grams"),
    ))  # fmt: skip
    return {**body, "parts": [part, *rest]}


def _strange(pick: Picker, body: Mapping[str, Any]) -> dict[str, Any]:
    """Names of what is not there."""
    names = [
        name
        for name in ("culture", "place", "bake", "step", "item", "lot", "entry", "origin", "event")
        if name in body
    ]
    return _with(body, pick(names), pick(("Nobody", NONE, "melted"))) if names else dict(body)


PLAN_PATHS = (
    ("plan",), ("wished",), ("plan", "steps"), ("plan", "steps", 0, "start"), ("plan", "culture"),
    ("plan", "formula"), ("plan", "thread"), ("plan", "ready"), ("plan", "steps", 0, "key"),
    ("plan", "steps", 0, "ladder"), ("plan", "steps", 0, "place"), ("plan", "pieces"),
    ("plan", "zone"), ("plan", "mood"), ("wished", "formula"), ("wished", "kitchen"),
    ("wished", "since"), ("wished", "culture"), ("wished", "piece_g"), ("wished", "mood"),
    ("plan", "steps", 1, "kind"), ("plan", "piece_g"), ("plan", "status"),
)  # fmt: skip


def odd_plan(pick: Picker) -> list[Any]:
    """A place in the body of a plan, and the value that is put there."""
    value = pick((*VALUES, "Nobody", "2024-13-01T00:00:00Z", "name = 3"))
    return [list(pick(PLAN_PATHS)), value]
