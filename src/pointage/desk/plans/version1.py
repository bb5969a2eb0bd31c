"""Plans of version 1, as documents of version 2.

Version 1 was the program's own data: it had no number, named ingredients by their labels, and kept
titles and notes as sentences. The labels of its day are frozen in data/plan-v1-labels.toml, so that
a label may change. Its sentences are carried as they were written.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from pointage.data import load
from pointage.errors import InputError
from pointage.language import say

Json = Mapping[str, Any]

_PLAN = ("formula", "culture", "ready", "zone", "pieces", "piece_g", "status", "penalty", "bound")
_STEP = (
    "key", "kind", "start", "end", "hands", "place", "mixture", "grams", "pieces", "ripe_odds",
    "water_temperature_c", "mixture_temperature_c", "oven_temperature_c",
)  # fmt: skip
_STEP_COURSE = (
    "ripe_from", "ripe_until", "peak", "rise_at_end", "ph_at_end", "vessel", "full", "core_lag_h",
)  # fmt: skip
_CULTURE = (
    "name", "flours", "hydration", "mass_g", "seed_share", "fed", "warm_place", "warm_hours",
    "place",
)  # fmt: skip
_COLUMNS = ("temperature_c", "rise", "rise_p10", "rise_p90", "ph")
_STATES = ("ripe", "kept")
_NUMBERED = re.compile(r"(\d+) of (\d+)(?:, with the (.+))?$")
_MANNERS = {"Pour boiling water": "scald", "Divide and preshape": "preshape", "Shape into": "tin"}


def upgraded(body: Json) -> dict[str, Any]:
    """The document of version 2 that says what this one of version 1 says.

    Raises InputError for what is no plan at all; what only has a wrong value is refused by the
    shapes of version 2.
    """
    try:
        plan, wished = body["plan"], body["wished"]
        return {"plan": _plan(plan, wished), "wished": _wished(wished)}
    except (KeyError, TypeError, ValueError, AttributeError, IndexError):
        raise InputError("plan", say("this"), say("a plan as Pointage writes it")) from None


def _some(table: Json, names: Sequence[str]) -> dict[str, Any]:
    return {name: table[name] for name in names if name in table}


def _plan(plan: Json, wished: Json) -> dict[str, Any]:
    mixtures = {step.get("mixture") for step in plan["steps"]}
    names = _stage_names(wished["formula"])
    known = load("plan-v1-labels.toml")["cautions"]
    return _some(plan, (*_PLAN, "thread")) | {
        "steps": [_step(step, plan["culture"], mixtures, names) for step in plan["steps"]],
        "cautions": [
            {"code": known[text]} if text in known else _said(text)
            for text in plan.get("cautions", ())
        ],
    }


def _stage_names(formula: str) -> dict[str, str]:
    """The names of a formula's stages by themselves in small letters, as titles had them."""
    try:
        stages = tomllib.loads(formula).get("stage", ())
        return {stage["name"].lower(): stage["name"] for stage in stages}
    except (tomllib.TOMLDecodeError, KeyError, TypeError, AttributeError):
        return {}


def _step(step: Json, culture: str, mixtures: set[Any], names: Json) -> dict[str, Any]:
    ladder, standing = step.get("ladder"), step.get("standing")
    note = step.get("note")
    return (
        _some(step, _STEP)
        | _title(step["title"], step["key"], step["kind"], names)
        | {
            "ladder": ladder and _ladder(ladder, culture, mixtures),
            "standing": standing and _step_course(standing),
            "remarks": [_said(note)] if note else [],
        }
    )


def _title(title: str, key: str, kind: str, names: Json) -> dict[str, Any]:
    """What a title said that is now data of the step."""
    found: dict[str, Any] = {}
    numbered = _NUMBERED.search(title)
    if kind == "feed":
        found["number"] = 2 if title.endswith(" again") else 1
    elif kind in ("fold", "bake") and numbered:
        found = {"number": int(numbered[1]), "of": int(numbered[2])}
        added = numbered[3].split(" and the ") if numbered[3] else []
        found["added"] = [names.get(name, name) for name in added]
    for start, manner in _MANNERS.items():
        if title.startswith(start):
            found["manner"] = manner
    return found


def _ladder(ladder: Json, culture: str, mixtures: set[Any]) -> dict[str, Any]:
    pours = [
        _some(pour, ("grams", "display_g", "temperature_c"))
        | _called(pour["name"], culture, mixtures)
        for pour in ladder["pours"]
    ]
    return _some(ladder, ("vessel", "tare_g", "step_g")) | {"pours": pours}


def _called(label: str, culture: str, mixtures: set[Any]) -> dict[str, str]:
    """What a label names. What it names no more is carried with its text."""
    name, _, state = label.rpartition(", ")
    if not name or state not in _STATES:
        name, state = label, ""
    known = load("plan-v1-labels.toml")["ingredients"]
    if name == culture:
        return {"kind": "culture", "name": name, "state": state}
    if name in mixtures or state == "kept":
        return {"kind": "stage", "name": name, "state": state}
    if label in known:
        return {"kind": "ingredient", "name": known[label]}
    return {"kind": "unknown", "name": label}


def _step_course(standing: Json) -> dict[str, Any]:
    caution = standing.get("caution")
    return _some(standing, _STEP_COURSE) | {
        "course": _course(standing["rows"]),
        "caution": _said(caution) if caution else None,
    }


def _course(rows: Sequence[Json]) -> dict[str, Any]:
    if not rows:
        return {}
    instants = [datetime.fromisoformat(row["at"]) for row in rows]
    minutes = [(at - instants[0]) / timedelta(minutes=1) for at in instants]
    columns = {name: [row[name] for row in rows] for name in _COLUMNS}
    return {"start": rows[0]["at"], "minutes": minutes} | columns


def _wished(wished: Json) -> dict[str, Any]:
    found = _some(wished, ("formula", "kitchen", "since", "piece_g", "friction_k"))
    culture = wished.get("culture")
    if culture is not None:
        life = culture.get("life") or {}
        stands = [_some(each, ("fed", "places")) for each in life.get("stands", ())]
        found["culture"] = _some(culture, _CULTURE) | {"stands": stands}
    return found


def _said(text: str) -> dict[str, str]:
    return {"code": "author", "text": text}
