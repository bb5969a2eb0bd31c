"""What the daybook holds, as frozen data: kitchens, formulas and entries.

An entry is written once and never changed. A correction is another entry: `withdrawn` names the
step or the entry it takes back.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from pointage.errors import InputError


class EntryKind(StrEnum):
    """What an entry says."""

    PLAN = "plan"  # a plan was made; its body is the plan
    DONE = "done"  # a step of a plan was done
    READING = "reading"  # something was seen of a step: a rise, a temperature, "ripe"

    MIXED = "mixed"  # ingredients and mixtures were put together, in real grams
    HELD = "held"  # a mixture was put somewhere
    FED = "fed"  # a culture was refreshed
    POURED_OFF = "poured-off"  # some of a mixture was thrown away or given away
    MEASURED = "measured"  # a rise, a temperature, a pH or an acidity
    SEEN = "seen"
    SMELLED = "smelled"
    BAKED = "baked"
    WEIGHED = "weighed"
    TASTED = "tasted"
    PHOTO = "photo"
    NOTE = "note"

    BOUGHT = "bought"  # stock came in
    COUNTED = "counted"  # stock was counted
    USED = "used"  # stock went out

    CULTURE = "culture"  # a culture began, was split, renamed, retired or dried

    CORRECTED = "corrected"  # what another entry said was wrong; this is right
    WITHDRAWN = "withdrawn"  # what was said before no longer holds


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the daybook.

    id: a UUID made where the entry was written, so that sending it twice is harmless. happened:
    when it took place; arrived: when the store was told; both aware, kept in UTC. body: a JSON
    object. Raises InputError for an id that is no UUID, a naive time or a body JSON cannot hold.
    """

    id: str
    kitchen: str
    kind: EntryKind
    happened: datetime
    arrived: datetime
    author: str
    body: Mapping[str, Any]

    def __post_init__(self) -> None:
        try:
            object.__setattr__(self, "id", str(UUID(self.id)))
        except ValueError:
            raise InputError("entry, id", repr(self.id), "a UUID") from None
        for name in ("happened", "arrived"):
            instant: datetime = getattr(self, name)
            if instant.tzinfo is None:
                raise InputError(f"entry, {name}", instant.isoformat(), "a time with its offset")
            object.__setattr__(self, name, instant.astimezone(UTC))
        # What comes out of a store must equal what went in: tuples become lists here, not later.
        object.__setattr__(self, "body", json.loads(body_text(self.body)))


def body_text(body: Mapping[str, Any]) -> str:
    """`body` as JSON text. Raises InputError for what JSON has no word for, such as NaN."""
    try:
        text = json.dumps(body, ensure_ascii=False, allow_nan=False)
        text.encode()  # half of a surrogate pair has no bytes
    except (TypeError, ValueError) as error:
        raise InputError("entry, body", f"it ({error})", "a JSON object") from None
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
