"""What can be seen of a mixture: one entry per kind of reading, wherever it was written down.

A reading comes from the Bench (`reading`, of a step), from the daybook (`measured`, in the fields
of its body) or out of the signs that were seen (`seen`). Here all become one normal form, so that
the same thing seen is printed alike and teaches alike.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from pointage import bounds
from pointage.bounds import Bound
from pointage.daybook.entry import Entry, EntryKind
from pointage.errors import MISSING, At, InputError
from pointage.language import mark, say, written
from pointage.quantities import print_number
from pointage.shown import warmth

if TYPE_CHECKING:
    from pointage.mixture.learning.observation import Observation

READ_FROM = frozenset({EntryKind.READING, EntryKind.MEASURED, EntryKind.SEEN})
"""The kinds of entry that may carry readings."""


class ReadingKind(StrEnum):
    """What can be read off or seen of a mixture."""

    RISE = "rise"
    TEMPERATURE = "temperature"
    ROOM = "room"
    PH = "ph"
    ACIDITY = "acidity"
    RIPE = "ripe"
    FALLEN = "fallen"


@dataclass(frozen=True, slots=True)
class Reading:
    """Something seen. value: in the unit of its kind; None when the kind says it all.

    questioned: it does not fit with the rest; it is kept, and asked about. sure: it was asked about
    and was so. entry: where it was written, which is no part of what was seen.
    """

    kind: ReadingKind
    value: float | None
    at: datetime
    questioned: bool = False
    sure: bool = False
    entry: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Written:
    """One field of a measured body: its name, what it can be, and how it is asked for."""

    name: str
    bound: Bound
    label: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class KindOfReading:
    """Everything that is known of one kind of reading.

    title: of its button. prompt: above its field on the Bench, empty where it is not asked for
    there; both are in English, as the labels and hints of its ways. log: the form of the daybook
    that asks for it. bound: of its number; None for a kind that carries none. ways: how a measured
    body holds it, each a field of its own or a pair whose first is divided by the second. signs:
    the words among signs seen that mean it. words: how its value is said. seen: what the engine
    makes of it; None for nothing.
    """

    kind: ReadingKind
    title: str
    words: Callable[[float], str]
    prompt: str = ""
    log: str = ""
    bound: Bound | None = None
    ways: tuple[tuple[Written, ...], ...] = ()
    signs: frozenset[str] = frozenset()
    seen: Callable[[datetime, float], Observation] | None = None


def _rise(at: datetime, value: float) -> Observation:
    from pointage.mixture.learning.observation import Rise

    return Rise(at, value)


def _temperature(at: datetime, value: float) -> Observation:
    from pointage.mixture.learning.observation import MixtureTemperature

    return MixtureTemperature(at, value)


def _ph(at: datetime, value: float) -> Observation:
    from pointage.mixture.learning.observation import Acidity

    return Acidity(at, value)


def _acidity(at: datetime, value: float) -> Observation:
    from pointage.mixture.learning.observation import TitratableAcidity

    return TitratableAcidity(at, value)  # 10 g to pH 8.5, as the daybook asks for it


def _ripe(at: datetime, value: float) -> Observation:
    from pointage.mixture.learning.observation import RipeNow

    return RipeNow(at)


def _fallen(at: datetime, value: float) -> Observation:
    from pointage.mixture.learning.observation import Fallen

    return Fallen(at)


def _warmth(value: float) -> str:
    return warmth(value, tenths=True)


KINDS: Mapping[ReadingKind, KindOfReading] = {
    each.kind: each
    for each in (
        KindOfReading(
            ReadingKind.RISE,
            mark("Rise"),
            lambda value: say("risen to {value}", value=print_number(value, 2)),
            mark("Rise, 1 when just mixed"),
            "rise",
            bounds.RISE,
            (
                (
                    Written(
                        "rise",
                        bounds.RISE,
                        mark("Risen to"),
                        mark("times its volume after mixing, such as 1.6"),
                    ),
                ),
                (
                    Written("mm", bounds.HEIGHT_MM, mark("Or its height"), "mm"),
                    Written("band_mm", bounds.HEIGHT_MM, mark("and that of the band"), "mm"),
                ),
                (
                    Written(
                        "ml",
                        bounds.VOLUME_ML,
                        mark("Or its level"),
                        mark("ml by the vessel's marks"),
                    ),
                    Written("mixed_ml", bounds.VOLUME_ML, mark("and the level after mixing"), "ml"),
                ),
            ),
            seen=_rise,
        ),
        KindOfReading(
            ReadingKind.TEMPERATURE,
            mark("Temperature"),
            _warmth,
            mark("Temperature"),
            "warmth",
            bounds.MIXTURE_C,
            ((Written("temperature_c", bounds.MIXTURE_C, mark("Temperature")),),),
            seen=_temperature,
        ),
        KindOfReading(
            ReadingKind.ROOM,
            mark("Air"),
            lambda value: say("the air {value}", value=_warmth(value)),
            "",
            "warmth",
            bounds.ROOM_C,
            ((Written("room_c", bounds.ROOM_C, mark("Air beside it"), mark("if taken")),),),
        ),
        KindOfReading(
            ReadingKind.PH,
            mark("pH"),
            lambda value: say("pH {value}", value=print_number(value, 2)),
            mark("pH"),
            "acidity",
            bounds.PH,
            ((Written("ph", bounds.PH, "pH"),),),
            seen=_ph,
        ),
        KindOfReading(
            ReadingKind.ACIDITY,
            mark("Acidity"),
            lambda value: say("acidity {value} ml", value=print_number(value)),
            "",
            "acidity",
            bounds.TTA_ML,
            (
                (
                    Written(
                        "tta_ml",
                        bounds.TTA_ML,
                        mark("Titratable acidity"),
                        mark("ml of 0.1 N alkali for 10 g"),
                    ),
                ),
            ),
            seen=_acidity,
        ),
        KindOfReading(
            ReadingKind.RIPE,
            mark("Ripe"),
            lambda value: say("ripe"),
            mark("Ripe"),
            signs=frozenset({"ripe"}),
            seen=_ripe,
        ),
        KindOfReading(
            ReadingKind.FALLEN,
            mark("Fallen"),
            lambda value: say("fallen"),
            mark("Fallen"),
            signs=frozenset({"fallen"}),
            seen=_fallen,
        ),
    )
}

MEASURED: Mapping[str, Written] = {
    each.name: each for kind in KINDS.values() for way in kind.ways for each in way
}
"""Every field in which a measured body holds a reading, by its name."""


LOGS: Mapping[str, tuple[KindOfReading, ...]] = {
    log: tuple(each for each in KINDS.values() if each.log == log)
    for log in dict.fromkeys(each.log for each in KINDS.values() if each.log)
}
"""The kinds that each form of the daybook asks for."""


def fields_of(kinds: Iterable[KindOfReading]) -> tuple[str, ...]:
    """The fields of a measured body that hold readings of these kinds."""
    return tuple(each.name for kind in kinds for way in kind.ways for each in way)


def readings_of(entry: Entry) -> tuple[Reading, ...]:
    """The readings that an entry carries; none when it cannot be used (`unusable` says why)."""
    try:
        return tuple(
            Reading(kind, value, entry.happened, entry=entry.id) for kind, value in _found(entry)
        )
    except InputError:
        return ()


def check_readings(entry: Entry) -> None:
    """Raises InputError, naming the field, for an entry whose readings cannot be used."""
    _found(entry)


def unusable(entry: Entry) -> str | None:
    """Why what an entry says of a mixture cannot be used, in a line; None when it can."""
    try:
        check_readings(entry)
    except InputError as error:
        return str(error)
    return None


def confirmed(readings: Iterable[Reading], entries: Collection[str]) -> tuple[Reading, ...]:
    """The same, with those that were written in these entries sure."""
    return tuple(
        replace(each, sure=not each.sure) if each.sure != (each.entry in entries) else each
        for each in readings
    )


def observation(reading: Reading) -> Observation | None:
    """What the engine makes of a reading; None where it makes nothing of it, as of a room."""
    known = KINDS[reading.kind]
    if known.seen is None or (known.bound is not None and reading.value is None):
        return None
    return known.seen(reading.at, reading.value or 0.0)


def reading_words(reading: Reading) -> str:
    """ "risen to 1.6", "24.5 °C", "pH 4.1", "ripe"."""
    return KINDS[reading.kind].words(reading.value or 0.0)


def measured_words(body: Mapping[str, Any]) -> list[str]:
    """What a measured body says, a few words a reading: "risen to 1.6 (96 mm against 60 mm)"."""
    said = []
    for kind, way, value in _measured(body):
        words = KINDS[kind].words(value)
        if len(way) > 1:
            now, then = (
                f"{written(print_number(body[each.name]))} {each.bound.unit}" for each in way
            )
            words = say("{words} ({now} against {then})", words=words, now=now, then=then)
        said.append(words)
    return said


def rare(entry_kind: EntryKind, body: Mapping[str, Any]) -> list[str]:
    """The lines that ask about readings which are possible and unusual."""
    try:
        found = _values(entry_kind, body)
    except InputError:
        return []
    lines = [bound.doubt(value) for kind, value in found if (bound := KINDS[kind].bound)]
    return [line for line in lines if line is not None]


def check_rises(body: Mapping[str, Any]) -> None:
    """Raises InputError for half a pair, and for a pair that makes no possible value."""
    for kind in KINDS.values():
        for way in kind.ways:
            names = [each.name for each in way]
            there = [body.get(name) is not None for name in names]
            if len(names) > 1 and any(there):
                if not all(there):
                    raise InputError(
                        names[there.index(False)],
                        MISSING,
                        say("{names} together", names=say(" and ").join(names)),
                    )
                _way(kind, way, body)


def _found(entry: Entry) -> list[tuple[ReadingKind, float | None]]:
    if entry.kind not in READ_FROM:
        return []
    return _values(entry.kind, entry.body)


def _values(kind: EntryKind, body: Mapping[str, Any]) -> list[tuple[ReadingKind, float | None]]:
    if kind is EntryKind.MEASURED:
        check_rises(body)
        return [(kind_, value) for kind_, _, value in _measured(body)]
    if kind is EntryKind.SEEN:
        signs = body.get("signs")
        said = signs if isinstance(signs, list | tuple) else ()
        words = {str(each).strip().casefold() for each in said}
        return [(each.kind, None) for each in KINDS.values() if each.signs & words]
    if kind is EntryKind.READING and "pour" in body:
        bounds.DISPLAY_G.check(body.get("display_g"), "display_g")
        return []
    return [_of_the_bench(body)] if kind is EntryKind.READING else []


def _of_the_bench(body: Mapping[str, Any]) -> tuple[ReadingKind, float | None]:
    said, value = body.get("reading"), body.get("value")
    if not isinstance(said, str) or said not in set(ReadingKind):
        expected = say("one of {known}", known=", ".join(ReadingKind))
        raise InputError("reading", repr(said), expected)
    known = KINDS[ReadingKind(said)]
    return known.kind, None if known.bound is None else known.bound.check(value, said)


def _measured(
    body: Mapping[str, Any],
) -> list[tuple[ReadingKind, tuple[Written, ...], float]]:
    return [
        (kind.kind, way, _way(kind, way, body))
        for kind in KINDS.values()
        for way in kind.ways
        if all(body.get(each.name) is not None for each in way)
    ]


def _way(kind: KindOfReading, way: tuple[Written, ...], body: Mapping[str, Any]) -> float:
    numbers = [each.bound.check(body[each.name], each.name) for each in way]
    if len(way) == 1:
        return numbers[0]
    assert kind.bound is not None
    now, then = numbers
    if then <= 0 or not kind.bound.holds(now / then):
        one, other = (each.name for each in way)
        names = say("{one} and {other}", one=one, other=other)
        expected = say("{names} that make {expected}", names=names, expected=kind.bound.expected)
        given = say("{one:g} and {other:g}", one=now, other=then)
        raise InputError(At(names, (f"{one} and {other}",)), given, expected)
    return now / then
