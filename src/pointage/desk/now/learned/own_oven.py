"""What the measured bakes of the daybook teach of the kitchen's own ovens, each by its name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import oven_of
from pointage.desk.now.replayed import Replayed
from pointage.desk.now.texts import formula_of, kitchen_of
from pointage.errors import InputError
from pointage.heat.own_oven import MeasuredBake
from pointage.kitchen.kitchen import Oven
from pointage.timetable.oven import oven_bake
from pointage.timetable.plan import StepKind

LATEST = 8
"""So many bakes of an oven are learned from, the latest: it ages, and each takes half a second."""
COOLED = 0.01  # of its mass a loaf loses while it cools, common practice with no source


def said_of_oven(picture: Replayed, oven: Oven) -> dict[str, Mapping[str, Any]]:
    """What was measured of the latest bakes of an oven, by their key."""
    latest = sorted(
        place
        for name, measured in picture.measured.items()
        if picture.file.oven_called(name) == oven
        for place in measured[-LATEST:]
    )[-LATEST:]
    return {key: picture.bakes[key].measured for _, key in latest}


def measured(picture: Replayed, said: Mapping[str, Mapping[str, Any]]) -> list[MeasuredBake]:
    """Bakes whose core or baked weight is known, the oldest first."""
    found = [_measured(picture.bakes[key].bake, each) for key, each in said.items()]
    return [each for each in found if each is not None]


def _measured(bake: Bake, said: Mapping[str, Any]) -> MeasuredBake | None:
    if bake.wished is None:
        return None
    try:
        formula = formula_of(bake.wished.formula)
        kitchen = kitchen_of(bake.wished.kitchen)
    except InputError:  # written for an older release
        return None
    process = formula.process
    steps = [step for step in bake.plan.steps if step.kind is StepKind.BAKE]
    if process is None or not steps or not kitchen.ovens:
        return None
    pieces, oven = bake.plan.pieces, kitchen.oven_called(oven_of(bake))
    what = oven_bake(formula, process, kitchen, bake.wished.piece_g, pieces, oven=oven)
    loss = None
    if "grams" in said:
        loss = 1 - said["grams"] / float(bake.wished.piece_g)
        loss -= COOLED if said["when"] == "cooled" else 0.0
    core = said.get("core_c")
    if core is None and (loss is None or not 0.0 < loss < 0.4):
        return None
    planned = (steps[0].end - steps[0].start).total_seconds() / 60 - process.load_minutes
    return MeasuredBake(what, float(said.get("minutes", planned)), core, loss)
