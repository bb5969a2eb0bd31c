"""Read TOML text into a pydantic shape, with every fault told as one InputError.

A shape is a pydantic model whose fields carry a description of what would be right ("a temperature
such as 17C"); that description ends the line a person is shown. A fault is placed by the file, then
by the table's own name where it has one: `kitchen.toml, place 'Hall', temperature`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import Annotated, Any, TypeVar, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from pointage.errors import LONGEST_SHOWN, InputError
from pointage.quantities import MOST_DIGITS, with_a_point

_ENDLESS = re.compile(r"[\d_]{4300}")  # digits: sys.int_info.default_max_str_digits


class Shape(BaseModel):
    """A table of a TOML file: its fields and no others."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, hide_input_in_errors=True)


def _as_text(value: object) -> object:
    if isinstance(value, bool):
        return value
    if isinstance(value, str):
        return with_a_point(value)
    if isinstance(value, int | float):
        return with_a_point(_shown(value))
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return value


def _shown(value: object) -> str:
    """A value in an error or as text: not all of it when it is endless."""
    try:
        text = repr(value)
    except (RecursionError, ValueError):  # nested too deep, or thousands of digits in hexadecimal
        return "that"
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"


S = TypeVar("S", bound=Shape)

Quantity = Annotated[str, BeforeValidator(_as_text)]
"""Text with a unit ("17C"), or TOML's own number or time, kept as text until it is parsed."""


def read_toml(shape: type[S], text: str, source: str) -> S:
    """`text` as a `shape`; `source` is the file's name as a person knows it.

    Raises InputError for text that is not TOML (with its line), an unknown key (with the nearest
    known one), a missing key and a value of the wrong sort.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(error, text, source) from None
    except RecursionError:
        raise InputError(source, "brackets in brackets", "tables and lists a few deep") from None
    except ValueError:  # a number of more digits than Python reads
        lines = text.splitlines()
        number = 1 + next((i for i, line in enumerate(lines) if _ENDLESS.search(line)), 0)
        expected = f"numbers of {MOST_DIGITS} digits at most"
        raise InputError(place_of(source, f"line {number}"), "that number", expected) from None
    try:
        return shape.model_validate(table)
    except ValidationError as error:
        faults = error.errors(include_url=False, include_context=False)
        # A misspelt key is also a missing one: the misspelling is the better news.
        fault = min(faults, key=lambda each: each["type"] != "extra_forbidden")
        raise _explain(fault, shape, table, source) from None


def place_of(source: str, *parts: str) -> str:
    """The field's whole name in an error: file, table and key, with commas between."""
    return ", ".join((source, *parts))


def nearest(wrong: str, known: Sequence[str]) -> str:
    """What would be right instead of `wrong`: the known names, and which of them is near."""
    near = get_close_matches(wrong.casefold(), [name.casefold() for name in known], 1, 0.6)
    all_of_them = f"one of {', '.join(known)}"
    if not near:
        return all_of_them
    name = next(each for each in known if each.casefold() == near[0])
    return f"{all_of_them}; {name!r} perhaps"


def _not_toml(error: tomllib.TOMLDecodeError, text: str, source: str) -> InputError:
    match = re.match(r"(.*) \(at line (\d+), column \d+\)$", str(error))
    if match is None:  # "(at end of document)"
        return InputError(place_of(source, "last line"), "what is there", f"TOML ({error})")
    number = int(match[2])
    lines = text.splitlines()
    line = lines[number - 1].strip() if number <= len(lines) else ""
    return InputError(place_of(source, f"line {number}"), repr(line), f"TOML ({match[1]})")


def _explain(
    fault: ErrorDetails, shape: type[Shape], table: dict[str, Any], source: str
) -> InputError:
    where: list[str] = []
    model: type[BaseModel] | None = shape
    value: Any = table
    expected = "something else"
    for part in fault["loc"]:
        if isinstance(part, int):
            if not isinstance(value, list):
                continue  # one table where several may be: it was read as a list of one
            value = value[part]
            name = value.get("name") if isinstance(value, dict) else None
            label = repr(name) if isinstance(name, str) else str(part + 1)
            where[-1] = f"{where[-1]} {label}"
            continue
        if fault["type"] == "extra_forbidden" and part == fault["loc"][-1]:
            return InputError(place_of(source, *where), repr(part), nearest(part, _keys(model)))
        value = value.get(part) if isinstance(value, dict) else None
        where.append(part)
        model, described = _step(model, part)
        expected = described or expected
    given = "nothing" if fault["type"] == "missing" else _shown(value)
    return InputError(place_of(source, *where), given, expected)


def _keys(model: type[BaseModel] | None) -> list[str]:
    if model is None:
        return []
    return [field.alias or name for name, field in model.model_fields.items()]


def _step(model: type[BaseModel] | None, key: str) -> tuple[type[BaseModel] | None, str | None]:
    """The shape under `key`, if that is a table, and what is said to be right there."""
    if model is None:
        return None, None
    for name, field in model.model_fields.items():
        if key in (name, field.alias):
            inner = [field.annotation, *get_args(field.annotation)]
            inner += [deep for each in inner for deep in get_args(each)]
            tables = (each for each in inner if isinstance(each, type))
            below = next((each for each in tables if issubclass(each, BaseModel)), None)
            return below, field.description
    return None, None
