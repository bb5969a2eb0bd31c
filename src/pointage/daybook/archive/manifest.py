"""What an archive says of itself, and of each record in it: one model for each published schema.

`data/schemas` has the same in JSON Schema, for whoever reads an archive without this program.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from math import isfinite
from typing import Annotated, Any, Literal, NoReturn, TypeVar

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    ValidationError,
    field_validator,
)

from pointage.daybook.store.sensors import SensorKind
from pointage.language import say

FORMAT = "pointage-archive"
VERSION = 3
"""Goes up whenever an older reader would lose something: a new kind of entry, a new field."""

LISTS = ("kitchens.jsonl", "formulas.jsonl", "photos.jsonl", "sensors.jsonl", "entries.jsonl")
SCHEMAS = ("manifest", "kitchen", "formula", "photo", "sensor", "entry")
BODY_SCHEMAS = ("plan",)
"""Of what an entry's body may be; the store keeps one as it came."""
EXTENSIONS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}

DEEPEST = 100
"""How deep the values of a line may lie in each other; what lies deeper, no page could print."""

INSTANT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{6})?Z", re.ASCII)


class Malformed(Exception):  # noqa: N818 - it is caught where the place is known
    """A text that is not what its schema says: `str` is the end of a sentence."""


def instant_text(at: datetime) -> str:
    """An aware instant as an archive writes it."""
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _instant(value: Any) -> Any:
    """The instant of a text that has the archive's own form; all else is left to be refused."""
    if isinstance(value, str) and INSTANT.fullmatch(value):
        return datetime.fromisoformat(value)
    if isinstance(value, datetime):
        return value
    raise ValueError(say("a time such as 2026-11-25T12:00:00Z is expected"))


Instant = Annotated[
    datetime,
    BeforeValidator(_instant),
    PlainSerializer(instant_text, return_type=str, when_used="json"),
]
Count = Annotated[int, Field(ge=0, strict=True)]
Revision = Annotated[int, Field(ge=1, le=2**31 - 1, strict=True)]
Number = Annotated[int, Field(ge=1, le=2**31 - 1, strict=True)]
Id = Annotated[str, Field(min_length=1)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Path = Annotated[str, Field(pattern=r"^[A-Za-z0-9._%~-]+(/[A-Za-z0-9._%~-]+)*$")]


class ArchiveLine(BaseModel):
    """A record of an archive."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @field_validator("*")
    @classmethod
    def _is_text(cls, value: Any) -> Any:
        if isinstance(value, str) and "\0" in value:  # which PostgreSQL keeps in no text
            raise ValueError(say("a text has no zero byte"))
        return value


LineOf = TypeVar("LineOf", bound=ArchiveLine)


class ArchiveCounts(ArchiveLine):
    """How many of each there are. Texts count the earlier ones too."""

    kitchens: Count
    kitchen_texts: Count
    formulas: Count
    formula_texts: Count
    entries: Count
    photos: Count
    sensors: Count
    samples: Count


def counted(found: Mapping[str, int]) -> ArchiveCounts:
    """The counts that were found, and nothing of the rest."""
    return ArchiveCounts(**{name: found.get(name, 0) for name in ArchiveCounts.model_fields})


class Member(ArchiveLine):
    """A file in the archive: its size in bytes and the SHA-256 of its content."""

    path: Path
    size: Count
    sha256: Sha256


class Manifest(ArchiveLine):
    """The member manifest.json."""

    format: Literal["pointage-archive"]
    version: Annotated[int, Field(ge=1, le=VERSION, strict=True)]
    program: Annotated[str, Field(min_length=1)]
    made: Instant
    counts: ArchiveCounts
    members: tuple[Member, ...]


class KitchenLine(ArchiveLine):
    kitchen: Id
    revision: Revision
    name: str
    zone: str
    kept: Instant | None
    file: Annotated[str, Field(pattern="^kitchens/")]


class FormulaLine(ArchiveLine):
    kitchen: Id
    slug: Id
    revision: Revision
    kept: Instant | None
    file: Annotated[str, Field(pattern="^kitchens/")]


class PhotoLine(ArchiveLine):
    kitchen: Id
    sha256: Sha256
    media_type: Literal["image/jpeg", "image/png", "image/webp"]
    file: Annotated[str, Field(pattern="^photos/")]


class SensorLine(ArchiveLine):
    id: Id
    kitchen: Id
    name: Id
    kind: SensorKind
    place: str
    samples: Count
    file: Annotated[str, Field(pattern="^samples/")]


class EntryLine(ArchiveLine):
    """kind: also one that this version does not know, which is kept and set aside.

    number: its place in the order in which the store wrote the kitchen's entries, from 1.

    What was written together has one number. 0 where an archive says none: a version before 3.
    """

    id: Annotated[str, Field(pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")]
    kitchen: Id
    kind: Id
    happened: Instant
    arrived: Instant
    author: str
    body: dict[str, Any]
    number: Number = 0


def line_text(record: ArchiveLine) -> bytes:
    """A record as a line of JSON, its keys in a fixed order."""
    return json_text(record.model_dump(mode="json")) + b"\n"


def json_text(value: Mapping[str, Any]) -> bytes:
    """JSON without blanks, in UTF-8."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


def read_json(text: bytes) -> dict[str, Any]:
    """The object that `text` holds. Raises Malformed."""
    try:
        found = json.loads(
            text.decode(),
            parse_float=_number,
            parse_constant=_no_number,
            object_pairs_hook=_once,
        )
        if b"\\u" in text:
            json.dumps(found, ensure_ascii=False).encode()  # half of a surrogate pair has no bytes
    except UnicodeError:
        raise Malformed(say("it is not UTF-8")) from None
    except json.JSONDecodeError as error:
        raise Malformed(
            say(
                "it is not JSON ({reason} at column {column})",
                reason=error.msg.lower(),
                column=error.colno,
            )
        ) from None
    except (ValueError, RecursionError) as error:
        raise Malformed(say("it is not JSON ({error})", error=error)) from None
    if not isinstance(found, dict):
        raise Malformed(say("it is no JSON object"))
    if text.count(b"{") + text.count(b"[") > DEEPEST and _depth(found) > DEEPEST:
        raise Malformed(say("its values lie more than {count} deep in each other", count=DEEPEST))
    return found


def read_line(kind: type[LineOf], found: Mapping[str, Any]) -> LineOf:
    """The record that JSON says. Raises Malformed, naming the first field that cannot be used."""
    try:
        return kind.model_validate(found)
    except ValidationError as error:
        first = error.errors()[0]
        field = ", ".join(str(each) for each in first["loc"])
        what = first["msg"].removeprefix("Value error, ")
        raise Malformed(f"{field}: {what[:1].lower()}{what[1:]}") from None


def _number(text: str) -> float:
    found = float(text)
    return found if isfinite(found) else _no_number(text)


def _no_number(name: str) -> NoReturn:
    raise ValueError(say("{name} is no number", name=name))


def _depth(value: Any) -> int:
    depth, level = 0, [value]
    while level:
        depth += 1
        inner = (each.values() if isinstance(each, dict) else each for each in level)
        level = [value for each in inner for value in each if isinstance(value, dict | list)]
    return depth


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError(say("a name appears twice in one object"))
    return found
