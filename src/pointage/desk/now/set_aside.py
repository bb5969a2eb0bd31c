"""What stands in the store and cannot be used: kept, left out, and shown with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from pointage.errors import MISSING, Complaint, InputError
from pointage.language import say


@dataclass(frozen=True, slots=True)
class SetAside:
    """An entry, a formula or the kitchen's file that is left out.

    what: "entry", "formula" or "kitchen"; name: its id, slug or revision. field, value, expected:
    as in InputError; a door that is offered such an entry refuses it in the same words. counts: it
    is gone by all the same, for what is missing lies before it; a door asks about such an entry.
    """

    what: str
    name: str
    field: str
    value: str
    expected: str
    counts: bool = False

    @property
    def reason(self) -> str:
        """One line: what cannot be used, and what would be right."""
        return str(self.error())

    def error(self) -> InputError:
        """The refusal of what would be set aside.

        It was kept in English: it is translated here as far as it has no parts of its own.
        """
        value = self.value
        if isinstance(value, Complaint) and value != MISSING:
            value = Complaint(say(value))
        return InputError(self.field, value, say(self.expected))


def set_aside(what: str, name: str, error: InputError) -> SetAside:
    """What an error says of a record."""
    return SetAside(what, name, error.field, str(error.value), error.expected)
