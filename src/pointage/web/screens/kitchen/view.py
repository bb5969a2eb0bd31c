"""The kitchen in words: each table of its file in a line, with the form that changes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import time
from urllib.parse import urlencode

from pydantic.fields import FieldInfo

from pointage.desk.kitchen.file import Text
from pointage.desk.kitchen.places import LogLook
from pointage.errors import InputError
from pointage.kitchen.file.edit import ROWS, SINGLE, keys
from pointage.quantities import parse_difference, parse_temperature
from pointage.shown import clock_text, degrees_sign, in_degrees, warmth_span
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form, Warm, of_shape
from pointage.web.screens.culture.page import RecordForm, Table
from pointage.web.screens.kitchen.page import Row, Section
from pointage.web.words.clock import Clock
from pointage.web.words.words import apart, count, warmth

Given = Mapping[str, str]


WARM: Mapping[str, Warm] = {
    **dict.fromkeys(("temperature", "tap", "hottest"), "point"),
    **dict.fromkeys(("swing", "yearly", "spread", "friction", "offset"), "apart"),
}
"""Keys of temperatures, and of how far two are apart."""


def _asked(name: str, field: FieldInfo) -> Asked:
    asked = of_shape(name, field)
    if name in WARM:
        asked = replace(asked, warm=WARM[name], hint="")
    free = asked.hint and not field.is_required()
    return replace(asked, hint=f"{asked.hint}, or leave empty") if free else asked


FORMS = {
    kind: Form(tuple(_asked(*each) for each in keys(kind).items()))
    for kind in ("kitchen", "hours", *ROWS, *SINGLE)
}
"""What changes a table, by its kind; what is typed the file's reader reads."""
KINDS: Mapping[str, tuple[str, str, str]] = {
    "kitchen": ("The kitchen", "", ""),
    "hours": ("Hours", "When nobody can work.", ""),
    "place": ("Places", "Where dough and cultures can stand.", "Another place"),
    "vessel": ("Vessels", "With what each weighs empty.", "Another vessel"),
    "scale": ("Scales", "", "Another scale"),
    "mixer": ("Mixers", "What a dough is mixed in, if not by hand.", "Another mixer"),
    "oven": ("Ovens", "What one load holds, and how long each takes to heat.", "Another oven"),
    "energy": ("Energy", "", ""),
    "shown": ("Units and times", "As everybody sees them; each browser may choose otherwise.", ""),
}


def section(kind: str, text: Text) -> Section:
    title, lead, another = KINDS[kind]
    tables: list[dict[str, str]] = text.tables(kind)
    shown = tables if tables or kind in ROWS else [{}]
    rows = tuple(_row(kind, number, given, text.revision) for number, given in enumerate(shown))
    new = add_form(kind, another, {}, text.revision) if another else None
    return Section(title, lead, rows, new)


def add_form(kind: str, title: str, given: Given, revision: int) -> RecordForm:
    sent = (("revision", str(revision)),)
    fields = FORMS[kind].shown(given)
    return RecordForm(f"/kitchen/{kind}/add", title, "Add it", fields, sent=sent)


def change_form(kind: str, name: str, given: Given, revision: int, key: str = "") -> RecordForm:
    """What changes the table called `name`, and was shown as of a revision of the file."""
    sent, fields = (("row", name), ("revision", str(revision))), FORMS[kind].shown(given)
    return RecordForm(f"/kitchen/{kind}/change", "Change", "Save", fields, sent=sent, key=key)


def row_called(rows: Sequence[dict[str, str]], kind: str, name: str) -> dict[str, str]:
    """The table of a name among those of its kind, or the only one; else an empty one."""
    if kind not in ROWS:
        return rows[0] if rows else {}
    return next((each for each in rows if each.get("name") == name), {})


def as_kept(kind: str, typed: Given, row: Given) -> dict[str, str]:
    """What was typed as the file is to say it: what was left as it was shown as the file has it,
    and any other temperature with its unit. row: the table as it stands, or nothing."""
    form = FORMS[kind]
    before, said = form.without_units(row), form.with_units(typed)
    return {
        key: row[key] if key in row and before[key] == typed[key] else said[key] for key in typed
    }


