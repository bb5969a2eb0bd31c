"""Sensors: make one and its token, hear what it measured, and look back."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import Any
from uuid import uuid4

from pointage.daybook.store.sensors import Samples, Sensor, SensorKind
from pointage.daybook.store.store import Store
from pointage.desk.answers import NotThere
from pointage.desk.records.records import SKEW
from pointage.errors import MISSING, Faults, InputError, PointageError
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say
from pointage.quantities import parse_temperature, split_number, with_a_point

MOST_AT_ONCE = 1000
LONGEST_NAME = 80
HEIGHTS = mark("a height in mm such as 62, or 6.2cm")
IN_MM = {"": 1, "mm": 1, "cm": 10}


class UnknownTokenError(PointageError):
    """A probe gave no token of ours."""

    def __init__(self) -> None:
        super().__init__(say("the token is not one of a sensor; make one with pointage sensor add"))


@dataclass(frozen=True, slots=True)
class NewSensor:
    """A sensor and its token, which is shown this once: the store keeps only its hash."""

    sensor: Sensor
    token: str


class SensorDesk:
    """The sensors of one kitchen."""

    def __init__(
        self,
        store: Store,
        kitchen_id: str,
        clock: Callable[[], datetime],
        kitchen: Callable[[], Kitchen],
    ) -> None:
        self._store = store
        self._id = kitchen_id
        self._clock = clock
        self._kitchen = kitchen

    def add(self, name: str, kind: str, place: str) -> NewSensor:
        """Make a sensor that stands at a place of the kitchen. Raises InputError."""
        name, faults = name.strip(), Faults()
        if not 0 < len(name) <= LONGEST_NAME or not name.isprintable():
            expected = say("a name of 1 to {most} characters", most=LONGEST_NAME)
            faults.found.append(InputError("name", repr(name[:20]), expected))
        if kind not in set(SensorKind):
            faults.found.append(InputError("kind", repr(kind), " or ".join(SensorKind)))
        where = faults.take(self._kitchen().place, place)
        faults.check()
        return self._keep(Sensor(str(uuid4()), self._id, name, SensorKind(kind), where.name))

    def renew(self, name: str) -> NewSensor:
        """Give a sensor another token; the one it had is worth nothing then. Raises NotThere."""
        return self._keep(self.named(name))

    def named(self, name: str) -> Sensor:
        """The sensor called `name`, capitals or not. Raises NotThere."""
        for sensor in self.all():
            if sensor.name.casefold() == name.casefold():
                return sensor
        raise NotThere("sensor", name)

    def all(self) -> list[Sensor]:
        """Every sensor, by name."""
        return self._store.sensors(self._id)

    def received(self, token: str, sent: Any) -> int:
        """Keep what a probe measured: how many samples were new.

        sent: a mapping with "temperature" or "height", as the sensor's kind has it, and "at" if it
        was not just now; or {"samples": [such mappings]}. A bare number is °C or mm. All are kept
        or, when one cannot be used, none. Raises UnknownTokenError and InputError.
        """
        sensor = self._store.sensor_of_token(_hash(token))
        if sensor is None or sensor.kitchen != self._id:
            raise UnknownTokenError
        now = self._clock()
        rows = [_sample(sensor.kind, each, now) for each in _each(sent)]
        return self._store.append_samples(sensor, rows)

    def samples(self, name: str, since: datetime, until: datetime, at_most: int = 2000) -> Samples:
        """What a sensor measured; see `Store.samples`. Raises NotThere."""
        return self._store.samples(self.named(name), since, until, at_most)

    def _keep(self, sensor: Sensor) -> NewSensor:
        token = secrets.token_urlsafe(32)
        self._store.put_sensor(sensor, _hash(token))
        return NewSensor(sensor, token)


def _hash(token: str) -> str:
    """A token has 256 bits of chance, so a plain hash of it is enough."""
    return sha256(token.encode(errors="replace")).hexdigest()


def _each(sent: Any) -> list[Any]:
    if isinstance(sent, Mapping) and set(sent) == {"samples"}:
        samples = sent["samples"]
        if not isinstance(samples, list) or not 0 < len(samples) <= MOST_AT_ONCE:
            raise InputError(
                "samples",
                say("what was sent"),
                say("a list of 1 to {most} samples", most=MOST_AT_ONCE),
            )
        return samples
    return [sent]


def _sample(kind: SensorKind, sent: Any, now: datetime) -> tuple[datetime, float]:
    if not isinstance(sent, Mapping):
        raise InputError(
            "sample", say("what was sent"), say('an object such as {{"{kind}": 20}}', kind=kind)
        )
    known = {kind.value, "at"}
    strange = next((name for name in sent if name not in known), None)
    if strange is not None:
        raise InputError(
            str(strange)[:40], say("this field"), say("{kind} and optionally at", kind=kind)
        )
    if kind.value not in sent:
        raise InputError(kind.value, MISSING, say("what was measured"))
    at = sent.get("at")
    return now if at is None else _instant(at, now), _value(kind, sent[kind.value])


def _value(kind: SensorKind, given: Any) -> float:
    field = kind.value
    if isinstance(given, int | float) and not isinstance(given, bool) and abs(given) < 1e6:
        return float(given)
    if not isinstance(given, str):
        raise InputError(field, str(given)[:40], say("a number below a million"))
    if kind is SensorKind.TEMPERATURE:
        return parse_temperature(given, field).celsius
    number, unit = split_number(with_a_point(given), field, say(HEIGHTS))
    if unit not in IN_MM:
        raise InputError(field, repr(given), say(HEIGHTS))
    return float(number * IN_MM[unit])


def _instant(given: Any, now: datetime) -> datetime:
    """An ISO 8601 instant with its offset, or seconds since 1970; not one still to come."""
    expected = say("a time such as 2026-11-25T12:00:00Z, or seconds since 1970, not in the future")
    try:
        if isinstance(given, bool):
            raise TypeError
        if isinstance(given, int | float):
            at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=given)
        else:
            at = datetime.fromisoformat(given)
        if at.tzinfo is None or at > now + SKEW:
            raise ValueError
        return at.astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        raise InputError("at", repr(given)[:40], expected) from None
