"""A loaf in the oven."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Drawing, Frame


@dataclass(frozen=True, slots=True)
class BakedAnswer:
    """What the oven does. rows: minute, core, crust and weight, ready to print."""

    minutes: str
    until: str
    facts: tuple[tuple[str, str], ...]
    curve: Drawing
    rows: tuple[tuple[str, str, str, str], ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OvenPage:
    """The form and its answer. wrong: what cannot be used, a line each; then there is no answer.

    first, others: the fields that every bake wants, and those that have a usual value.
    """

    template: ClassVar[str] = "oven.html"
    frame: Frame
    first: tuple[Field, ...]
    others: tuple[Field, ...]
    opened: bool
    where: str
    wrong: tuple[str, ...]
    baked: BakedAnswer | None
    caution: str
