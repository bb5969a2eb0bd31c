"""What the fields of a formula's draft may be chosen from, and which of them a stage has."""

from __future__ import annotations

from pointage.desk.formulas.draft import Draft
from pointage.formula.formula import StageKind
from pointage.kitchen.kitchen import Kitchen
from pointage.web.forms.field import Choice


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


def stage_choices(key: str, now: str | None, kitchen: Kitchen) -> tuple[Choice, ...]:
    if key == "kind":
        return tuple(Choice(each.value, each.value) for each in StageKind)
    return choices(now, [p.name for p in kitchen.places]) if key == "place" else ()


def new_choices(key: str, kitchen: Kitchen) -> tuple[Choice, ...]:
    kinds = tuple(each for each in stage_choices("kind", None, kitchen) if each.value != "dough")
    return kinds if key == "kind" else stage_choices(key, None, kitchen)


def process_choices(key: str, draft: Draft, kitchen: Kitchen) -> tuple[Choice, ...]:
    if key == "shape":
        return choices(None, ["boule", "bâtard", "tin", "roll", "flat"])
    now = draft.fields[f"process-{key}"] or None
    if key.endswith("_place"):
        return choices(now, [p.name for p in kitchen.places])
    if key == "oven_name":
        return choices(now, [oven.name for oven in kitchen.ovens])
    return ()


def choices(now: str | None, known: list[str]) -> tuple[Choice, ...]:
    """What there is, nothing first, and what is said already even where it is not there."""
    more = [now] if now is not None and now not in known else []
    return (Choice("", "–"), *(Choice(each, each) for each in [*known, *more]))
