"""What is leaned to, in a baker's words: read from the [lean] of a file of wishes, and written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from json import dumps

from pydantic import Field

from pointage.desk.wording.lists import all_of
from pointage.errors import Faults, InputError
from pointage.language import mark, say
from pointage.timetable.ways.lean import AS_USUAL, RATHER, STRONGLY, Lean
from pointage.toml import TomlTable, nearest, place_of

WEIGHTS: Mapping[str, float] = {"usual": 0.0, "rather": RATHER, "strongly": STRONGLY}
AIMS = tuple(each.name for each in fields(Lean))
_AIM_WORDS = {
    "early": mark("early rather than late"),
    "night": mark("less work in the hour next to sleep"),
    "waste": mark("less culture thrown away"),
    "chores": mark("fewer feeds"),
}
_LEANING = {"rather": mark("to {aim}"), "strongly": mark("strongly to {aim}")}
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


def read_leans(options: Sequence[str], field: str) -> Lean:
    """The weights of options such as "early" (rather) and "waste=strongly". Raises InputError."""
    faults = Faults()
    weights: dict[str, float] = {}
    for option in options:
        name, _, how = option.partition("=")
        if name not in AIMS:
            faults.found.append(InputError(field, repr(name), nearest(name, AIMS)))
            continue
        weights[name] = faults.take(_weight, how or "rather", f"{field}, {name}") or 0.0
    faults.check()
    return Lean(**weights)


def lean_of(words: Mapping[str, str]) -> Lean:
    """The weights of words that were kept; one that is not known weighs as usual."""
    return Lean(**{name: WEIGHTS.get(words.get(name, ""), 0.0) for name in AIMS})


def words_of(lean: Lean) -> dict[str, str]:
    """The word of every aim."""
    words = {weight: word for word, weight in WEIGHTS.items()}
    return {name: words[getattr(lean, name)] for name in AIMS}


def chosen_for(lean: Lean) -> str:
    """What a plan was chosen for, in a sentence or two."""
    usual = say(
        "Chosen for: bread at its time, a levain taken while it is ripe and a dough risen as it "
        "should be; then for fewer feeds and less waiting."
    )
    leans = [
        say(_LEANING[how], aim=say(_AIM_WORDS[name]))
        for name, how in words_of(lean).items()
        if how != "usual"
    ]
    if not leans:
        return usual
    return say("{usual} Leaning {leans}.", usual=usual, leans=all_of(leans))


def lean_text(typed: Mapping[str, str]) -> str:
    """The table of what was chosen in a form; nothing where all is as usual."""
    lines = [f"{name} = {dumps(typed[name])}" for name in AIMS if name in typed]
    return "\n".join(["[lean]", *lines, ""]) if lines else ""


def _weight(text: str, field: str) -> float:
    if text not in WEIGHTS:
        raise InputError(field, repr(text), nearest(text, tuple(WEIGHTS)))
    return WEIGHTS[text]
