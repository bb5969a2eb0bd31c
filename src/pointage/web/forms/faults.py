"""What is wrong in a form that was sent: each fault under its field, the rest above the form."""

from __future__ import annotations

from collections.abc import Callable, Container

from pointage.errors import MISSING, Complaint, InputError, cannot_be_used
from pointage.language import say

FORM = "form"
"""The field of what is wrong with a form as a whole."""


class ChangedMind(InputError):  # noqa: N818
    """What was typed is to be changed before it is recorded; the form is shown with it again."""

    def __init__(self) -> None:
        super().__init__("form", MISSING, "")

    def at(self, name: Callable[[InputError], str]) -> ChangedMind:
        return self

    def __str__(self) -> str:
        return say("Nothing was saved. Change what you typed and send it again")


def under_field(error: InputError) -> str:
    """An error as the line under its field, whose label already names it; what was typed stays as
    it was."""
    line = cannot_be_used(error.value, error.expected)
    return line[0].upper() + line[1:] if isinstance(error.value, Complaint) else line


def by_field(error: InputError | None, known: Container[str]) -> tuple[dict[str, str], str]:
    """The lines under the fields of a form, by name, and the lines above it for what has none.

    known: the form's fields. A row within is called "parts-1-grams".
    """
    errors: dict[str, str] = {}
    above: list[str] = []
    for fault in () if error is None else error.faults:
        name = "-".join(str(at + 1) if isinstance(at, int) else at for at in fault.path)
        if name in known:
            errors.setdefault(name, under_field(fault))
        elif fault.field == FORM and not isinstance(fault, ChangedMind):
            above.append(under_field(fault))
        else:
            above.append(str(fault))
    return errors, "\n".join(above)
