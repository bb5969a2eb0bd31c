"""What the daybook holds, as frozen data: kitchens, formulas and entries.

An entry is written once and never changed. A correction is another entry: `withdrawn` names the
step or the entry it takes back.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from pointage.errors import At, InputError
from pointage.language import say


class EntryKind(StrEnum):
    """What an entry says."""

    PLAN = "plan"  # a plan was made; its body is the plan
    REPLANNED = "replanned"  # from then on a bake has another plan
    DONE = "done"  # a step of a plan was done
    READING = "reading"  # something was seen of a step: a rise, a temperature, "ripe"

    MIXED = "mixed"  # ingredients and mixtures were put together, in real grams
    HELD = "held"  # a mixture was put somewhere
    FED = "fed"  # a culture was refreshed
    POURED_OFF = "poured-off"  # some of a mixture was thrown away or given away
    MEASURED = "measured"  # a rise, a temperature, a pH or an acidity
    SEEN = "seen"
    CONFIRMED = "confirmed"  # what was read and does not fit was so
    SMELLED = "smelled"
    BAKED = "baked"
    WEIGHED = "weighed"
    TASTED = "tasted"
    PHOTO = "photo"
    NOTE = "note"
    RESCUED = "rescued"  # a bake that went too far goes on another way

    BOUGHT = "bought"  # stock came in
    COUNTED = "counted"  # stock was counted
    USED = "used"  # stock went out

    INGREDIENT = "ingredient"  # an ingredient of one's own was described

    CULTURE = "culture"  # a culture began, was split, renamed, retired or dried

    CORRECTED = "corrected"  # what another entry said was wrong; this is right
    WITHDRAWN = "withdrawn"  # what was said before no longer holds

    @classmethod
    def _missing_(cls, value: object) -> EntryKind | None:
        """A kind of a later version: kept under its own word, and used by nothing here."""
        if not isinstance(value, str):
            return None
        later = str.__new__(cls, value)
        later._name_ = later._value_ = value
        return later

    @property
    def is_known(self) -> bool:
        """Whether this version has a use for it."""
        return self.value in EntryKind._value2member_map_


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the daybook.

    id: a UUID made where the entry was written, so that sending it twice is harmless. happened:
    when it took place; arrived: when the store received it; both aware, kept in UTC. body: a JSON
    object. number: which change of its kitchen wrote it in this store, 0 before it is written; two
    entries that differ in it alone are the same. Raises InputError for an id that is no UUID, a
    naive time or a body JSON cannot hold.
    """

    id: str
    kitchen: str
    kind: EntryKind
    happened: datetime
    arrived: datetime
    author: str
    body: Mapping[str, Any]
    number: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        try:
            object.__setattr__(self, "id", str(UUID(self.id)))
        except ValueError:
            raise InputError(At(say("entry, id"), ("id",)), repr(self.id), say("a UUID")) from None
        for name in ("happened", "arrived"):
            instant: datetime = getattr(self, name)
            if instant.tzinfo is None:
                field = At(say("entry, {name}", name=name), (name,))
                raise InputError(field, instant.isoformat(), say("a time with its offset"))
            object.__setattr__(self, name, instant.astimezone(UTC))
        # What comes out of a store must equal what went in: tuples become lists here, not later.
        object.__setattr__(self, "body", json.loads(body_text(self.body)))


SEEN = ("after", "done")
"""What an amendment says of those before it, as its writer knew them: no part of what it says."""


def says_the_same(entry: Entry, kind: EntryKind, body: Mapping[str, Any]) -> bool:
    """Whether an entry already says this: then one sent with its identifier is there already.

    Neither instant is part of it, for a form sent again derives them again.
    """
    if kind not in (EntryKind.CORRECTED, EntryKind.WITHDRAWN):
        return (entry.kind, entry.body) == (kind, body)
    said, sent = (
        {name: value for name, value in each.items() if name not in SEEN}
        for each in (entry.body, body)
    )
    return entry.kind is kind and said == sent


def body_text(body: Mapping[str, Any]) -> str:
    """`body` as JSON text. Raises InputError for what JSON has no word for, such as NaN."""
    try:
        text = json.dumps(body, ensure_ascii=False, allow_nan=False)
        text.encode()  # half of a surrogate pair has no bytes
    except (TypeError, ValueError) as error:
        field = At(say("entry, body"), ("body",))
        raise InputError(field, say("this ({error})", error=error), say("a JSON object")) from None
    return text


@dataclass(frozen=True, slots=True)
class KitchenRecord:
    """A kitchen in the store: its name, its zone and its file as TOML text."""

    id: str
    name: str
    zone: str
    text: str


@dataclass(frozen=True, slots=True)
class KitchenText:
    """One revision of a kitchen; revisions count from 1. kept: when, or None if nobody noted it."""

    kitchen: str
    revision: int
    name: str
    zone: str
    text: str
    kept: datetime | None


@dataclass(frozen=True, slots=True)
class FormulaRecord:
    """One revision of a formula, as TOML text; revisions count from 1.

    kept: when, or None if nobody noted it.
    """

    kitchen: str
    slug: str
    revision: int
    text: str
    kept: datetime | None = None


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A kitchen's records of one moment.

    change: the last change that is in them. revision, kept: of the kitchen's text. formula_texts:
    how many its formulas have had. entries: those that were asked for, in no order.
    """

    change: int
    kitchen: KitchenRecord
    revision: int
    kept: datetime | None
    formula_texts: int
    formulas: list[FormulaRecord]
    entries: list[Entry]
