"""What the daybook's measured bakes teach of the kitchen's own ovens, each by its name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import standing
from pointage.desk.answers import Bake
from pointage.formula.read import read_formula
from pointage.heat.own_oven import Measured, OwnOven, own_oven
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.read import read_kitchen
from pointage.timetable.oven import oven_bake
from pointage.timetable.plan import StepKind

LATEST = 8
"""So many bakes of an oven are learned from, the latest: it ages, and each takes half a second."""
COOLED = 0.01  # of its mass a loaf loses while it cools, common practice with no source


class OwnOvens:
    """The offsets learned, each kept for as long as nothing new is measured of its oven."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[str, OwnOven | None]] = {}

    def of(
        self, kitchen: Kitchen, entries: Sequence[Entry], bakes: Mapping[str, Bake]
    ) -> dict[str, OwnOven]:
        """What the measured bakes say, by the oven's name; nothing of one never measured."""
        found = {}
        for oven in kitchen.ovens:
            here = {
                key: each for key, each in bakes.items() if kitchen.oven_called(_oven(each)) == oven
            }
            learned = self._learned(oven.name, entries, here)
            if learned is not None:
                found[oven.name] = learned
        return found

    def _learned(
        self, oven: str, entries: Sequence[Entry], bakes: Mapping[str, Bake]
    ) -> OwnOven | None:
        told = repr(_told(entries, bakes))
        if oven not in self._kept or told != self._kept[oven][0]:
            found = measured(entries, bakes)
            self._kept[oven] = (told, own_oven(found) if found else None)
        return self._kept[oven][1]


def measured(entries: Iterable[Entry], bakes: Mapping[str, Bake]) -> list[Measured]:
    """The latest bakes whose core or baked weight was told, in the order in which it was."""
    found = [_measured(bakes[key], body) for key, body in _told(entries, bakes).items()]
    return [each for each in found if each is not None]


def _oven(bake: Bake) -> str:
    """The name of the oven it was planned for, "" where it is not baked."""
    steps = (step for step in bake.plan.steps if step.kind is StepKind.BAKE)
    return next((step.capacity or step.place for step in steps), "")


def _told(entries: Iterable[Entry], bakes: Mapping[str, Bake]) -> dict[str, dict[str, Any]]:
    """What was measured of the latest bakes, by their key."""
    told: dict[str, dict[str, Any]] = {}
    for entry in standing(entries):
        key = str(entry.body.get("bake"))
        if key not in bakes:
            continue
        if entry.kind is EntryKind.BAKED:
            told.setdefault(key, {}).update(entry.body)
        elif entry.kind is EntryKind.WEIGHED and entry.body.get("when") in ("baked", "cooled"):
            each = float(entry.body["grams"]) / float(entry.body.get("pieces", 1))
            told.setdefault(key, {}).update(grams=each, when=entry.body["when"])
    return dict(list(told.items())[-LATEST:])


def _measured(bake: Bake, told: Mapping[str, Any]) -> Measured | None:
    if bake.wished is None:
        return None
    formula = read_formula(bake.wished.formula)
    process = formula.process
    steps = [step for step in bake.plan.steps if step.kind is StepKind.BAKE]
    if process is None or not steps:
        return None
    kitchen = read_kitchen(bake.wished.kitchen, bake.wished.since)
    pieces, oven = bake.plan.pieces, kitchen.oven_called(_oven(bake))
    what = oven_bake(formula, process, kitchen, bake.wished.piece_g, pieces, oven=oven)
    loss = None
    if "grams" in told:
        loss = 1 - told["grams"] / float(bake.wished.piece_g)
        loss -= COOLED if told["when"] == "cooled" else 0.0
    core = told.get("core_c")
    if core is None and (loss is None or not 0.0 < loss < 0.4):
        return None
    planned = (steps[0].end - steps[0].start).total_seconds() / 60 - process.load_minutes
    return Measured(what, float(told.get("minutes", planned)), core, loss)
