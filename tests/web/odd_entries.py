"""Entries as they may lie in a store and cannot be used, each with the field that is at fault."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from tests.web.stored_desk import NOW

from pointage.daybook.entry import EntryKind

K = EntryKind
EARLIER = NOW - timedelta(hours=2)
BAKE = "0c8cf9d3-4eb4-49b4-a51b-8ad53a6ad001"
NOWHERE = "0c8cf9d3-4eb4-49b4-a51b-8ad53a6ad002"
ABSENT = "0c8cf9d3-4eb4-49b4-a51b-8ad53a6ad003"
WATER = {"ingredient": "water", "grams": 50}


@dataclass(frozen=True)
class Odd:
    """An entry as it may lie in a store, and the first word of why it is set aside."""

    name: str
    kind: EntryKind
    body: dict[str, Any]
    field: str
    happened: datetime = EARLIER


def fed(*parts: object, **more: object) -> dict[str, Any]:
    return {"culture": "Gannet", "seed_g": 20, "parts": list(parts), **more}


ODD: tuple[Odd, ...] = (
    Odd("fed-no-flour", K.FED, fed({"ingredient": "rye-whole", "grams": 0}, WATER), "flour"),
    Odd("fed-water-as-flour", K.FED, fed(WATER), "flour"),
    Odd("fed-nothing", K.FED, {"culture": "Gannet"}, "parts"),
    Odd("fed-garbage", K.FED, fed("a", None, {"grams": "y"}, typed=5, remark={}), "remark"),
    Odd("fed-no-name", K.FED, {"culture": [7], "seed_g": 1, "parts": 5}, "culture"),
    Odd("baked-none", K.BAKED, {"bake": BAKE, "pieces": 0}, "pieces"),
    Odd("weighed-none", K.WEIGHED, {"bake": BAKE, "grams": 900, "pieces": 0}, "pieces"),
    Odd("weighed-nothing", K.WEIGHED, {}, "grams"),
    Odd("rise-of-90", K.MEASURED, {"culture": "Gannet", "mm": 900, "band_mm": 10}, "body"),
    Odd("rise-in-words", K.MEASURED, {"culture": "Gannet", "rise": "high"}, "rise"),
    Odd("split-100-kg", K.CULTURE,
        {"event": "split", "culture": "Big", "origin": "Gannet", "grams": 100_000}, "grams"),
    Odd("culture-of-nothing", K.CULTURE, {"event": 3}, "culture"),
    Odd("poured-off-1-kg", K.POURED_OFF, {"culture": "Gannet", "grams": 1000}, "grams"),
    Odd("unknown-kind", K("sung"), {"x": 1}, "kind"),
    Odd("plan-in-words", K.PLAN, {"plan": {"formula": 3, "pieces": "q"}}, "plan"),
    Odd("plan-as-list", K.PLAN, {"plan": [1, 2]}, "plan"),
    Odd("year-1", K.NOTE, {"text": "old"}, "happened", datetime(1, 1, 1, tzinfo=UTC)),
    Odd("year-9999", K.NOTE, {"text": "far"}, "happened", datetime(9999, 12, 31, 23, tzinfo=UTC)),
    Odd("reading-of-no-bake", K.READING,
        {"bake": NOWHERE, "step": "mix", "reading": "rise", "value": 1.5}, "bake"),
    Odd("reading-of-a-song", K.READING,
        {"bake": BAKE, "step": "mix", "reading": "song", "value": 1}, "reading"),
    Odd("pour-in-words", K.READING,
        {"bake": BAKE, "step": "mix", "pour": "a", "display_g": 1}, "pour"),
    Odd("reading-of-nothing", K.READING, {}, "bake"),
    Odd("note-of-nothing", K.NOTE, {"bake": BAKE, "step": "mix"}, "text"),
    Odd("smelled-nothing", K.SMELLED, {"bake": BAKE, "step": "mix"}, "signs"),
    Odd("seen-a-number", K.SEEN, {"signs": 5}, "signs"),
    Odd("photo-of-a-number", K.PHOTO, {"sha256": 5}, "sha256"),
    Odd("bought-garbage", K.BOUGHT, {"item": 5, "grams": "x", "price": "y"}, "item"),
    Odd("bought-nothing-known", K.BOUGHT, {"item": "sawdust", "grams": 5, "then": 1}, "item"),
    Odd("ingredient-like-none", K.INGREDIENT,
        {"ingredient": "dust-1", "name": "Dust", "like": "dust"}, "body"),
    Odd("held-nowhere", K.HELD, {"culture": "Gannet"}, "place"),
    Odd("tasted-endless", K.TASTED, {"crust": 1e308, "words": ["a"]}, "crust"),
    Odd("done-of-no-step", K.DONE, {"bake": BAKE, "step": "nosuch"}, "step"),
    Odd("done-of-no-bake", K.DONE, {"bake": 7, "step": [1]}, "bake"),
    Odd("done-of-nothing", K.DONE, {"bake": BAKE}, "step"),
    Odd("withdrawn-nothing", K.WITHDRAWN, {}, "bake"),
    Odd("withdrawn-nowhere", K.WITHDRAWN, {"entry": ABSENT}, "entry"),
    Odd("corrected-nowhere", K.CORRECTED, {"entry": ABSENT, "body": fed(WATER)}, "entry"),
    Odd("corrected-garbage", K.CORRECTED, {"entry": {}, "body": 5}, "entry"),
    Odd("measured-of-nobody", K.MEASURED, {"culture": "Nobody", "ph": 4}, "culture"),
    Odd("measured-like-nan", K.MEASURED, {"culture": "Gannet", "ph": "NaN"}, "ph"),
    Odd("baked-of-no-bake", K.BAKED, {"bake": NOWHERE, "pieces": 8}, "bake"),
)  # fmt: skip
