"""A form declared once: what makes its fields also reads what was typed into them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pointage.errors import Faults, InputError
from pointage.web.forms.faults import by_field
from pointage.web.forms.field import Choice, Field

LONGEST_FIELD = 200
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

    read: makes the value of the text and the field's name, and raises InputError; a bound's `read`
    where it is a quantity. kind, among: as of a Field. usual: what stands there before
    anything is typed. needed: whether it may not be left empty.
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

    def field(self, text: str, error: str = "") -> Field:
        """The field with this in it."""
        kind = "select" if self.choices else self.kind
        return Field(self.name, self.label, text, kind, self.choices, self.hint, error, self.among)

    def value(self, text: str) -> Any:
        """What was typed, read; None for nothing. Raises InputError."""
        text = text.strip()
        if len(text) > LONGEST_FIELD and self.kind != "long":
            raise InputError(self.name, text[:20] + "…", f"at most {LONGEST_FIELD} characters")
        if not text and self.needed:
            raise InputError(self.name, "nothing", "something in this field")
        return self.read(text, self.name) if text else None


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a form, in their order."""

    asked: tuple[Asked, ...]

    def __contains__(self, name: object) -> bool:
        return any(each.name == name for each in self.asked)

    def typed(self, given: Mapping[str, str]) -> dict[str, str]:
        """What stands in each field: what was given of it, else what is usual."""
        return {a.name: given.get(a.name, "").strip() or a.usual for a in self.asked}

    def fields(
        self, given: Mapping[str, str] = NOTHING, error: InputError | None = None
    ) -> tuple[tuple[Field, ...], str]:
        """The fields with each fault under its own, and the lines for what is of none of them."""
        errors, above = by_field(error, self)
        typed = self.typed(given)
        fields = (each.field(typed[each.name], errors.get(each.name, "")) for each in self.asked)
        return tuple(fields), above

    def read(self, given: Mapping[str, str], faults: Faults | None = None) -> dict[str, Any]:
        """The values by name; of what may be left empty and is, None.

        Raises InputError for all fields that cannot be read; with `faults`, leaves them there.
        """
        found, typed = faults or Faults(), self.typed(given)
        read = {each.name: found.take(each.value, typed[each.name]) for each in self.asked}
        if faults is None:
            found.check()
        return read
