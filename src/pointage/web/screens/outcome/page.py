"""One bake: what is to do and stands; how it came out, and why it may be so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame
from pointage.web.screens.bench.page import BenchPage


@dataclass(frozen=True, slots=True)
class Ticked:
    """One sign to tick. on: it is ticked."""

    value: str
    text: str
    on: bool


@dataclass(frozen=True, slots=True)
class LikelyCause:
    """One cause. odds: in words. evidence: what speaks for it. change: what to do next time.
    varied: the change of the formula that answers it, or empty; kind: of the cause, for a form."""

    title: str
    odds: str
    evidence: str
    change: str
    kind: str = ""
    varied: str = ""


@dataclass(frozen=True, slots=True)
class OutcomePage:
    """said: what was recorded of it already, or empty. pending: causes are being worked out.

    practice: what usually makes each sign, where nothing in the record does. bench: what is to do
    and what stands, while it is in hand. out: it is out of the oven, or should be.
    """

    template: ClassVar[str] = "outcome.html"
    frame: Frame
    title: str
    baked: str
    path: str
    key: str
    signs: tuple[Ticked, ...]
    fields: tuple[Field, ...]
    error: str
    said: str
    causes: tuple[LikelyCause, ...]
    practice: tuple[str, ...]
    pending: str
    onward: tuple[Choice, ...]
    bench: BenchPage | None = None
    out: bool = True