def remove_form(kind: str, name: str, revision: int) -> RecordForm:
    sent = (("row", name), ("revision", str(revision)))
    button = f"Yes, remove {name}"
    return RecordForm(f"/kitchen/{kind}/remove", "Remove", button, (), sent=sent)


def lines(kind: str, table: Mapping[str, object] | None) -> list[str]:
    """What a table says, a line for each key."""
    if table is None:
        return ["It is no longer there."]
    order = list(keys(kind))
    names = [*(name for name in order if name in table), *(n for n in table if n not in order)]
    return [f"{name.replace('_', ' ')}: {_plainly(table[name])}" for name in names if table[name]]


def _plainly(value: object) -> str:
    if isinstance(value, Mapping):
        return " ".join(map(_plainly, value.values()))
    return ", ".join(map(_plainly, value)) if isinstance(value, list) else str(value)


def _row(kind: str, number: int, given: Given, revision: int) -> Row:
    name = given.get("name", "") if kind in ROWS else ""
    form = change_form(kind, name, FORMS[kind].without_units(given), revision, f"{kind}-{number}")
    more = Choice(log_path(name), "From a log") if kind == "place" else None
    remove = remove_form(kind, name, revision) if kind in ROWS else None
    facts = _FACTS.get(kind, _all)(_in_words(given))
    return Row(given.get("name") or KINDS[kind][0], facts, form, remove, more)


def _in_words(given: Given) -> Given:
    """The same with its temperatures as they are shown; one that cannot be read as it is."""
    found = dict(given)
    for key in given.keys() & WARM.keys():
        with suppress(InputError):
            found[key] = (
                warmth(parse_temperature(given[key], key).celsius, tenths=True)
                if WARM[key] == "point"
                else apart(parse_difference(given[key], key).kelvin)
            )
    return found


def log_path(place: str) -> str:
    """Where a place takes a log; a name may have any letter in it, so it is no part of the path."""
    return "/kitchen/log?" + urlencode({"place": place})


def _all(given: Given) -> str:
    return ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in given.items()
                     if key != "name")  # fmt: skip


def _place(given: Given) -> str:
    parts = [given.get("kind", ""), given.get("temperature", "from readings")]
    if "swing" in given:
        parts.append(f"{given['swing']} either way, warmest at {given.get('warmest', '')}")
    if "yearly" in given:
        parts.append(f"{given['yearly']} either way over the year")
    if "spread" in given:
        parts.append(f"varies by {given['spread']}")
    if "room" in given:
        parts.append(f"{given['room']} free for dough")
    return ", ".join(parts)


def _vessel(given: Given) -> str:
    return f"{given.get('use', '')}, {given.get('volume', '')}, {given.get('tare', '')} empty, " + (
        given.get("material", "")
    )


_FACTS: Mapping[str, Callable[[Given], str]] = {"place": _place, "vessel": _vessel}


def log_facts(look: LogLook, clock: Clock) -> tuple[tuple[str, str], ...]:
    """What a log says, in a few lines."""
    history = look.history
    found = [
        ("Read", f"{count(look.rows, 'reading')} of {look.column}, in °{look.unit}"),
        ("From", f"{clock.text(look.first)} to {clock.text(look.last)}"),
        ("Mean", warmth(history.mean_c)),
        ("By the day", f"{apart(history.swing_k)} either way"),
        ("Varies by day", apart(history.spread_k, 2)),
    ]
    if look.warm:
        found.append(("It is", f"a warm place, as bakers have it ({warmth_span(21, 32)})"))
    if look.left:
        found.append(("Left out", count(look.left, "row")))
    return tuple(found)


def log_hours(look: LogLook) -> Table:
    """What was read by the hour of the clock, beside the history made of it."""
    return Table(
        f"By time of day, {degrees_sign()}",
        ("hour", "10 %", "middle", "90 %", "as saved"),
        tuple(
            (
                clock_text(time(each.hour)),
                *(
                    f"{in_degrees(value):.1f}"
                    for value in (each.low, each.middle, each.high, each.history)
                ),
            )
            for each in look.by_hour
        ),
    )
