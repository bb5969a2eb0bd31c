"""A form that writes, as it is sent."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from tests.whole.hall import Hall


@dataclass(frozen=True, slots=True)
class Form:
    """A form as it is sent, again with the same fields if need be.

    took_effect: whether what it says holds. adds: how many records of each sort it makes. again:
    the answers that also say that it is there already, to a form without an identifier.

    Of a form that writes a document: beside, a form of another tab from the same revision, for
    something else in it; against, one for the same, so that only one of the two can hold; refused:
    how the second of these is answered.
    """

    path: str
    fields: Mapping[str, str]
    took_effect: Callable[[Hall], bool]
    adds: Mapping[str, int] = field(default_factory=lambda: {"entry": 1})
    files: Mapping[str, tuple[str, bytes]] | None = None
    headers: Mapping[str, str] = field(default_factory=dict)
    again: frozenset[int] = frozenset()
    beside: Form | None = None
    against: Form | None = None
    refused: int = 409
    alike: bool = False

    @property
    def writes_a_document(self) -> bool:
        return not self.alike and not {"kitchen_text", "formula"}.isdisjoint(self.adds)
