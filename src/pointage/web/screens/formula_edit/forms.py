"""The forms of a formula's draft: of the whole, of each stage, and of how it is worked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from pointage.desk.formulas.changes import NEW_IN_GRAMS, NEW_STAGE, has_hydration
from pointage.desk.formulas.draft import PROCESS, STAGE, Draft, TypedCells
from pointage.formula.file.shape import FormulaTable, ProcessTable, StageTable
from pointage.formula.formula import StageKind
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.toml import TomlTable
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form, of_shape

NOTHING = Choice("", "–")
# What a form says otherwise than the file: how lists are typed, and what a label says already.
OTHERWISE: Mapping[str, Mapping[str, Any]] = {
    "name": {"hint": ""},
    "about": {"label": mark("In one sentence"), "hint": ""},
    "cautions": {"hint": mark("one line each"), "kind": "long"},
    "may_contain": {"hint": mark("such as nuts, sesame")},
    "temperature": {"hint": mark("after mixing"), "warm": "point"},
    "dough_temperature": {"hint": "", "warm": "point"},
    "oven": {"hint": "", "warm": "point"},
    "flours": {"label": mark("Flours"), "hint": mark("such as rye-whole 60, wheat-white 40")},
    "takes": {
        "label": mark("Other ingredients"),
        "hint": mark("percent of all flour, such as oats 10, water 20"),
    },
    "grams": {
        "label": mark("What goes in"),
        "hint": mark("in grams, such as rye flour 25, water 25"),
        "kind": "text",
    },
    "words": {"label": mark("In your own words"), "hint": "", "kind": "long"},
    "shape_keeps": {"label": mark("Gas kept in shaping")},
    "parts_of": {
        "label": mark("Takes from"), "hint": mark("stages that go into it, such as First build 100")
    },
}  # fmt: skip


OWN_WORDS = {
    "all": mark("The whole method, or what is about no one step"),
    "mix": mark("On the mix"),
    "bulk": mark("On the bulk"),
    "fold": mark("On the folds"),
    "divide": mark("On dividing"),
    "rest": mark("On the bench rest"),
    "shape": mark("On shaping"),
    "proof": mark("On the proof"),
    "retard": mark("On the retard"),
    "bake": mark("On the bake"),
    "cool": mark("On cooling"),
}


def forms(draft: Draft, kitchen: Kitchen) -> dict[str, Form]:
    """By what they are of: "head", "words", "own-words", "process", "method", "new", "row", each
    "stage-0" …"""
    own = draft.formula
    there = {
        "place": [each.name for each in kitchen.places],
        "oven_name": [each.name for each in kitchen.ovens],
        "culture": [each.name for each in kitchen.cultures],
    }

    def form(table: type[TomlTable], keys: Iterable[str], row: str = "", *more: Asked) -> Form:
        asked = []
        for key in keys:
            it = replace(of_shape(key, table.model_fields[key]), **OTHERWISE.get(key, {}))
            known = there.get("place" if key.endswith("_place") else key)
            if known is not None:
                now = draft.fields.get(f"{row}-{key}" if row else key, "")
                it = replace(it, hint="", choices=_choices(now, known))
            elif row == "process" and it.choices:
                it = replace(it, choices=(NOTHING, *it.choices))  # there need be no process
            elif row == "new":
                # A formula has one dough, and that is there.
                rest = tuple(each for each in it.choices if each.value != StageKind.DOUGH)
                it = replace(it, choices=rest)
            asked.append(it)
        found = Form((*asked, *more))
        return found.row(row) if row else found

    by_grams = draft.side is TypedCells.STAGES_GRAMS
    head = (key for key in ("name", "pieces", "piece") if key != "piece" or not draft.in_grams)
    found = {
        "head": form(FormulaTable, head),
        "words": form(
            FormulaTable,
            ("culture", "about", "cautions", "may_contain", "author", "year", "licence"),
        ),
        "process": form(ProcessTable, PROCESS, "process"),
        "new": form(StageTable, NEW_IN_GRAMS if by_grams else NEW_STAGE, "new"),
        "method": Form((Asked("method", mark("Kind of bread"), needed=False, choices=(NOTHING,)),)),
        "own-words": Form(
            tuple(
                Asked(f"words-{key}", label, kind="long", needed=False)
                for key, label in OWN_WORDS.items()
            )
        ),
        "row": Form((Asked("row", mark("Ingredient"), mark("by its name"), among="known"),)),
    }
    for i, stage in enumerate(own.stages):
        more: tuple[Asked, ...] = ()
        if has_hydration(own, i):
            now = print_number(100 * float(own.whole(stage).hydration), 1)
            hint = say("now {now} %; the water is calculated from it", now=now)
            more = (Asked("hydration", mark("Hydration"), hint),)
        keys = (key for key in STAGE if may_have(stage.kind, key))
        found[f"stage-{i}"] = form(StageTable, keys, f"stage-{i}", *more)
    return found


def may_have(kind: StageKind, key: str) -> bool:
    """Whether a stage of this kind says such a thing; what it may not have is not asked."""
    match key:
        case "seed":
            return kind is StageKind.LEVAIN
        case "least" | "most":
            return kind in (StageKind.SOAKER, StageKind.SCALD)
        case "when":
            return kind is StageKind.ADDITION
        case "temperature" | "place":
            return kind not in (StageKind.ADDITION, StageKind.DOUGH)
    return True


def _choices(now: str, known: list[str]) -> tuple[Choice, ...]:
    """What there is, nothing first, and what is said already even where it is not there."""
    more = [now] if now and now not in known else []
    return (NOTHING, *(Choice(each, each) for each in [*known, *more]))
