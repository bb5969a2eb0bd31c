"""Skerry Hall and its formulas for the tests of the timetable, and a bake planned there."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from tests.remembered import remembered

from pointage.desk.bakes.plan import plan_bake
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.occupied import Occupied
from pointage.timetable.plan import Plan, Step

DUBLIN = ZoneInfo("Europe/Dublin")
NOW = datetime(2026, 11, 25, 9, tzinfo=UTC)  # a Wednesday
SATURDAY = datetime(2026, 11, 28, 9, tzinfo=UTC)
SLUGS = ("harbour-loaf", "seeded-rolls", "tinned-rye", "sunday-spelt")


def kitchen(now: datetime = NOW, *changes: tuple[str, str]) -> Kitchen:
    """Skerry Hall, with pieces of its file's text changed."""
    text = demonstration_text()
    for old, new in changes:
        assert old in text, f"the kitchen's file has no {old!r} to change"
        text = text.replace(old, new)
    return read_kitchen(text, now)


@cache
def formula(slug: str) -> Formula:
    return read_formula(demonstration_formulas()[slug], f"{slug}.toml")


@cache
def written(slug: str) -> dict[str, Any]:
    """The formula's file as TOML has it, so that a test need not trust how we read it."""
    return tomllib.loads(demonstration_formulas()[slug])


@cache
def planned(
    slug: str,
    ready: datetime = SATURDAY,
    *,
    now: datetime = NOW,
    pieces: int | None = None,
    changes: tuple[tuple[str, str], ...] = (),
    occupied: tuple[Occupied, ...] = (),
) -> Plan:
    """The plan of a demonstration formula; each is made once for all tests."""
    found: Plan = remembered.of(plan_bake)(
        formula(slug),
        kitchen(now, *changes),
        ready,
        now,
        pieces=pieces,
        occupied=occupied,
    )
    return found


def step(plan: Plan, key: str) -> Step:
    return next(each for each in plan.steps if each.key == key)


def of_kind(plan: Plan, *kinds: str) -> list[Step]:
    """The steps of some kinds, in the order of their start."""
    return [each for each in plan.steps if each.kind in kinds]


def minutes(text: str) -> float:
    """ "20min" and "3h" of a formula's file."""
    return float(text[:-3]) if text.endswith("min") else 60 * float(text.removesuffix("h"))
