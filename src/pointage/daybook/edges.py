"""Values as a body may hold them: each says in its error what would have been right."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from math import isfinite
from typing import Annotated, Any
from uuid import UUID

from pydantic import BeforeValidator, PlainSerializer
from pydantic_core import PydanticCustomError

from pointage.mixture.flours import LIMITS

SHORT = 200
LONG = 4000


def refused(expected: str) -> PydanticCustomError:
    """The error of a value; `bodies.checked` makes one clear line of it."""
    return PydanticCustomError("expected", "{expected}", {"expected": expected})


def _checked(check: Callable[[Any], Any]) -> BeforeValidator:
    return BeforeValidator(check)


def between(low: float, high: float, expected: str) -> Any:
    """A number from `low` to `high`; text is none, nor is true or false."""

    def check(value: Any) -> float:
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or not isfinite(value) or not low <= value <= high:
            raise refused(expected)
        return float(value)

    return Annotated[float, _checked(check)]


def flour_figure(figure: str) -> Any:
    """A figure of a mill's sheet, within what a flour can have."""
    return between(*LIMITS[figure])


def words(most: int, expected: str) -> Any:
    """Text of 1 to `most` characters, trimmed, of which none is a control character."""

    def check(value: Any) -> str:
        text = value.strip() if isinstance(value, str) else ""
        if not 0 < len(text) <= most or any(c < " " and c not in "\n\t" for c in text):
            raise refused(expected)
        return text

    return Annotated[str, _checked(check)]


def _uuid(value: Any) -> str:
    try:
        return str(UUID(value))
    except (ValueError, AttributeError, TypeError):
        raise refused("the id of an entry, a UUID") from None


def _instant(value: Any) -> datetime:
    try:
        found = value if isinstance(value, datetime) else datetime.fromisoformat(value)
        if found.tzinfo is None:
            raise ValueError
        return found.astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        raise refused("an instant with its offset, such as 2026-11-25T12:00:00+00:00") from None


def _day(value: Any) -> date:
    try:
        return value if isinstance(value, date) else date.fromisoformat(value)
    except (ValueError, TypeError):
        raise refused("a day such as 2026-11-25") from None


Name = words(SHORT, f"a name of 1 to {SHORT} characters")
Remark = words(LONG, f"1 to {LONG} characters of text")
EntryId = Annotated[str, _checked(_uuid)]
Instant = Annotated[
    datetime, _checked(_instant), PlainSerializer(lambda at: at.isoformat(), return_type=str)
]
Day = Annotated[date, _checked(_day)]

# What can be in a kitchen at all: beyond these a finger slipped. Common practice, no source.
Grams = between(0.0, 100_000.0, "grams from 0 to 100000")
MixtureC = between(-10.0, 60.0, "a temperature of a mixture, −10 to 60 °C")
PartC = between(-30.0, 100.0, "a temperature of an ingredient, −30 to 100 °C")
CoreC = between(-10.0, 105.0, "a temperature inside a loaf, −10 to 105 °C")
OvenC = between(20.0, 500.0, "a temperature of an oven, 20 to 500 °C")
Rise = between(0.3, 10.0, "times the volume after mixing, 0.3 to 10")
Acidity = between(2.5, 8.0, "a pH of 2.5 to 8")
TitratableMl = between(0.0, 60.0, "ml of 0.1 N alkali for 10 g, 0 to 60")
Millimetres = between(0.0, 2000.0, "a height of 0 to 2000 mm")
Millilitres = between(0.0, 200_000.0, "a volume of 0 to 200000 ml")
Minutes = between(0.0, 1440.0, "minutes from 0 to 1440")
Pieces = between(0.0, 10_000.0, "a number of pieces from 0 to 10000")
Mark = between(1.0, 5.0, "a mark from 1 to 5")
