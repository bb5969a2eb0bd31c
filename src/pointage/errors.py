"""The tree of errors.

    PointageError
    ├── InputError          what a person gave cannot be used: field, value, what would be right
    │   └── UnitError       a quantity whose unit cannot be read
    └── RangeError          a number outside the range in which a model may be used

Each holds its fields, and `str(error)` is the one line a person is shown. They are caught once, at
the edge: the command line prints the line and exits 2, the web shows the form again.
"""

from __future__ import annotations

LONGEST_SHOWN = 200
"""Characters of a value that a line shows: what was pasted by mistake need not be read again."""


class PointageError(Exception):
    """The root of every error that this package raises on purpose."""


class InputError(PointageError):
    """Something a person gave cannot be used.

    field: the name of the field as the person knows it ("--target", "stage 2, water").
    value: what they gave, as they gave it.
    expected: what would be right, as the end of a sentence ("a mass such as 600g").
    """

    def __init__(self, field: str, value: object, expected: str) -> None:
        self.field = field
        self.value = value
        self.expected = expected
        super().__init__(f"{field}: {_shortly(value)} will not do; give {expected}")


def _shortly(value: object) -> str:
    """`value` in one line that can be read, whatever it is."""
    try:
        text = " ".join(str(value).splitlines())
    except ValueError:  # thousands of digits
        return "that number"
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"


class UnitError(InputError):
    """A quantity whose number or unit cannot be read."""


class RangeError(PointageError):
    """A number outside the range in which a model may be used.

    quantity: what it is ("temperature"); value and limits in the unit named.
    """

    def __init__(self, quantity: str, value: float, low: float, high: float, unit: str) -> None:
        self.quantity = quantity
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        super().__init__(
            f"{quantity}: {value:g} {unit} is outside {low:g} to {high:g} {unit}, "
            "the range in which the model may be used"
        )
