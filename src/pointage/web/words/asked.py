"""What a body of the daybook may say, as the fields of a form, and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pointage.bounds import WEIGHED_G
from pointage.daybook.bodies import BODIES, BOUND_OF
from pointage.daybook.entry import EntryKind
from pointage.daybook.readings import MEASURED
from pointage.daybook.typed import as_typed, given_back
from pointage.errors import InputError
from pointage.formula.ingredients import ingredients
from pointage.quantities import print_number, split_number
from pointage.web.forms.field import Choice, Field

Reader = Callable[[str, str], Any]


def _number(text: str, field: str) -> float:
    return BOUND_OF[field].read(text, field) if field in BOUND_OF else _bare(text, field)


def _bare(text: str, field: str) -> float:
    number, unit = split_number(text, field, "a number such as 1.6")
    if unit:
        raise InputError(field, repr(text), "a bare number such as 1.6")
    return float(number)


def _words(text: str, field: str) -> str:
    return text


def _several(text: str, field: str) -> list[str]:
    return [each.strip() for each in text.split(",") if each.strip()]


def _yes(text: str, field: str) -> bool:
    return text == "yes"


@dataclass(frozen=True, slots=True)
class Asked:
    """How one word of a body is asked for and read. choices: for one of a few."""

    label: str
    hint: str = ""
    read: Reader = _number
    choices: tuple[str, ...] = ()
    kind: str = "decimal"

    def field(self, name: str, value: object, typed: Mapping[str, Any] | None = None) -> Field:
        """The field, with a value out of a body or None; as it was typed, if that is known."""
        kind = self.kind
        choices: tuple[Choice, ...] = ()
        if self.choices:
            kind = "select"
            choices = (Choice("", "–"), *(Choice(each, each) for each in self.choices))
        shown = given_back(typed, BOUND_OF[name]) if typed else _shown(value)
        return Field(name, self.label, shown, kind, choices, self.hint)


def _text(label: str, hint: str = "", kind: str = "text") -> Asked:
    return Asked(label, hint, _words, kind=kind)


MARKS = "1 poor, 5 as good as it gets"
ASKED: Mapping[str, Asked] = {
    "text": _text("Note", kind="long"),
    **{name: Asked(each.label, each.hint) for name, each in MEASURED.items()},
    "signs": Asked("In your words", "several with commas between", _several, kind="text"),
    "sha256": _text("Photograph", "the name under which it is kept"),
    "caption": _text("What it shows"),
    "crust": Asked("Crust", MARKS),
    "crumb": Asked("Crumb", "1 to 5"),
    "flavour": Asked("Flavour", "1 to 5"),
    "sour": Asked("Sourness as wished", "1 to 5"),
    "keeping": Asked("Keeping", "1 to 5"),
    "words": _text("In words", kind="long"),
    "grams": Asked("How much", "grams"),
    "pieces": Asked("Pieces"),
    "when": Asked("When", "", _words, ("mixed", "divided", "baked", "cooled")),
    "to": Asked("Where it went", "", _words, ("waste", "kitchen", "given")),
    "minutes": Asked("Minutes in the oven"),
    "oven_c": Asked("The oven stood at", "°C"),
    "core_c": Asked("Inside a loaf at the end", "°C"),
    "steam": Asked("Steam", "", _yes, ("yes", "no")),
    "seed_g": Asked("Kept of it", "grams"),
    "place": _text("Place"),
    "until": _text("Until", "2026-12-05T09:00+00:00"),
    "into": _text("Vessel"),
    "tare_g": Asked("Its tare", "grams"),
    "lid": Asked("Lid", "", _words, ("open", "loose", "tight")),
    "event": Asked("What", "", _words, ("began", "split", "renamed", "retired", "dried")),
    "origin": _text("Out of, or called before"),
    "item": _text("Item"),
    "lot": _text("Lot", "the entry that bought it"),
    "price": Asked("Price of it all"),
    "currency": _text("Currency", "three letters"),
    "pack_g": Asked("Each pack", "grams"),
    "supplier": _text("From"),
    "label": _text("On the sack"),
    "best_before": _text("Best before", "2027-03-01"),
    "moisture": Asked("Moisture of the flour", "percent as bought"),
    "protein": Asked("Its protein", "percent as bought"),
    "ash": Asked("Its ash", "percent of the dry matter"),
    "falling_number": Asked("Its falling number", "seconds"),
    "absorption": Asked("Its absorption", "percent of water at 14 % moisture"),
}
REMARK = _text("Remark", "if there is one")
PART = "parts-{}-grams"
GRAMS_OF = {"flour_g": "", "water_g": "water"}
"""Fields for the grams of what a feed lacks, and the ingredient, where it is not asked for."""


def fields(names: Sequence[str], body: Mapping[str, Any] | None = None) -> tuple[Field, ...]:
    """A field for each of these words, with what `body` says."""
    said = body or {}
    return tuple(ASKED[name].field(name, said.get(name), _typed(said, name)) for name in names)


def every_field(kind: EntryKind, body: Mapping[str, Any]) -> tuple[Field, ...]:
    """All that an entry of this kind may say, filled with what can be read of what it does say."""
    names = [name for name in BODIES[kind].model_fields if name in ASKED]
    parts = tuple(
        Field(PART.format(n), _part_name(part), _shown(part.get("grams")), "decimal", hint="grams")
        for n, part in enumerate(_parts(body), 1)
    )
    if kind is EntryKind.FED:
        parts += _lacking(body)
    culture = _text("Culture").field("culture", body.get("culture"))
    return (
        *parts,
        *fields(names, body),
        *((culture,) if EntryKind.CULTURE is not kind else ()),
        REMARK.field("remark", body.get("remark")),
    )


def read(names: Sequence[str], typed: Mapping[str, str]) -> dict[str, Any]:
    """The body that was typed, quantities also as they were typed; what was left empty is left out.

    Raises InputError by its name.
    """
    found: dict[str, Any] = {}
    for name in names:
        if text := typed.get(name, "").strip():
            found[name] = ASKED[name].read(text, name)
            if name in BOUND_OF:
                found.setdefault("typed", {})[name] = as_typed(text, BOUND_OF[name])
    return found


def read_every(kind: EntryKind, old: Mapping[str, Any], typed: Mapping[str, str]) -> dict[str, Any]:
    """`old` with what was typed over it; what was emptied goes, what was left as shown stays.

    Raises InputError by its name.
    """
    shown = {each.name: each.value for each in every_field(kind, old)}
    names = [name for name in BODIES[kind].model_fields if name in ASKED and name in shown]
    left = {name for name in names if name in old and typed.get(name, "").strip() == shown[name]}
    unshown = {*BODIES[kind].model_fields} - {*shown, "typed", "parts"}
    kept = {name: value for name, value in old.items() if name in left or name in unshown}
    found = kept | read([name for name in names if name not in left], typed)
    as_before = {name: pair for name in left if (pair := _typed(old, name))}
    if as_before:
        found["typed"] = as_before | found.get("typed", {})
    for name in ("culture", "remark"):
        if name in shown and (text := typed.get(name, "").strip()):
            found[name] = text
    parts = [
        {**part, "grams": WEIGHED_G.read(typed.get(PART.format(n), ""), PART.format(n))}
        for n, part in enumerate(_parts(old), 1)
    ]
    for each in _lacking(old) if kind is EntryKind.FED else ():
        if each.name in GRAMS_OF and (text := typed.get(each.name, "").strip()):
            ingredient = GRAMS_OF[each.name] or typed.get("flour", "")
            parts.append({"ingredient": ingredient, "grams": WEIGHED_G.read(text, each.name)})
    if parts or "parts" in old:
        found["parts"] = parts
    return found


def with_errors(
    found: Sequence[Field], typed: Mapping[str, str], errors: Mapping[str, str]
) -> tuple[Field, ...]:
    """Fields as they came back: with what was typed, and why it will not do."""
    return tuple(
        replace(each, value=typed.get(each.name, each.value), error=errors.get(each.name, ""))
        for each in found
    )


def ingredient_label(name: str) -> str:
    """The label of an ingredient by its name; another name as it is."""
    known = ingredients().get(name)
    return name if known is None else known.label


def flour_choices() -> tuple[Choice, ...]:
    """Every flour there is, by its label."""
    return tuple(
        Choice(name, each.label) for name, each in ingredients().items() if each.kind == "flour"
    )


def _parts(body: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The parts of a mix that say of what they are, or how much."""
    parts = body.get("parts")
    return [each for each in parts if isinstance(each, dict)] if isinstance(parts, list) else []


def _lacking(body: Mapping[str, Any]) -> tuple[Field, ...]:
    """Fields for the flour and the water that a feed must have and this one does not name."""
    named = {each.get("ingredient") for each in _parts(body) if _is_text(each.get("ingredient"))}
    flours = flour_choices()
    found: tuple[Field, ...] = ()
    if named.isdisjoint(each.value for each in flours):
        found += (
            Field("flour", "Flour", flours[0].value, "select", flours),
            Field("flour_g", "Fresh flour", "", "decimal", hint="grams"),
        )
    if "water" not in named:
        found += (Field("water_g", "Water", "", "decimal", hint="grams"),)
    return found


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _typed(body: Mapping[str, Any], name: str) -> Mapping[str, Any] | None:
    """A quantity as it was typed; None where that is not known."""
    every = body.get("typed")
    pair = every.get(name) if isinstance(every, dict) else None
    return pair if isinstance(pair, dict) and name in BOUND_OF else None


def _part_name(part: Mapping[str, Any]) -> str:
    name = part.get("ingredient") or part.get("culture")
    return ingredient_label(name) if isinstance(name, str) else "The mixture before"


def _shown(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return print_number(value, 3)
        case list() | tuple():
            return ", ".join(str(each) for each in value)
    return str(value)
