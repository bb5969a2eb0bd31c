"""Values of a plan's document: instants, zones, numbers, and what a remark is about."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated, Any, ClassVar
from zoneinfo import ZoneInfo

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    FiniteFloat,
)

from pointage.language import say
from pointage.quantities import LONGEST_ZONE
from pointage.timetable.remark import Quantity, Unit


def _utc(at: datetime) -> datetime:
    try:
        return at.astimezone(UTC)
    except OverflowError:
        raise ValueError(say("an instant that there is in UTC is expected")) from None


def _zone(key: str) -> str:
    try:
        if len(key) > LONGEST_ZONE:  # a path without end, to who looks it up
            raise ValueError
        ZoneInfo(key)
    except (OSError, ValueError, KeyError):
        raise ValueError(say("a time zone such as Europe/Dublin is expected")) from None
    return key


Instant = Annotated[AwareDatetime, AfterValidator(_utc)]
Zone = Annotated[str, AfterValidator(_zone)]
Grams = Annotated[FiniteFloat, Field(ge=0)]
Name = Annotated[str, Field(min_length=1)]
PLAIN = frozenset({str, float, int, bool, datetime, type(None)})
"""What the core has as it is, and most of a plan is."""


class CoreShape(BaseModel):
    """The shape of a class of the core, with its fields; `made` gives that back."""

    model_config = ConfigDict(extra="forbid", frozen=True, from_attributes=True)

    _of: ClassVar[Any]

    def made(self) -> Any:
        """What this is the shape of."""
        return self._of(**{name: core(value) for name, value in self.__dict__.items()})


def core(value: Any) -> Any:
    """A value of a shape as the core has it."""
    if type(value) in PLAIN:
        return value
    if isinstance(value, CoreShape):
        return value.made()
    return tuple(map(core, value)) if isinstance(value, tuple) else value


class QuantityShape(CoreShape):
    _of = Quantity

    value: FiniteFloat
    unit: Unit


class AtShape(CoreShape):
    """An instant, known from a name by its key."""

    at: Instant

    def made(self) -> datetime:
        return self.at


class InstantsShape(CoreShape):
    instants: tuple[Instant, ...]

    def made(self) -> tuple[datetime, ...]:
        return self.instants


def _arguments(about: Any) -> Any:
    return {k: _argument(v) for k, v in about.items()} if isinstance(about, Mapping) else about


def _argument(value: Any) -> Any:
    if isinstance(value, datetime):
        return {"at": value}
    return {"instants": value} if isinstance(value, tuple) else value


About = Annotated[
    dict[str, str | QuantityShape | AtShape | InstantsShape], BeforeValidator(_arguments)
]
