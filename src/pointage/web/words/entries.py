"""An entry of the daybook in words."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from pointage.daybook.bodies import checked_body
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import measured_words, reading_words, readings_of
from pointage.daybook.replay import amended
from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import lets_go
from pointage.desk.wording import title
from pointage.desk.wording.outcome.why import signs_words
from pointage.errors import InputError
from pointage.language import mark, say, say_many, written
from pointage.money import print_money
from pointage.quantities import print_number
from pointage.shown import FIXED
from pointage.web.words.asked import ingredient_label
from pointage.web.words.clock import Clock
from pointage.web.words.words import (
    count,
    lower_first,
    mass,
    upper_first,
    warmth,
)

Body = Mapping[str, Any]

KIND_WORDS: Mapping[EntryKind, str] = {
    EntryKind.PLAN: mark("Planned"),
    EntryKind.REPLANNED: mark("Plan changed"),
    EntryKind.DONE: mark("Done"),
    EntryKind.READING: mark("Reading"),
    EntryKind.MIXED: mark("Mixed"),
    EntryKind.HELD: mark("Moved"),
    EntryKind.FED: mark("Fed"),
    EntryKind.POURED_OFF: mark("Discarded"),
    EntryKind.MEASURED: mark("Measured"),
    EntryKind.SEEN: mark("Seen"),
    EntryKind.SMELLED: mark("Smelled"),
    EntryKind.CONFIRMED: mark("Confirmed"),
    EntryKind.BAKED: mark("Baked"),
    EntryKind.WEIGHED: mark("Weighed"),
    EntryKind.TASTED: mark("Tasted"),
    EntryKind.PHOTO: mark("Photograph"),
    EntryKind.NOTE: mark("Note"),
    EntryKind.RESCUED: mark("Rescued"),
    EntryKind.BOUGHT: mark("Bought"),
    EntryKind.COUNTED: mark("Counted"),
    EntryKind.USED: mark("Used"),
    EntryKind.INGREDIENT: mark("Ingredient"),
    EntryKind.CULTURE: mark("Culture"),
    EntryKind.WITHDRAWN: mark("Withdrawn"),
    EntryKind.CORRECTED: mark("Corrected"),
}
MARKS = (mark("crust"), mark("crumb"), mark("flavour"), mark("sour"), mark("keeping"))
_GONE = {
    "waste": mark("{mass} to waste"),
    "kitchen": mark("{mass} for the kitchen"),
    "given": mark("{mass} given away"),
}
_OF_BAKES = (
    EntryKind.PLAN,
    EntryKind.REPLANNED,
    EntryKind.DONE,
    EntryKind.READING,
    EntryKind.WITHDRAWN,
)
LONGEST_RAW = 300


def kind_words(kind: EntryKind) -> str:
    """What kind of entry it is; a kind of a later version by its own word."""
    return say(KIND_WORDS[kind]) if kind in KIND_WORDS else upper_first(kind.value)


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
    if entry.kind in _OF_BAKES:
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
        formula, ready = bake.plan.formula, clock.past_by_date(bake.plan.ready)
        parts.append(say("{formula} for {ready}", formula=formula, ready=ready))
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
        if bake is not None:
            parts.append(say("ready {time}", time=clock.past_by_date(bake.plan.ready)))
        return ", ".join(filter(None, parts))
    if entry.kind is EntryKind.REPLANNED:
        bake = bakes.get(str(body.get("bake")))
        of = "" if bake is None else bake.plan.formula
        return say("No longer held at its time") if lets_go(entry) else of
    if entry.kind is EntryKind.DONE:
        return ""  # its kind says it
    if entry.kind is EntryKind.WITHDRAWN:
        return say("Not done after all") if body.get("step") else say("The bake was cancelled")
    if "pour" in body:
        display = mass(float(body["display_g"]))
        number = int(body["pour"]) + 1
        return say("Pour {number}: the display showed {display}", number=number, display=display)
    return "; ".join(_sentence([reading_words(each)]) for each in readings_of(entry))


def _measured(body: Body) -> str:
    try:
        return _sentence(measured_words(body))
    except InputError as error:
        return str(error)


def _sentence(parts: list[str]) -> str:
    text = ", ".join(part for part in parts if part).replace(" °", f"{FIXED}°")
    return text if text.startswith("pH") else upper_first(text)


def _signs(body: Body) -> str:
    return _sentence([say(str(sign)) for sign in body["signs"]])


def _parts(body: Body) -> str:
    return ", ".join(f"{mass(part['grams'])} {lower_first(_part(part))}" for part in body["parts"])


def _part(part: Body) -> str:
    name = part.get("ingredient") or part.get("culture")
    return ingredient_label(name) if name else say("mixture")


def _mixed(body: Body) -> str:
    kept = [say("{mass} kept", mass=mass(body["seed_g"]))] if "seed_g" in body else []
    said = [", ".join([*kept, _parts(body)])]
    if "temperature_c" in body:
        said.append(say("came to {temperature}", temperature=warmth(body["temperature_c"])))
    if "place" in body:
        said.append(lower_first(body["place"]))
    return "; ".join(said)


def _baked(body: Body) -> str:
    said = []
    if "pieces" in body:
        said.append(count(int(body["pieces"]), "piece"))
    if "minutes" in body:
        said.append(say("{number} min", number=print_number(body["minutes"])))
    if "oven_c" in body:
        said.append(say("oven at {temperature}", temperature=warmth(body["oven_c"])))
    if "core_c" in body:
        said.append(say("inside {temperature}", temperature=warmth(body["core_c"])))
    if "steam" in body:
        said.append(say("with steam") if body["steam"] else say("no steam"))
    return _sentence(said)


def _weighed(body: Body) -> str:
    pieces = float(body.get("pieces", 1.0))
    when = [say(str(body["when"]))] if body.get("when") else []
    grams = [mass(body["grams"])]
    if pieces > 1:
        grams.append(say("{mass} each", mass=mass(body["grams"] / pieces)))
    return f"{', '.join([count(int(pieces), 'piece'), *when])}: {', '.join(grams)}"


def _tasted(body: Body) -> str:
    marks = [f"{say(name)} {written(print_number(body[name]))}" for name in MARKS if name in body]
    return _sentence([*signs_words(body.get("signs", ())), *marks, str(body.get("words", ""))])


def _stock(body: Body) -> str:
    price = body.get("price")
    what = f"{mass(body['grams'])} {lower_first(ingredient_label(body['item']))}"
    if price is None:
        return what
    money = print_money(Fraction(str(price)), body.get("currency", ""))
    return say("{what} for {money}", what=what, money=money)


def _event(body: Body) -> str:
    said = [say(str(body["event"]))]
    if body.get("origin"):
        said.append(say("out of {culture}", culture=body["origin"]))
    if body.get("grams"):
        said.append(mass(body["grams"]))
    return _sentence(said)


def _poured_off(body: Body) -> str:
    return say(_GONE.get(body.get("to", "waste"), _GONE["waste"]), mass=mass(body["grams"]))


def _held(body: Body) -> str:
    place, lid = lower_first(body["place"]), body.get("lid")
    if not lid:
        return say("To {place}", place=place)
    return say("To {place}, lid {lid}", place=place, lid=say(str(lid)))


def _rescued(body: Body) -> str:
    if body["way"] == "tin":
        return say("In tins, not on the hearth")
    count = int(body["pieces"])
    return say_many("{n} piece, with all the levain", "{n} pieces, with all the levain", count)


_WORDS: Mapping[EntryKind, Callable[[Body], str]] = {
    EntryKind.MIXED: _mixed,
    EntryKind.FED: _mixed,
    EntryKind.HELD: _held,
    EntryKind.POURED_OFF: _poured_off,
    EntryKind.MEASURED: _measured,
    EntryKind.SEEN: _signs,
    EntryKind.SMELLED: _signs,
    EntryKind.CONFIRMED: lambda body: say("The reading is right, although it does not fit"),
    EntryKind.BAKED: _baked,
    EntryKind.WEIGHED: _weighed,
    EntryKind.TASTED: _tasted,
    EntryKind.PHOTO: lambda body: str(body.get("caption", "")),
    EntryKind.NOTE: lambda body: str(body["text"]),
    EntryKind.RESCUED: _rescued,
    EntryKind.BOUGHT: _stock,
    EntryKind.COUNTED: _stock,
    EntryKind.USED: _stock,
    EntryKind.INGREDIENT: lambda body: say(
        "{name}, like {like}", name=body["name"], like=ingredient_label(str(body["like"]))
    ),
    EntryKind.CULTURE: _event,
}
