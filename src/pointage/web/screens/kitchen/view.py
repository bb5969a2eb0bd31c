"""The kitchen in words: each table of its file in a line, with the form that changes it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import time
from urllib.parse import urlencode

from pydantic.fields import FieldInfo

from pointage.desk.kitchen.begin import sleep_span
from pointage.desk.kitchen.file import Text, hanging
from pointage.desk.kitchen.places import LogLook
from pointage.desk.now.present import Present
from pointage.errors import InputError
from pointage.kitchen.file.edit import ROWS, keys
from pointage.language import mark, say, say_many, written
from pointage.money import parse_money, print_money, round_money
from pointage.quantities import parse_clock, parse_difference, parse_temperature
from pointage.shown import clock_text, degrees_sign, in_degrees, warmth_span
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form, Warm, of_shape
from pointage.web.forms.labels import key_words, word_of
from pointage.web.screens.culture.page import RecordForm, Table
from pointage.web.screens.kitchen.page import Row, Section
from pointage.web.words.clock import Clock
from pointage.web.words.words import apart, warmth

Given = Mapping[str, str]


WARM: Mapping[str, Warm] = {
    **dict.fromkeys(("temperature", "tap", "hottest"), "point"),
    **dict.fromkeys(("swing", "yearly", "spread", "friction", "offset"), "apart"),
}
"""Keys of temperatures, and of how far two are apart."""


def _asked(name: str, field: FieldInfo) -> Asked:
    asked = of_shape(name, field)
    hint = "" if name in WARM else asked.hint and say(asked.hint)
    if hint and not field.is_required():
        hint = say("{hint}, or leave empty", hint=hint)
    return replace(asked, hint=hint, warm=WARM.get(name, ""))


def form_of(kind: str) -> Form:
    """What changes a table of this kind; what is typed the file's reader reads."""
    return Form(tuple(_asked(*each) for each in keys(kind).items()))


KINDS: Mapping[str, tuple[str, str, str]] = {
    "kitchen": (mark("The kitchen"), "", ""),
    "hours": (mark("Hours"), mark("When nobody can work."), ""),
    "place": (mark("Places"), mark("Where dough and cultures can stand."), mark("Another place")),
    "scale": (mark("Scales"), "", mark("Another scale")),
    "mixer": (
        mark("Mixers"),
        mark("What a dough is mixed in, if not by hand."),
        mark("Another mixer"),
    ),
    "oven": (
        mark("Ovens"),
        mark("What one load holds, and how long each takes to heat."),
        mark("Another oven"),
    ),
    "energy": (mark("Energy"), "", ""),
    "shown": (
        mark("Units and times"),
        mark("As everybody sees them; each browser may choose otherwise."),
        "",
    ),
    "vessel": (mark("Vessels"), mark("With what each weighs empty."), mark("Another vessel")),
}


def section(kind: str, text: Text, present: Present) -> Section:
    title, lead, another = (text and say(text) for text in KINDS[kind])
    tables: list[dict[str, str]] = text.tables(kind)
    shown = tables if tables or kind in ROWS else [{}]
    rows = tuple(
        _row(kind, number, given, text.revision, present) for number, given in enumerate(shown)
    )
    new = add_form(kind, another, {}, text.revision) if another else None
    return Section(title, lead, rows, new)


def add_form(kind: str, title: str, given: Given, revision: int) -> RecordForm:
    sent = (("revision", str(revision)),)
    fields = form_of(kind).shown(given)
    return RecordForm(f"/kitchen/{kind}/add", title, say("Add it"), fields, sent=sent)


def change_form(kind: str, name: str, given: Given, revision: int, key: str = "") -> RecordForm:
    """What changes the table called `name`, and was shown as of a revision of the file."""
    sent, fields = (("row", name), ("revision", str(revision))), form_of(kind).shown(given)
    return RecordForm(
        f"/kitchen/{kind}/change", say("Change"), say("Save"), fields, sent=sent, key=key
    )


def row_called(rows: Sequence[dict[str, str]], kind: str, name: str) -> dict[str, str]:
    """The table of a name among those of its kind, or the only one; else an empty one."""
    if kind not in ROWS:
        return rows[0] if rows else {}
    return next((each for each in rows if each.get("name") == name), {})


def as_kept(kind: str, typed: Given, row: Given) -> dict[str, str]:
    """What was typed as the file is to say it: what was left as it was shown as the file has it,
    and any other temperature with its unit. row: the table as it stands, or nothing."""
    form = form_of(kind)
    before, said = form.without_units(row), form.with_units(typed)
    return {
        key: row[key] if key in row and before[key] == typed[key] else said[key] for key in typed
    }


