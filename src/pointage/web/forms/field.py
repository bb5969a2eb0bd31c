"""The fields of a form as they are printed (templates/fields.html)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Choice:
    """One option of a select."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a form.

    kind: "text", "long", "decimal", "numeric", "date", "time", "datetime-local", "mark" (1 to 5,
    tapped; what else it holds is typed) or "select" (with choices).
    among: the id of a list on the page that proposes values, or empty. warm: a bare number in it is
    one of the degrees that are shown.
    """

    name: str
    label: str
    value: str
    kind: str = "text"
    choices: tuple[Choice, ...] = ()
    hint: str = ""
    error: str = ""
    among: str = ""
    warm: bool = False
