"""An entry of the daybook in words."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from pointage.daybook.bodies import checked_body
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import measured_words, reading_words, readings_of
from pointage.daybook.replay import amended
from pointage.desk.answers import Bake
from pointage.desk.wording import title
from pointage.errors import InputError
from pointage.quantities import print_number
from pointage.shown import FIXED
from pointage.web.words.asked import ingredient_label
from pointage.web.words.clock import Clock
from pointage.web.words.words import (
    count,
    lower_first,
    mass,
    warmth,
)

Body = Mapping[str, Any]

KIND_WORDS: Mapping[EntryKind, str] = {
    EntryKind.PLAN: "Planned",
    EntryKind.DONE: "Done",
    EntryKind.READING: "Reading",
    EntryKind.MIXED: "Mixed",
    EntryKind.HELD: "Moved",
    EntryKind.FED: "Fed",
    EntryKind.POURED_OFF: "Discarded",
    EntryKind.MEASURED: "Measured",
    EntryKind.SEEN: "Seen",
    EntryKind.SMELLED: "Smelled",
    EntryKind.CONFIRMED: "Confirmed",
    EntryKind.BAKED: "Baked",
    EntryKind.WEIGHED: "Weighed",
    EntryKind.TASTED: "Tasted",
    EntryKind.PHOTO: "Photograph",
    EntryKind.NOTE: "Note",
    EntryKind.BOUGHT: "Bought",
    EntryKind.COUNTED: "Counted",
    EntryKind.USED: "Used",
    EntryKind.CULTURE: "Culture",
    EntryKind.WITHDRAWN: "Withdrawn",
    EntryKind.CORRECTED: "Corrected",
}
MARKS = ("crust", "crumb", "flavour", "sour", "keeping")
LONGEST_RAW = 300


def kind_words(kind: EntryKind) -> str:
    """What kind of entry it is; a kind of a later version by its own word."""
    return KIND_WORDS.get(kind) or kind.value[:1].upper() + kind.value[1:]


def entry_words(entry: Entry, bakes: Mapping[str, Bake], clock: Clock) -> str:
    """What the entry says, without what it is about; as it is written where it cannot be read."""
    body = entry.body
    try:
        checked_body(entry)
    except InputError:
        return raw_words(body)
    if amended(entry) is not None:  # it waits for what it amends
        return raw_words(body)
    words_of = _WORDS.get(entry.kind)
    if entry.kind in (EntryKind.PLAN, EntryKind.DONE, EntryKind.READING, EntryKind.WITHDRAWN):
        words = _of_a_bake(entry, bakes, clock)
    else:
        words = words_of(body) if words_of else ""
    remark = body.get("remark")
    return f"{words} – {remark}" if words and remark else words or str(remark or "")


def raw_words(body: Body) -> str:
    """A body as it is written: "seed_g: x; parts: [...]"."""
    said = "; ".join(
        f"{name}: {text if isinstance(text, str) else json.dumps(text, ensure_ascii=False)}"
        for name, text in body.items()
    )
    return said if len(said) <= LONGEST_RAW else said[:LONGEST_RAW] + "…"


def about_words(body: Body, bakes: Mapping[str, Bake], clock: Clock) -> str:
    """What it is about: a culture, a bake and its step."""
    parts = [body["culture"]] if isinstance(body.get("culture"), str) else []
    bake = bakes.get(str(body.get("bake")))
    if bake is not None:
        step = next((s for s in bake.plan.steps if s.key == body.get("step")), None)
        if step is not None:
            parts.append(lower_first(title(step)))
        parts.append(f"{bake.plan.formula} for {clock.text(bake.plan.ready)}")
    return ", ".join(parts)


def _of_a_bake(entry: Entry, bakes: Mapping[str, Bake], clock: Clock) -> str:
    body = entry.body
    if entry.kind is EntryKind.PLAN:
        bake = bakes.get(entry.id)
        planned = body.get("plan")
        plan = planned if isinstance(planned, dict) else {}
        pieces = plan.get("pieces")
        parts = [str(plan.get("formula", ""))]
        parts += [count(pieces, "piece")] if isinstance(pieces, int) else []
        parts += [] if bake is None else [f"ready {clock.text(bake.plan.ready)}"]
        return ", ".join(filter(None, parts))
    if entry.kind is EntryKind.DONE:
        return ""  # its kind says it
    if entry.kind is EntryKind.WITHDRAWN:
        return "Not done after all" if body.get("step") else "The bake was cancelled"
    if "pour" in body:
        return f"Pour {int(body['pour']) + 1}: the display showed {mass(float(body['display_g']))}"
    return "; ".join(_sentence([reading_words(each)]) for each in readings_of(entry))


def _measured(body: Body) -> str:
    try:
        return _sentence(measured_words(body))
    except InputError as error:
        return str(error)


def _sentence(parts: list[str]) -> str:
    text = ", ".join(part for part in parts if part).replace(" °", f"{FIXED}°")
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def _signs(body: Body) -> str:
    return _sentence([str(sign) for sign in body["signs"]])


def _parts(body: Body) -> str:
    return ", ".join(
        f"{mass(part['grams'])} "
        + lower_first(ingredient_label(part.get("ingredient") or part.get("culture") or "mixture"))
        for part in body["parts"]
    )


def _mixed(body: Body) -> str:
    kept = [f"{mass(body['seed_g'])} kept"] if "seed_g" in body else []
    came = [f"came to {warmth(body['temperature_c'])}"] if "temperature_c" in body else []
    where = [lower_first(body["place"])] if "place" in body else []
    return "; ".join([", ".join([*kept, _parts(body)]), *came, *where])


def _baked(body: Body) -> str:
    said = []
    if "pieces" in body:
        said.append(count(int(body["pieces"]), "piece"))
    if "minutes" in body:
        said.append(f"{print_number(body['minutes'])} min")
    if "oven_c" in body:
        said.append(f"oven at {warmth(body['oven_c'])}")
    if "core_c" in body:
        said.append(f"inside {warmth(body['core_c'])}")
    if "steam" in body:
        said.append("with steam" if body["steam"] else "no steam")
    return _sentence(said)


def _weighed(body: Body) -> str:
    pieces = float(body.get("pieces", 1.0))
    each = f", {mass(body['grams'] / pieces)} each" if pieces > 1 else ""
    what = count(int(pieces), "piece")
    when = f", {body['when']}" if body.get("when") else ""
    return f"{what}{when}: {mass(body['grams'])}{each}"


def _tasted(body: Body) -> str:
    marks = [f"{name} {print_number(body[name])}" for name in MARKS if name in body]
    return _sentence([*marks, str(body.get("words", ""))])


def _stock(body: Body) -> str:
    price = body.get("price")
    paid = f" for {price:.2f} {body.get('currency', '')}".rstrip() if price is not None else ""
    return f"{mass(body['grams'])} {lower_first(ingredient_label(body['item']))}{paid}"


def _event(body: Body) -> str:
    out_of = f", out of {body['origin']}" if body.get("origin") else ""
    grams = f", {mass(body['grams'])}" if body.get("grams") else ""
    return _sentence([f"{body['event']}{out_of}{grams}"])


def _poured_off(body: Body) -> str:
    gone = {"kitchen": "for the kitchen", "given": "given away"}
    return f"{mass(body['grams'])} {gone.get(body.get('to', 'waste'), 'to waste')}"


def _held(body: Body) -> str:
    lid = f", lid {body['lid']}" if body.get("lid") else ""
    return f"To {lower_first(body['place'])}{lid}"


_WORDS: Mapping[EntryKind, Callable[[Body], str]] = {
    EntryKind.MIXED: _mixed,
    EntryKind.FED: _mixed,
    EntryKind.HELD: _held,
    EntryKind.POURED_OFF: _poured_off,
    EntryKind.MEASURED: _measured,
    EntryKind.SEEN: _signs,
    EntryKind.SMELLED: _signs,
    EntryKind.CONFIRMED: lambda body: "The reading is right, although it does not fit",
    EntryKind.BAKED: _baked,
    EntryKind.WEIGHED: _weighed,
    EntryKind.TASTED: _tasted,
    EntryKind.PHOTO: lambda body: str(body.get("caption", "")),
    EntryKind.NOTE: lambda body: str(body["text"]),
    EntryKind.BOUGHT: _stock,
    EntryKind.COUNTED: _stock,
    EntryKind.USED: _stock,
    EntryKind.CULTURE: _event,
}
