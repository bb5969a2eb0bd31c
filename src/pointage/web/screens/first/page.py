"""The pages of a kitchen that has only just been begun."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class FirstPage:
    """What a kitchen begins with. ways: what may come next, the first of them chosen."""

    template: ClassVar[str] = "first.html"
    frame: Frame
    fields: tuple[Field, ...]
    ways: tuple[Choice, ...]
    way: str
    error: str = ""


@dataclass(frozen=True, slots=True)
class BringPage:
    """A culture that is brought along. revision: of the kitchen's text that it is added to."""

    template: ClassVar[str] = "first_culture.html"
    frame: Frame
    fields: tuple[Field, ...]
    revision: int
    error: str = ""


@dataclass(frozen=True, slots=True)
class RoundPage:
    """The demonstration kitchen is being opened. error: it cannot be, or nothing."""

    template: ClassVar[str] = "first_round.html"
    frame: Frame
    error: str = ""
