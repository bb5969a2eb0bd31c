"""Change one table of a kitchen file's text; every other line and comment stays as it was written.

What may be said in a table, and what of it is a plain value, follows from the file's own shapes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any, get_args, get_origin

import tomlkit
from pydantic.fields import FieldInfo
from tomlkit import TOMLDocument
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable

from pointage.errors import InputError
from pointage.kitchen.file import shape
from pointage.language import say
from pointage.toml import TomlTable

ROWS: Mapping[str, type[TomlTable]] = {
    "place": shape.PlaceTable,
    "vessel": shape.VesselTable,
    "scale": shape.ScaleTable,
    "mixer": shape.MixerTable,
    "oven": shape.OvenTable,
}
"""Tables of which there may be several, by the word for one."""
SINGLE: Mapping[str, type[TomlTable]] = {"energy": shape.EnergyTable, "shown": shape.ShownTable}
NAMES = ("name", "mixed_in")
NOTHING: Mapping[str, Any] = {}
TOP = ("name", "zone", "tap", "friction", "mixed_in", "altitude", "currency")


def keys(kind: str) -> dict[str, FieldInfo]:
    """The plain values that a table of this kind may have, as its shape has them; lists and inner
    tables are left out. Raises InputError for a kind that there is not."""
    if kind == "kitchen":
        return {name: shape.KitchenTable.model_fields[name] for name in TOP}
    if kind == "hours":
        return {"sleep": shape.HoursTable.model_fields["sleep"]}
    known = {**ROWS, **SINGLE}
    if kind not in known:
        raise InputError(
            "table", repr(kind), say("one of kitchen, hours, {known}", known=", ".join(known))
        )
    return {name: field for name, field in known[kind].model_fields.items() if _is_plain(field)}


def values(text: str, kind: str) -> list[dict[str, str]]:
    """What each table of this kind says, by key, as it is written; keys not there are left out."""
    document = _read(text)
    if kind == "kitchen":
        tables = [document]
    else:
        found = document.get(kind, [])
        tables = found if isinstance(found, list) else [found]
    plain = keys(kind)
    return [{name: _said(table[name]) for name in plain if name in table} for table in tables]


def table(text: str, kind: str, name: str = "") -> dict[str, Any] | None:
    """All that one table says, lists and inner tables too; None where the file has none such.

    name: of its row, where there may be several. Raises InputError where two are called so.
    """
    document = _read(text)
    if kind == "kitchen":
        return {key: document[key] for key in TOP if key in document}
    found = document.get(kind)
    if kind not in (*ROWS, "culture"):
        return found
    rows = found if isinstance(found, list) else [] if found is None else [found]
    numbers = _called(rows, kind, name)
    return rows[numbers[0]] if numbers else None


def lists(kind: str, table: Mapping[str, Any] | None) -> dict[str, Any]:
    """What a table says beside its plain values."""
    plain = keys(kind)
    return {key: value for key, value in (table or {}).items() if key not in plain}


def changed(
    text: str,
    kind: str,
    name: str | None,
    given: Mapping[str, str],
    beside: Mapping[str, Any] = NOTHING,
) -> str:
    """The text with these values in the table of a kind called `name`, or in a new one (None).

    A key with nothing is taken out. beside: lists and inner tables that it has as well. Raises
    InputError where no table, or two, are called so.
    """
    document = _with_rows(text, kind) if name is None else _parsed(text)
    table: Any
    apart = False
    if kind == "kitchen":
        table = document
    elif kind not in ROWS:
        table = document.setdefault(kind, tomlkit.table())
    elif name is None:
        rows: AoT | Array = document.setdefault(kind, tomlkit.aot())
        apart = isinstance(rows, AoT)
        rows.append(tomlkit.table() if apart else tomlkit.inline_table())
        table = rows[-1]
    else:
        there = document.get(kind, [])
        named = [there] if isinstance(there, dict) else there
        table = named[_place_of(named, kind, name)]
    for key in keys(kind):
        value = given.get(key, "").strip()
        if value:
            if _said(table.get(key, "")) != value:
                table[key] = _written(key, value)
        elif key in table:
            table.remove(key)
    for key, inner in beside.items():
        table[key] = _inline(inner)
    if apart:
        table.add(tomlkit.nl())
    return tomlkit.dumps(document)


def without(text: str, kind: str, name: str) -> str:
    """The text without the table of a kind called `name`; of a place that a culture once stood in
    its name is kept. Raises InputError as `changed` does."""
    document = _with_rows(text, kind)
    rows: AoT | Array = document.get(kind, tomlkit.aot())
    del rows[_place_of(rows, kind, name)]
    kept = tomlkit.dumps(document)
    stood = (each.get(key) for each in document.get("culture", []) for key in ("place", "stood_in"))
    gone = [*document.get("gone", [])]
    if kind != "place" or name not in stood or name in gone:
        return kept
    if "gone" in document:
        document["gone"].append(name)
        return tomlkit.dumps(document)
    return f"gone = {_inline([name]).as_string()}\n{kept}"


def _read(text: str) -> dict[str, Any]:
    """What a text says, without where it says so: a fortieth of the work of `_parsed`."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return _parsed(text).unwrap()


def _parsed(text: str) -> TOMLDocument:
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise InputError(
            "file", say("this text ({error})", error=error), say("TOML that can be read")
        ) from None


def _with_rows(text: str, kind: str) -> TOMLDocument:
    """The file with a single table of a kind, such as [oven], as the first of its rows."""
    document = _parsed(text)
    alone = document.get(kind)
    if kind not in ROWS or not isinstance(alone, dict):
        return document
    if isinstance(alone, InlineTable):
        rows = tomlkit.array()
        rows.append(alone)
        document[kind] = rows
        return document
    header = re.compile(rf"^([ \t]*)\[[ \t]*{kind}[ \t]*\]", re.MULTILINE)
    return tomlkit.parse(header.sub(rf"\1[[{kind}]]", text, count=1))


def _called(rows: Sequence[Any], kind: str, name: str) -> list[int]:
    numbers = [i for i, row in enumerate(rows) if str(row.get("name", "")) == name]
    if len(numbers) > 1:
        raise InputError(kind, repr(name), say("a name that only one has in the whole file"))
    return numbers


def _place_of(rows: Sequence[Any], kind: str, name: str) -> int:
    numbers = _called(rows, kind, name)
    if not numbers:
        raise InputError(kind, repr(name), say("the name of one in the file"))
    return numbers[0]


def _is_plain(field: FieldInfo) -> bool:
    inner = [field.annotation, *get_args(field.annotation)]
    deep = inner + [each for part in inner for each in get_args(part)]
    tables = [each for each in deep if isinstance(each, type) and issubclass(each, TomlTable)]
    return not tables and get_origin(field.annotation) is not list


def _said(value: object) -> str:
    if isinstance(value, list):
        return ", ".join(str(each) for each in value)
    return str(value)


def _inline(value: Any) -> Any:
    """A list or table on one line, so that the tables of the file stay as they are."""
    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        table.update({key: _inline(each) for key, each in value.items()})
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        array.extend(map(_inline, value))
        return array
    return value


def _written(name: str, value: str) -> object:
    """Whole numbers as such where they are no names, spans of sleep as a list, else text."""
    if name == "sleep":
        spans = [each.strip() for each in value.split(",") if each.strip()]
        return spans[0] if len(spans) == 1 else spans
    is_number = value.isdecimal() and len(value) < 6 and name not in NAMES
    return int(value) if is_number else value
