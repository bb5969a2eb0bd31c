"""The kitchen as it stands at an instant, in figures: what the pages show, for `pointage now`."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from pointage.culture.life import Life
from pointage.desk.answers import Bake, CultureNow
from pointage.desk.larder.view import View
from pointage.desk.now.bakes.bake import steps_left
from pointage.desk.now.present import Present
from pointage.desk.wording import title
from pointage.kitchen.kitchen import Place

KILO = 1000.0


def now_json(present: Present, now: datetime) -> dict[str, Any]:
    """The JSON object of `pointage now` (docs/now.md).

    Instants are ISO 8601 in the kitchen's zone. What the pages round is rounded as they do.
    """
    kitchen = present.kitchen
    zone = kitchen.zone
    shelves = View(present.ledger(now), kitchen, {}, now).shelves()
    return {
        "kitchen": kitchen.name,
        "zone": zone.key,
        "now": _iso(now, zone),
        "cultures": [_culture(present, life, now) for life in present.lives],
        "bakes": [_bake(bake, zone) for bake in present.in_hand(now)],
        "stock": [
            {
                "ingredient": each.ingredient,
                "label": each.label,
                "grams": round(float(each.stock_g), 1),
                "reserved_g": round(float(each.reserved_g), 1),
                "free_g": round(float(each.free_g), 1),
            }
            for each in shelves
        ],
        "set_aside": [
            {"what": each.what, "id": each.name, "reason": each.reason}
            for each in present.set_asides
        ],
        "places": [_place(each, now) for each in kitchen.places],
    }


def culture_json(present: Present, name: str, now: datetime) -> dict[str, Any]:
    """A culture as `pointage now` has it. Raises NotThere."""
    return _culture(present, present.life(name), now)


def state_of(life: Life) -> str:
    """living, empty (nothing is left in its jar), unfed, drying, dried, frozen or retired."""
    if life.state != "living":
        return life.state
    if life.is_empty:
        return "empty"
    return "living" if life.place is not None else "unfed"


def _culture(present: Present, life: Life, now: datetime) -> dict[str, Any]:
    zone = present.kitchen.zone
    found = next((each for each in present.kitchen.cultures if each.name == life.name), None)
    stands = None if found is None else present.culture_now(found, now)
    row = None if stands is None else stands.row(now)
    fed = life.last_fed
    return {
        "name": life.name,
        "state": state_of(life),
        "grams": _to_be_read(life.mass_g),
        "place": life.place,
        "fed": None if fed is None else _iso(fed.at, zone),
        "hydration": round(life.hydration, 2) if life.flours else None,
        "flours": _shares(life.flours),
        "rise": None if row is None else round(row.rise, 1),
        "ph": None if row is None else round(row.ph, 1),
        "holds_until": _holds_until(stands, zone),
    }


def _holds_until(stands: CultureNow | None, zone: ZoneInfo) -> str | None:
    until = None if stands is None else stands.holds_until
    return None if until is None else _iso(until, zone)


def _shares(flours: Mapping[str, float]) -> dict[str, float]:
    most_first = sorted(flours.items(), key=lambda each: -each[1])
    return {kind: round(share, 2) for kind, share in most_first}


def _bake(bake: Bake, zone: ZoneInfo) -> dict[str, Any]:
    following = next((step for step in steps_left(bake) if step.hands), None)
    return {
        "bake": bake.key,
        "formula": bake.plan.formula,
        "culture": bake.plan.culture,
        "pieces": bake.plan.pieces,
        "ready": _iso(bake.plan.ready, zone),
        "next": None
        if following is None
        else {
            "step": following.key,
            "kind": following.kind.value,
            "title": title(following),
            "start": _iso(following.start, zone),
            "end": _iso(following.end, zone),
        },
    }


def _place(place: Place, now: datetime) -> dict[str, Any]:
    celsius = float(place.surroundings.temperatures(now, np.zeros(1))[0])
    return {"name": place.name, "kind": place.kind.value, "temperature_c": round(celsius, 1)}


def _to_be_read(grams: float) -> float:
    """To 1 g, and from a kilogram on to 10 g: so finely a page says what is not to be weighed."""
    if grams < KILO:
        return float(round(grams))
    return float(round(KILO * round(grams / KILO, 2)))


def _iso(at: datetime, zone: ZoneInfo) -> str:
    return at.astimezone(zone).isoformat(timespec="minutes")
