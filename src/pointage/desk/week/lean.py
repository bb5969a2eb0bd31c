"""What is leaned to, in a baker's words: read from the [lean] of a file of wishes, and written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from json import dumps

from pydantic import Field

from pointage.errors import Faults, InputError
from pointage.language import mark
from pointage.timetable.ways.lean import AS_USUAL, RATHER, STRONGLY, Lean
from pointage.toml import TomlTable, nearest, place_of

WEIGHTS: Mapping[str, float] = {"usual": 0.0, "rather": RATHER, "strongly": STRONGLY}
AIMS = tuple(each.name for each in fields(Lean))
_HOW_MUCH = mark("usual, rather or strongly")


class LeanTable(TomlTable):
    """[lean]: where there is a choice, what is leaned to, and how much."""

    early: str = Field("usual", description=_HOW_MUCH)
    night: str = Field("usual", description=_HOW_MUCH)
    waste: str = Field("usual", description=_HOW_MUCH)
    chores: str = Field("usual", description=_HOW_MUCH)


def read_lean(table: LeanTable | None, source: str) -> Lean:
    """The weights of a table. Raises InputError, naming the field."""
    if table is None:
        return AS_USUAL
    faults = Faults()
    weights = {
        name: faults.take(_weight, getattr(table, name), place_of(source, "lean", name))
        for name in AIMS
    }
    faults.check()
    return Lean(**weights)


def lean_text(typed: Mapping[str, str]) -> str:
    """The table of what was chosen in a form; nothing where all is as usual."""
    lines = [f"{name} = {dumps(typed[name])}" for name in AIMS if name in typed]
    return "\n".join(["[lean]", *lines, ""]) if lines else ""


def _weight(text: str, field: str) -> float:
    if text not in WEIGHTS:
        raise InputError(field, repr(text), nearest(text, tuple(WEIGHTS)))
    return WEIGHTS[text]
