"""Values as a body may hold them: each says in its error what would have been right."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Annotated, Any
from uuid import UUID

from pydantic import BeforeValidator, PlainSerializer
from pydantic_core import PydanticCustomError

from pointage.bounds import Bound
from pointage.language import mark, say
from pointage.mixture.flours import LIMITS

SHORT = 200
LONG = 4000
WHOLE = 100_000


def refused(expected: str) -> PydanticCustomError:
    """The error of a value; `bodies.checked` makes one clear line of it."""
    return PydanticCustomError("expected", "{expected}", {"expected": expected})


def _checked(check: Callable[[Any], Any]) -> BeforeValidator:
    return BeforeValidator(check)


def within(bound: Bound) -> BeforeValidator:
    """Of a number that `bound` holds; text is none, nor is true or false."""

    def check(value: Any) -> float:
        if not bound.holds(value):
            raise refused(bound.expected)
        return float(value)

    return BeforeValidator(check)


def flour_figure(figure: str) -> Any:
    """A figure of a mill's sheet, within what a flour can have."""
    return Annotated[float, within(LIMITS[figure])]


def words(most: int, expected: str) -> Any:
    """Text of 1 to `most` characters, trimmed, of which none is a control character."""

    def check(value: Any) -> str:
        text = value.strip() if isinstance(value, str) else ""
        if not 0 < len(text) <= most or any(c < " " and c not in "\n\t" for c in text):
            raise refused(say(expected, most=most))
        return text

    return Annotated[str, _checked(check)]


def _uuid(value: Any) -> str:
    try:
        return str(UUID(value))
    except (ValueError, AttributeError, TypeError):
        raise refused(say("the id of an entry, a UUID")) from None


def _instant(value: Any) -> datetime:
    try:
        found = value if isinstance(value, datetime) else datetime.fromisoformat(value)
        if found.tzinfo is None:
            raise ValueError
        return found.astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        raise refused(say("a time with its offset, such as 2026-11-25T12:00:00+00:00")) from None


def _day(value: Any) -> date:
    try:
        return value if isinstance(value, date) else date.fromisoformat(value)
    except (ValueError, TypeError):
        raise refused(say("a day such as 2026-11-25")) from None


Name = words(SHORT, mark("a name of 1 to {most} characters"))
Remark = words(LONG, mark("1 to {most} characters of text"))
Text = words(WHOLE, mark("1 to {most} characters of text"))
EntryId = Annotated[str, _checked(_uuid)]
Instant = Annotated[
    datetime, _checked(_instant), PlainSerializer(lambda at: at.isoformat(), return_type=str)
]
Day = Annotated[date, _checked(_day)]