def remove_form(kind: str, name: str, revision: int, caution: str = "") -> RecordForm:
    sent = (("row", name), ("revision", str(revision)))
    button = say("Yes, remove {name}", name=name)
    path = f"/kitchen/{kind}/remove"
    return RecordForm(path, say("Remove"), button, (), sent=sent, caution=caution)


def undo_form(kind: str, name: str, given: Given, was: int, revision: int) -> RecordForm:
    """What puts a thing back as it was in the revision `was`."""
    sent = (("row", name), ("was", str(was)), ("revision", str(revision)), *given.items())
    title = say("{name} is removed.", name=name)
    button = say("Put {name} back", name=name)
    return RecordForm(f"/kitchen/{kind}/add", title, button, (), sent=sent)


def hangs(kind: str, name: str, present: Present) -> str:
    """What a person should know of before a thing is removed, or nothing."""
    found = hanging(present, kind, name)
    said = []
    if found.cultures:
        said.append(
            say_many(
                "{names} stands there: move it first.",
                "{names} stand there: move them first.",
                len(found.cultures),
                names=", ".join(found.cultures),
            )
        )
    if found.formulas:
        said.append(
            say_many(
                "{names} names it and cannot be planned without it.",
                "{names} name it and cannot be planned without it.",
                len(found.formulas),
                names=", ".join(found.formulas),
            )
        )
    return " ".join(said)


def lines(kind: str, table: Mapping[str, object] | None) -> list[str]:
    """What a table says, a line for each key."""
    if table is None:
        return [say("It is no longer there.")]
    order = list(keys(kind))
    names = [*(name for name in order if name in table), *(n for n in table if n not in order)]
    return [f"{key_words(name)}: {_said(name, table[name])}" for name in names if table[name]]


def _said(name: str, value: object) -> str:
    return word_of(name, _plainly(value))


def _plainly(value: object) -> str:
    if isinstance(value, Mapping):
        return " ".join(map(_plainly, value.values()))
    return ", ".join(map(_plainly, value)) if isinstance(value, list) else str(value)


def _row(kind: str, number: int, given: Given, revision: int, present: Present) -> Row:
    name = given.get("name", "") if kind in ROWS else ""
    form = change_form(kind, name, form_of(kind).without_units(given), revision, f"{kind}-{number}")
    more = Choice(log_path(name), say("From a log")) if kind == "place" else None
    caution = hangs(kind, name, present) if kind in ROWS else ""
    remove = remove_form(kind, name, revision, caution) if kind in ROWS else None
    facts = _FACTS.get(kind, _all)(_in_words(given, present.kitchen.currency))
    return Row(given.get("name", ""), facts, form, remove, more)


_APART = re.compile(r"^(\d[\d.]*)(g|kg|l|ml|cm|mm|m|W|kW|min|h)$")


def _in_words(given: Given, currency: str) -> Given:
    """The same as it is read: words translated, temperatures, hours and prices as they are shown, a
    unit apart from its number; one that cannot be read as it is. Tenths only where they were typed,
    and then not of half a °C."""
    found = {key: _APART.sub(r"\1 \2", word_of(key, value)) for key, value in given.items()}
    with suppress(InputError):
        if "sleep" in given:
            spans = [sleep_span(each, "sleep") for each in given["sleep"].split(",")]
            ends = (
                say("{start} to {end}", start=clock_text(a), end=clock_text(b)) for a, b in spans
            )
            found["sleep"] = ", ".join(ends)
        if "warmest" in given:
            found["warmest"] = clock_text(parse_clock(given["warmest"]))
        if "price" in given:
            price, _ = parse_money(given["price"], "price", currency)
            if price == round_money(price, currency):
                found["price"] = print_money(price, currency)
    for key in given.keys() & WARM.keys():
        with suppress(InputError):
            if WARM[key] == "apart":
                found[key] = apart(parse_difference(given[key], key).kelvin)
            else:
                celsius = parse_temperature(given[key], key).celsius
                found[key] = warmth(celsius, tenths="." in given[key] and 2 * celsius % 1 != 0)
    return found


def log_path(place: str) -> str:
    """Where a place takes a log; a name may have any letter in it, so it is no part of the path."""
    return "/kitchen/log?" + urlencode({"place": place})


def _all(given: Given) -> str:
    return ", ".join(f"{key_words(key)} {value}" for key, value in given.items()
                     if key != "name")  # fmt: skip


