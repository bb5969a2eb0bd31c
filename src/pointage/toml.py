"""Read TOML text into a pydantic shape, with every fault an InputError at its place, all at once.

A shape is a pydantic model whose fields carry a description of what would be right ("a temperature
such as 17C"); that description ends the line a person is shown. A fault is placed by the file, then
by the table's own name where it has one: `kitchen.toml, place 'Hall', temperature`, whose path is
("place", 2, "temperature").
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import Annotated, Any, TypeVar, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    PlainValidator,
    ValidationError,
    ValidationInfo,
)
from pydantic_core import ErrorDetails, PydanticCustomError

from pointage.errors import LONGEST_SHOWN, MISSING, MOST_FAULTS, At, Faults, InputError
from pointage.language import say, say_many
from pointage.quantities import MOST_DIGITS, with_a_point

LARGEST = 200_000
"""Characters of a file that a person writes: the demonstration kitchen has some 3,000."""
_ENDLESS = re.compile(r"[\d_]{4300}")  # digits: sys.int_info.default_max_str_digits
_SHORT_TIME = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d?:\d\d\s*(?:[,\]#]|$)")
"""A time without seconds, which TOML 1.0 does not have."""
_DEEP_KEY = re.compile(r"""(?<![\w"'-])(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){50}""")


class TomlTable(BaseModel):
    """A table of a TOML file: its fields and no others."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, hide_input_in_errors=True)


def as_text(value: object) -> object:
    """TOML's own numbers and times as text; anything else as it is."""
    if isinstance(value, bool):
        return value
    if isinstance(value, str):
        return with_a_point(value)
    if isinstance(value, datetime | date | time):
        return _shown(value)
    return with_a_point(_shown(value)) if isinstance(value, int | float) else value


def _shown(value: object) -> str:
    """A value in an error or as text: not all of it when it is endless."""
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    try:
        text = repr(value)
    except (RecursionError, ValueError):  # nested too deep, or thousands of digits in hexadecimal
        return "that"
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"


S = TypeVar("S", bound=TomlTable)
RowsCheck = Callable[[dict[str, Any], str], None]

UNKNOWN = "extra_forbidden"
REFUSED = "refused"

Quantity = Annotated[str, BeforeValidator(as_text)]
"""Text with a unit ("17C"), or TOML's own number or time, kept as text until it is parsed."""


def read_toml(shape: type[S], text: str, source: str, *rows: RowsCheck) -> S:
    """`text` as a `shape`; `source` is the file's name as a person knows it.

    rows: what is checked of several tables together, whatever is wrong within one of them; each is
    asked with the tables as they are written, which it may put in order, and `source`.
    Raises InputError for text that is not TOML (with its line), an unknown key (with the nearest
    known one), a missing key and a value of the wrong sort, all of them at once.
    """
    faults = Faults()
    if len(text) > LARGEST:
        given = say_many("{n} character", "{n} characters", len(text))
        raise InputError(source, given, say("at most {number}", number=LARGEST))
    if deep := _DEEP_KEY.search(text):  # to read it takes the square of its length
        raise InputError(source, repr(f"{deep[0][:20]}…"), say("keys of a few parts at most"))
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(error, text, source) from None
    except RecursionError:
        raise InputError(
            source,
            say("brackets nested too deep"),
            say("tables and lists nested a few levels at most"),
        ) from None
    except ValueError:  # a number of more digits than Python reads
        lines = text.splitlines()
        number = 1 + next((i for i, line in enumerate(lines) if _ENDLESS.search(line)), 0)
        expected = say("numbers of at most {digits} digits", digits=MOST_DIGITS)
        raise InputError(_line_of(source, number), say("that number"), expected) from None
    for check in rows:
        faults.take(check, table, source)
    try:
        read = shape.model_validate(table, context=table)
    except ValidationError as error:
        raw = error.errors(include_url=False)
        # A list is also too short for want of what is wrong in it: that says enough.
        every = deepest(raw)
        faults.besides = max(0, len(every) - MOST_FAULTS)
        found = [(each, _explain(each, shape, table, source)) for each in every[:MOST_FAULTS]]
        meant = {fault.path for each, fault in found if each["type"] == UNKNOWN}
        # A misspelt key is also a missing one: the misspelling is the better news.
        for each, fault in sorted(found, key=lambda it: it[0]["type"] != UNKNOWN):
            if each["type"] != "missing" or fault.path not in meant:
                faults.found += fault.faults
    faults.check()
    return read


def rows_of(table: Mapping[str, Any], key: str) -> list[dict[str, Any]]:
    """The tables `key` of a file as they are written; none where it has something else there."""
    rows = table.get(key)
    return (
        [each if isinstance(each, dict) else {} for each in rows] if isinstance(rows, list) else []
    )


def names_of(table: Mapping[str, Any], key: str) -> list[str]:
    """The names of those tables, "" for one without."""
    return [str(each.get("name", "")) for each in rows_of(table, key)]


def deepest(faults: Sequence[ErrorDetails]) -> list[ErrorDetails]:
    """Those within which nothing else is at fault."""
    around = {each["loc"][:depth] for each in faults for depth in range(len(each["loc"]))}
    return [each for each in faults if each["loc"] not in around]


def reads(read: Callable[..., Any], *beside: Callable[[ValidationInfo], Any]) -> PlainValidator:
    """For a value that `read(text, field)` makes of a text, or of TOML's own number or time.

    beside: what else it is asked with, out of the same table (`data`) and the file (`context`).
    """

    def value(given: object, info: ValidationInfo) -> object:
        text = as_text(given)
        if not isinstance(text, str):
            raise PydanticCustomError("no_text", "no text")
        try:
            return read(text, "", *(each(info) for each in beside))
        except InputError as error:
            raise refused(error) from None

    return PlainValidator(value)


def checks(check: Callable[[Any], object]) -> AfterValidator:
    """For a value that `check` is content with; it raises InputError, its field empty, if not."""

    def checked(value: object) -> object:
        try:
            check(value)
        except InputError as error:
            raise refused(error) from None
        return value

    return AfterValidator(checked)


def refused(error: InputError) -> PydanticCustomError:
    """What a validator of a shape raises: `error`, its field one of the table's, or empty."""
    return PydanticCustomError(REFUSED, "refused", {"error": error})


def place_of(source: str, *parts: str) -> At:
    """The field's whole name in an error: file, table and key, with commas between."""
    return At(", ".join((source, *parts)), (*_path(source), *parts))


def row_of(source: str, key: str, number: int, name: object = None) -> At:
    """One of several tables `key`, `number` from 0: by its name, else by its number from 1."""
    label = repr(name) if isinstance(name, str) else str(number + 1)
    return At(f"{source}, {key} {label}", (*_path(source), key, number))


def _line_of(source: str, number: int) -> At:
    shown = say("{source}, line {number}", source=source, number=number)
    return At(shown, (*_path(source), f"line {number}"))


def _path(source: str) -> tuple[str | int, ...]:
    return source.path if isinstance(source, At) else ()


def nearest(wrong: str, known: Sequence[str]) -> str:
    """What would be right instead of `wrong`: the known names, and which of them is near."""
    near = _near(wrong, known)
    all_of_them = say("one of {known}", known=", ".join(known))
    if not near:
        return all_of_them
    return say("{known}; {near!r} perhaps", known=all_of_them, near=near)


def _near(wrong: str, known: Sequence[str]) -> str | None:
    near = get_close_matches(wrong.casefold(), [name.casefold() for name in known], 1, 0.6)
    return next((each for each in known if near and each.casefold() == near[0]), None)


def _not_toml(error: tomllib.TOMLDecodeError, text: str, source: str) -> InputError:
    match = re.match(r"(.*) \(at line (\d+), column \d+\)$", str(error))
    if match is None:  # "(at end of document)"
        last = At(say("{source}, last line", source=source), (*_path(source), "last line"))
        return InputError(last, say("this text"), f"TOML ({error})")
    number = int(match[2])
    lines = text.splitlines()
    line = lines[number - 1].strip() if number <= len(lines) else ""
    if _SHORT_TIME.search(line):
        expected = say("a time with its seconds, such as 09:00:00, or in quotes")
        return InputError(_line_of(source, number), repr(line), expected)
    return InputError(_line_of(source, number), repr(line), f"TOML ({match[1]})")


def _explain(
    fault: ErrorDetails, shape: type[TomlTable], table: dict[str, Any], source: str
) -> InputError:
    above = here = At(source, ())
    model: type[BaseModel] | None = shape
    value: Any = table
    expected = say("something else")
    for part in fault["loc"]:
        if isinstance(part, int):
            if not isinstance(value, list):
                continue  # one table where several may be: it was read as a list of one
            value = value[part]
            name = value.get("name") if isinstance(value, dict) else None
            here = row_of(above, str(here.path[-1]), part, name)
            continue
        if fault["type"] == UNKNOWN and part == fault["loc"][-1]:
            known = _keys(model)
            meant = At(here, (*here.path, _near(part, known) or part))
            return InputError(meant, repr(part), nearest(part, known))
        value = value.get(part) if isinstance(value, dict) else None
        above, here = here, place_of(here, part)
        model, described = _step(model, part)
        expected = described or expected
    if fault["type"] == REFUSED:
        error: InputError = fault["ctx"]["error"]
        return error.at(lambda it: place_of(here, it.field) if it.field else here)
    if fault["type"] == "too_long":
        return InputError(here, say("{n} of them", n=len(value)), expected)
    return InputError(here, MISSING if fault["type"] == "missing" else _shown(value), expected)


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
            return below, say(field.description) if field.description else None
    return None, None
