"""What was learned as bytes and back, figures to the last bit: JSON with arrays in base 64."""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from typing import Any

import numpy as np

from pointage.culture.vigour import Vigour, Window
from pointage.errors import PointageError
from pointage.heat.own_oven import OwnOven
from pointage.mixture.course import Band
from pointage.mixture.learning.observation import (
    Acidity,
    Fallen,
    MixtureTemperature,
    PeakedAt,
    RipeNow,
    Rise,
    TitratableAcidity,
    Titration,
)
from pointage.mixture.learning.scores import Score, Scores
from pointage.mixture.learning.update import Judged, Posterior
from pointage.mixture.traits import Traits

OF_ANSWERS = (
    Acidity, Band, Fallen, Judged, MixtureTemperature, OwnOven, PeakedAt, Posterior, RipeNow, Rise,
    Score, Scores, TitratableAcidity, Titration, Traits, Vigour, Window,
)  # fmt: skip
"""All that an answer is made of, beside figures, instants, arrays, tuples and mappings by name."""
KINDS: Mapping[str, Any] = {kind.__name__: kind for kind in OF_ANSWERS}
KIND, FLOATS, SHAPE, INSTANT, NAMED = "kind", "floats", "shape", "instant", "named"


def as_bytes(answer: object) -> bytes | None:
    """An answer as it is written; None for one with something of another kind in it."""
    try:
        return json.dumps(_plain(answer), separators=(",", ":")).encode()
    except TypeError:
        return None


def from_bytes(written: bytes) -> object:
    """The answer that was written; None for what is no such thing."""
    try:
        return _made(json.loads(written))
    except (ValueError, TypeError, KeyError, RecursionError, PointageError):
        return None


def _plain(it: object) -> object:
    if it is None or isinstance(it, str | int | float):
        return it
    if isinstance(it, tuple):
        return [_plain(each) for each in it]
    if isinstance(it, Mapping):
        return {NAMED: {str(name): _plain(each) for name, each in it.items()}}
    if isinstance(it, datetime) and it.tzinfo is UTC:
        return {INSTANT: it.isoformat()}
    if isinstance(it, np.ndarray) and it.dtype == np.float64:
        return {FLOATS: b64encode(it.tobytes()).decode(), SHAPE: it.shape}
    if is_dataclass(it) and KINDS.get(type(it).__name__) is type(it):
        return {KIND: type(it).__name__} | {
            each.name: _plain(getattr(it, each.name)) for each in fields(it)
        }
    raise TypeError(f"{type(it).__name__} is no part of an answer")


def _made(it: Any) -> Any:
    if isinstance(it, list):
        return tuple(_made(each) for each in it)
    if not isinstance(it, dict):
        return it
    if NAMED in it:
        return {name: _made(each) for name, each in it[NAMED].items()}
    if INSTANT in it:
        return datetime.fromisoformat(it[INSTANT])
    if FLOATS in it:
        # A copy, for the compiled kernel takes no array that cannot be written to.
        return np.frombuffer(b64decode(it[FLOATS]), np.float64).reshape(it[SHAPE]).copy()
    made = KINDS[it[KIND]]
    return made(**{name: _made(each) for name, each in it.items() if name != KIND})
