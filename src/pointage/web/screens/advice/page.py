"""What is wrong with a culture: one question at a time, and what it may be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class CauseNote:
    """A likely cause: its name with the odds, the evidence, what to do now, what to watch for, and
    when to give up, or empty."""

    title: str
    evidence: tuple[str, ...]
    do: str
    watch: str
    give_up: str


@dataclass(frozen=True, slots=True)
class TroublePage:
    """asks: the one question, empty where enough is known, with its answers. answered: what was
    said, each with the address that takes it back. known: what was not asked. error: what
    cannot be an answer, or empty."""

    template: ClassVar[str] = "trouble.html"
    frame: Frame
    back: Choice
    title: str
    known: str
    asks: str
    answers: tuple[Choice, ...]
    answered: tuple[Choice, ...]
    causes: tuple[CauseNote, ...]
    cautions: tuple[str, ...]
    error: str = ""
