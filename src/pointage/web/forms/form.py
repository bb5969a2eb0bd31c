"""A form declared once: what makes its fields also reads what was typed into them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from pointage.errors import MISSING, Faults, InputError
from pointage.language import say, say_many
from pointage.quantities import print_number
from pointage.shown import apart_in_degrees, degrees_sign, in_degrees, shown
from pointage.web.forms.faults import by_field
from pointage.web.forms.field import Choice, Field
from pointage.web.forms.labels import label_of, word_of

_WARMTH = re.compile(r"([+−-]?[\d.,]+)\s*°?\s*([CFK]?)", re.IGNORECASE)
Warm = Literal["", "point", "apart"]
LONGEST_FIELD = 200
LONGEST_OF_A_FILE = 500
NOTHING: Mapping[str, str] = {}


def plain(text: str, _: str) -> str:
    """What was typed, as it is."""
    return text


def several(text: str, _: str) -> list[str]:
    """What stands between commas."""
    return [each.strip() for each in text.split(",") if each.strip()]


@dataclass(frozen=True, slots=True)
class Asked:
    """A field of a form: how it is asked for, and how what is typed is read.

    label, hint: in English, translated where the field is shown. ours: so are its choices, which
    else are names that people gave.
    read: makes the value of the text and the field's name, and raises InputError; a bound's `read`
    where it is a quantity. warm: it is a temperature ("point"), or how far two are "apart": a bare
    number is in the degrees that are shown, which stand beside the field. kind, among: as of a
    Field. usual: what stands there before anything is typed. needed: whether it may not be left
    empty. longest: characters of it, unless it is of the kind "long".
    """

    name: str
    label: str
    hint: str = ""
    read: Callable[[str, str], Any] = plain
    kind: str = "text"
    choices: tuple[Choice, ...] = ()
    usual: str = ""
    needed: bool = True
    among: str = ""
    longest: int = LONGEST_FIELD
    warm: Warm = ""
    ours: bool = False

    def field(self, text: str, error: str = "") -> Field:
        """The field with this in it, in the language of the reader."""
        kind = "select" if self.choices else self.kind
        hint = say(self.hint) if self.hint else ""
        hint = ", ".join(filter(None, (degrees_sign(), hint))) if self.warm else hint
        choices = self.choices
        if self.ours:
            choices = tuple(replace(each, text=say(each.text)) for each in choices)
        return Field(
            self.name,
            say(self.label),
            text,
            kind,
            choices,
            hint,
            error,
            self.among,
            bool(self.warm),
        )

    def value(self, text: str) -> Any:
        """What was typed, read; None for nothing. Raises InputError."""
        text = text.strip()
        if len(text) > self.longest and self.kind != "long":
            most = say_many("at most {n} character", "at most {n} characters", self.longest)
            raise InputError(self.name, text[:20] + "…", most)
        if not text and self.needed:
            raise InputError(self.name, MISSING, say("something in this field"))
        return self.read(with_unit(text) if self.warm else text, self.name) if text else None


def with_unit(text: str, *, always: bool = False) -> str:
    """What was typed for a temperature, a bare number in the degrees that are shown: "65" as "65F".

    In °C a bare number stays bare, as in a file and on the command line, if it is not `always`.
    """
    is_bare = text.strip()[-1:].isdigit()
    degrees = shown().degrees
    return f"{text.strip()}{degrees}" if is_bare and (always or degrees == "F") else text


def without_unit(text: str, warm: Warm) -> str:
    """What stands in a field for a temperature that is kept as `text`: a number of the degrees
    beside the field. What was typed in °F stays in °F, with its unit where °C is shown: there it
    is seldom a round number, and it is given back as it was typed."""
    match = _WARMTH.fullmatch(text.strip())
    if match is None:
        return text
    number, degrees = match[1], (match[2] or "C").upper()
    if degrees == shown().degrees:
        return number
    if degrees != "C":
        return f"{number} °{degrees}" if degrees == "F" else f"{number} {degrees}"
    value = float(number.replace(",", ".").replace("−", "-"))
    return print_number(in_degrees(value) if warm == "point" else apart_in_degrees(value), 2)


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a form, in their order."""

    asked: tuple[Asked, ...]

    def __contains__(self, name: object) -> bool:
        return any(each.name == name for each in self.asked)

    def typed(self, given: Mapping[str, str]) -> dict[str, str]:
        """What stands in each field: what was given of it, else what is usual, in °C."""
        return {
            a.name: given.get(a.name, "").strip()
            or (without_unit(a.usual, a.warm) if a.warm else a.usual)
            for a in self.asked
        }

    def fields(
        self, given: Mapping[str, str] = NOTHING, error: InputError | None = None
    ) -> tuple[tuple[Field, ...], str]:
        """The fields with each fault under its own, and the lines for what is of none of them."""
        errors, above = by_field(error, self)
        return self.shown(given, errors), above

    def shown(
        self, given: Mapping[str, str] = NOTHING, errors: Mapping[str, str] = NOTHING
    ) -> tuple[Field, ...]:
        """The fields with what was given, each with its own line of `errors`."""
        typed = self.typed(given)
        return tuple(each.field(typed[each.name], errors.get(each.name, "")) for each in self.asked)

    def read(self, given: Mapping[str, str], faults: Faults | None = None) -> dict[str, Any]:
        """The values by name; of what may be left empty and is, None.

        Raises InputError for all fields that cannot be read; with `faults`, leaves them there.
        """
        found, typed = faults or Faults(), self.typed(given)
        read = {each.name: found.take(each.value, typed[each.name]) for each in self.asked}
        if faults is None:
            found.check()
        return read

    def with_units(self, typed: Mapping[str, str]) -> dict[str, str]:
        """What was typed, each temperature with its unit."""
        warm = {each.name for each in self.asked if each.warm}
        return {
            name: with_unit(text, always=True) if name in warm and text else text
            for name, text in typed.items()
        }

    def without_units(self, kept: Mapping[str, str]) -> dict[str, str]:
        """What is kept, each temperature as it stands in its field."""
        warm = {each.name: each.warm for each in self.asked if each.warm}
        return {
            name: without_unit(text, warm[name]) if name in warm else text
            for name, text in kept.items()
        }

    def row(self, name: str) -> Form:
        """The same of one row of several, each field called by the row's name and its own."""
        return Form(tuple(replace(each, name=f"{name}-{each.name}") for each in self.asked))

    def of_table(self, error: InputError, place: tuple[str | int, ...]) -> InputError:
        """A file's faults within its table at `place` as those of these fields; one of the table
        itself is of its name. Any other stays as it is."""

        def named(fault: InputError) -> str:
            path = fault.path
            if place and path == place:
                path = ("name",)
            elif path[: len(place)] == place:
                path = path[len(place) :]
            elif path[:1] == place[:1]:
                path = path[1:]  # a table that stands alone where there may be several
            return str(path[0]) if path and path[0] in self else fault.field

        return error.at(named)


def of_shape(name: str, field: FieldInfo) -> Asked:
    """A field for a key of a file, asked for as the file's shape has it, whose reader reads it; its
    label and choices in the language spoken now."""
    hint = field.description or ""
    parts = (field.annotation, *get_args(field.annotation))
    words = [str(it) for each in parts if get_origin(each) is Literal for it in get_args(each)]
    if words:
        hint, words = "", words if field.is_required() else ["", *words]
    choices = tuple(Choice(each, word_of(name, each) or "–") for each in words)
    return Asked(
        name, label_of(name), hint, choices=choices, needed=False, longest=LONGEST_OF_A_FILE
    )