def _place(given: Given) -> str:
    parts = [given.get("kind", ""), given.get("temperature", say("from readings"))]
    if "swing" in given:
        swing, time = given["swing"], given.get("warmest", "")
        parts.append(say("{swing} either way, warmest at {time}", swing=swing, time=time))
    if "yearly" in given:
        parts.append(say("{swing} either way over the year", swing=given["yearly"]))
    if "spread" in given:
        parts.append(say("varies by {spread}", spread=given["spread"]))
    if "room" in given:
        parts.append(say("{litres} free for dough", litres=given["room"]))
    return ", ".join(parts)


def _vessel(given: Given) -> str:
    use, volume, tare, material = (
        given.get(key, "") for key in ("use", "volume", "tare", "material")
    )
    empty = say("{tare} empty", tare=tare)
    return f"{use}, {volume}, {empty}, {material}"


HOTTER, COOLER = mark("{it} hotter than its dial"), mark("{it} cooler than its dial")


def _said_if(given: Given, **messages: str) -> Iterator[str]:
    """Each message whose key is given, with what is given."""
    for key, message in messages.items():
        if given.get(key):
            yield say(message, it=given[key])


def _kitchen(given: Given) -> str:
    said = _said_if(
        given,
        zone="{it}",
        tap=mark("tap water {it}"),
        friction=mark("mixing warms a dough by {it}"),
        altitude=mark("{it} above the sea"),
        currency=mark("prices in {it}"),
    )
    return ", ".join(said)


def _oven(given: Given) -> str:
    loaves, rolls = given.get("loaves", "–"), given.get("rolls", "–")
    load = say(
        "{loaves} or {rolls} to a load",
        loaves=say_many("{n} loaf", "{n} loaves", int(loaves)) if loaves.isdigit() else loaves,
        rolls=say_many("{n} roll", "{n} rolls", int(rolls)) if rolls.isdigit() else rolls,
    )
    offset = given.get("offset", "")
    said = _said_if(
        {**given, "offset": offset.lstrip("-−")},
        preheat=mark("hot in {it}"),
        cooling=mark("cool in {it}"),
        hottest=mark("{it} at most"),
        power=mark("{it}"),
        heating_duty=mark("{it} % of that while it heats"),
        baking_duty=mark("{it} % while it bakes"),
        surface=mark("on {it}"),
        offset=COOLER if offset[:1] in ("-", "−") else HOTTER,
        steam=mark("steam for {it}"),
    )
    return ", ".join([load, *said])


_FACTS: Mapping[str, Callable[[Given], str]] = {
    "kitchen": _kitchen,
    "hours": lambda given: ", ".join(_said_if(given, sleep=mark("Asleep {it}"))),
    "place": _place,
    "oven": _oven,
    "energy": lambda given: ", ".join(_said_if(given, price=mark("{it} for a kWh"))),
    "vessel": _vessel,
}


def log_facts(look: LogLook, clock: Clock) -> tuple[tuple[str, str], ...]:
    """What a log says, in a few lines."""
    history = look.history
    column, unit, swing = look.column, look.unit, apart(history.swing_k)
    first, last = clock.text(look.first), clock.text(look.last)
    read = say_many(
        "{n} reading of {column}, in °{unit}",
        "{n} readings of {column}, in °{unit}",
        look.rows,
        column=column,
        unit=unit,
    )
    found = [
        (say("Read"), read),
        (say("From"), say("{first} to {last}", first=first, last=last)),
        (say("Mean"), warmth(history.mean_c)),
        (say("By the day"), say("{swing} either way", swing=swing)),
        (say("Varies by day"), apart(history.spread_k, 2)),
    ]
    if look.warm:
        span = warmth_span(21, 32)
        found.append((say("It is"), say("a warm place, as bakers have it ({span})", span=span)))
    if look.left:
        found.append((say("Left out"), say_many("{n} row", "{n} rows", look.left)))
    return tuple(found)


def log_hours(look: LogLook) -> Table:
    """What was read by the hour of the clock, beside the history made of it."""
    return Table(
        say("By time of day, {degrees}", degrees=degrees_sign()),
        (say("hour"), "10 %", say("middle"), "90 %", say("as saved")),
        tuple(
            (
                clock_text(time(each.hour)),
                *(
                    written(f"{in_degrees(value):.1f}")
                    for value in (each.low, each.middle, each.high, each.history)
                ),
            )
            for each in look.by_hour
        ),
    )
