"""What a body of the daybook may say, as the fields of a form, and back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from pointage.bounds import WEIGHED_G
from pointage.daybook.bodies import BODIES, BOUND_OF
from pointage.daybook.entry import EntryKind
from pointage.daybook.readings import MEASURED
from pointage.daybook.typed import as_said, as_typed, given_back
from pointage.desk.formulas.methods import methods
from pointage.desk.larder.answers import kept_in_stock
from pointage.errors import Faults, InputError
from pointage.formula.ingredients import ingredients, offered
from pointage.language import language, mark, say
from pointage.quantities import print_number, split_number
from pointage.web.forms.field import Choice, Field
from pointage.web.forms.form import Asked, Warm, several, with_unit, without_unit


def _number(text: str, field: str) -> float:
    return BOUND_OF[field].read(text, field) if field in BOUND_OF else _bare(text, field)


def _bare(text: str, field: str) -> float:
    number, unit = split_number(text, field, say("a number such as 1.6"))
    if unit:
        raise InputError(field, repr(text), say("a bare number such as 1.6"))
    return float(number)


def _yes(text: str, _: str) -> bool:
    return text == "yes"


def _amount(name: str, label: str, hint: str = "") -> Asked:
    unit = BOUND_OF[name].unit if name in BOUND_OF else ""
    warm: Warm = "point" if unit == "°C" else "apart" if unit == "K" else ""
    return Asked(name, label, hint, _number, "decimal", needed=False, warm=warm)


def _text(name: str, label: str, hint: str = "", kind: str = "text") -> Asked:
    return Asked(name, label, hint, kind=kind, needed=False)


def _mark(name: str, label: str, hint: str = "") -> Asked:
    return replace(_amount(name, label, hint), kind="mark")


def _one_of(name: str, label: str, *words: str) -> Asked:
    choices = (Choice("", "–"), *(Choice(each, each) for each in words))
    return Asked(name, label, choices=choices, needed=False, ours=True)


_EVERY = (
    _text("text", mark("Note"), kind="long"),
    *(_amount(name, each.label, each.hint) for name, each in MEASURED.items()),
    Asked(
        "signs", mark("In your words"), mark("several, with commas between"), several, needed=False
    ),
    _text("sha256", mark("Photograph"), mark("the name it is stored under")),
    _text("caption", mark("What it shows")),
    _mark("crust", mark("Crust"), mark("1 poor, 5 excellent")),
    _mark("crumb", mark("Crumb")),
    _mark("flavour", mark("Flavour")),
    _mark("sour", mark("Sourness as intended")),
    _mark("keeping", mark("Keeping")),
    _text("words", mark("In words"), kind="long"),
    _amount("grams", mark("How much"), mark("grams")),
    _amount("pieces", mark("Pieces")),
    _one_of("when", mark("When"), mark("mixed"), mark("divided"), mark("baked"), mark("cooled")),
    _one_of("to", mark("Where it went"), mark("waste"), mark("kitchen"), mark("given")),
    _amount("minutes", mark("Minutes in the oven")),
    _amount("oven_c", mark("Oven temperature")),
    _amount("core_c", mark("Core temperature at the end")),
    replace(_one_of("steam", mark("Steam"), mark("yes"), mark("no")), read=_yes),
    _amount("seed_g", mark("Seed"), mark("grams")),
    _text("place", mark("Place")),
    _text("until", mark("Until"), "2026-12-05T09:00+00:00"),
    _text("into", mark("Vessel")),
    _amount("tare_g", mark("Its tare"), mark("grams")),
    _one_of("lid", mark("Lid"), mark("open"), mark("loose"), mark("tight")),
    _one_of(
        "event",
        mark("What"),
        mark("began"),
        mark("split"),
        mark("renamed"),
        mark("retired"),
        mark("drying"),
        mark("dried"),
        mark("frozen"),
        mark("changing"),
    ),
    _text("origin", mark("Split from, or former name")),
    _text("flour", mark("Flour it is changed to"), mark("such as rye-whole")),
    _amount("hydration", mark("Its water then"), mark("as a share of the flour: 1 is as much")),
    _amount("keep", mark("Kept at each of these feeds"), mark("as a share: 0.2 is a fifth")),
    _text("item", mark("Item")),
    _text("lot", mark("Lot")),
    _amount("price", mark("Total price")),
    _text("currency", mark("Currency"), mark("three letters")),
    _amount("pack_g", mark("Each pack"), mark("grams")),
    _text("supplier", mark("From")),
    _text("label", mark("Lot number")),
    _text("best_before", mark("Best before"), "2027-03-01"),
    _amount("moisture", mark("Moisture of the flour"), mark("percent as bought")),
    _amount("protein", mark("Its protein"), mark("percent as bought")),
    _amount("ash", mark("Its ash"), mark("percent of the dry matter")),
    _text("ingredient", mark("Stored as")),
    _text("name", mark("Name")),
    _text("like", mark("Like"), mark("an ingredient such as wheat-white")),
    Asked("water", mark("Water"), mark("percent as bought"), _number, "decimal", needed=False),
    Asked("allergens", mark("Allergens"), mark("with commas between"), several, needed=False),
    _amount("falling_number", mark("Its falling number"), mark("seconds")),
    _amount("absorption", mark("Its absorption"), mark("percent of water at 14 % moisture")),
)
ASKED: Mapping[str, Asked] = {each.name: each for each in _EVERY}
REMARK = _text("remark", mark("Remark"), mark("optional"))
PART = "parts-{}-grams"
GRAMS_OF = {"flour_g": "", "water_g": "water"}
"""Fields for the grams of what a feed lacks, and the ingredient, where it is not asked for."""


def fields(names: Sequence[str], body: Mapping[str, Any] | None = None) -> tuple[Field, ...]:
    """A field for each of these words, with what `body` says."""
    said = body or {}
    return tuple(ASKED[name].field(_text_of(said, name)) for name in names)


def every_field(
    kind: EntryKind, body: Mapping[str, Any], lots: Sequence[Choice] = ()
) -> tuple[Field, ...]:
    """All that an entry of this kind may say, filled with what can be read of what it does say.

    lots: those that it may be of, by the entries that bought them; a purchase is of none.
    """
    names = [name for name in BODIES[kind].model_fields if name in ASKED]
    if kind is EntryKind.BOUGHT:
        names.remove("lot")
    parts = tuple(
        Field(PART.format(n), _part_name(part), _shown(part.get("grams")), "decimal",
              hint=say("grams"))
        for n, part in enumerate(_parts(body), 1)
    )  # fmt: skip
    if kind is EntryKind.FED:
        parts += _lacking(body)
    culture = _text("culture", mark("Culture")).field(_shown(body.get("culture")))
    return (
        *parts,
        *(_chosen(kind, each, lots) for each in fields(names, body)),
        *((culture,) if EntryKind.CULTURE is not kind else ()),
        REMARK.field(_shown(body.get("remark"))),
    )


def _chosen(kind: EntryKind, field: Field, lots: Sequence[Choice]) -> Field:
    """A lot or an ingredient as a choice by its name, whatever was recorded among them."""
    match field.name:
        case "lot":
            none = say("the oldest lot first")
            if kind is not EntryKind.USED:
                none = say("all lots together")
            choices = (Choice("", none), *lots)
            other = say("as it was recorded; the larder has no such lot")
        case "item":
            choices = tuple(Choice(each.name, say(each.label)) for each in kept_in_stock())
            other = ingredient_label(field.value) or "–"
        case _:
            return field
    if field.value not in {each.value for each in choices}:
        choices = (*choices, Choice(field.value, other))
    return replace(field, kind="select", choices=choices)


def read(names: Sequence[str], typed: Mapping[str, str]) -> dict[str, Any]:
    """The body that was typed, quantities also as they were typed; what was left empty is left out.

    Raises InputError by their names.
    """
    faults = Faults()
    found: dict[str, Any] = {}
    for name in names:
        if text := typed.get(name, "").strip():
            said = with_unit(text) if ASKED[name].warm else text
            found[name] = faults.take(ASKED[name].read, said, name)
            if name in BOUND_OF:
                found.setdefault("typed", {})[name] = as_typed(said, BOUND_OF[name])
    faults.check()
    return found


def read_every(kind: EntryKind, old: Mapping[str, Any], typed: Mapping[str, str]) -> dict[str, Any]:
    """`old` with what was typed over it; what was emptied goes, what was left as shown stays.

    Raises InputError by their names.
    """
    shown = {each.name: each.value for each in every_field(kind, old)}
    names = [name for name in BODIES[kind].model_fields if name in ASKED and name in shown]
    left = {name for name in names if name in old and typed.get(name, "").strip() == shown[name]}
    unshown = {*BODIES[kind].model_fields} - {*shown, "typed", "parts"}
    kept = {name: value for name, value in old.items() if name in left or name in unshown}
    faults = Faults()
    changed = faults.take(read, [name for name in names if name not in left], typed)
    found = kept | ({} if faults.found else changed)
    as_before = {name: pair for name in left if (pair := _typed(old, name))}
    if as_before:
        found["typed"] = as_before | found.get("typed", {})
    for name in ("culture", "remark"):
        if name in shown and (text := typed.get(name, "").strip()):
            found[name] = text
    parts = []
    for n, part in enumerate(_parts(old), 1):
        grams = faults.take(WEIGHED_G.read, typed.get(PART.format(n), ""), PART.format(n))
        parts.append({**part, "grams": grams})
    for each in _lacking(old) if kind is EntryKind.FED else ():
        if each.name in GRAMS_OF and (text := typed.get(each.name, "").strip()):
            ingredient = GRAMS_OF[each.name] or typed.get("flour", "")
            grams = faults.take(WEIGHED_G.read, text, each.name)
            parts.append({"ingredient": ingredient, "grams": grams})
    faults.check()
    if parts or "parts" in old:
        found["parts"] = parts
    return found


def with_errors(
    found: Sequence[Field], typed: Mapping[str, str], errors: Mapping[str, str]
) -> tuple[Field, ...]:
    """Fields as they came back: with what was typed, and why it cannot be used."""
    return tuple(
        replace(each, value=typed.get(each.name, each.value), error=errors.get(each.name, ""))
        for each in found
    )


def ingredient_label(name: str) -> str:
    """The label of an ingredient by its name; another name as it is."""
    known = ingredients().get(name)
    return name if known is None else say(known.label)


def ingredient_typed(text: str) -> str:
    """The name of the ingredient whose label was typed in the reader's language; other text as it
    is, which is read as in a file."""
    if language().tag == "en":
        return text
    typed = text.strip().casefold()
    named = (name for name, it in ingredients().items() if say(it.label).casefold() == typed)
    return next(named, text)


def bread_choices() -> tuple[Choice, ...]:
    """The kinds of bread that there is a method for, nothing first."""
    return (Choice("", "–"), *(Choice(name, say(label)) for name, label in methods().items()))


def flour_choices() -> tuple[Choice, ...]:
    """Every flour there is, by its label."""
    return tuple(
        Choice(name, say(each.label)) for name, each in offered().items() if each.kind == "flour"
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
            Field("flour", say("Flour"), flours[0].value, "select", flours),
            Field("flour_g", say("Fresh flour"), "", "decimal", hint=say("grams")),
        )
    if "water" not in named:
        found += (Field("water_g", say("Water"), "", "decimal", hint=say("grams")),)
    return found


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _typed(body: Mapping[str, Any], name: str) -> Mapping[str, Any] | None:
    """A quantity as it was typed; None where that is not known."""
    every = body.get("typed")
    pair = every.get(name) if isinstance(every, dict) else None
    return pair if isinstance(pair, dict) and name in BOUND_OF else None


def _text_of(body: Mapping[str, Any], name: str) -> str:
    """What a field holds: a quantity as it was typed, if that is known."""
    typed = _typed(body, name)
    if warm := ASKED[name].warm:
        return without_unit(as_said(typed) if typed else _shown(body.get(name)), warm)
    return given_back(typed, BOUND_OF[name]) if typed else _shown(body.get(name))


def _part_name(part: Mapping[str, Any]) -> str:
    name = part.get("ingredient") or part.get("culture")
    return ingredient_label(name) if isinstance(name, str) else say("The mixture before")


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
