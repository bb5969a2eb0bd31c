"""What sheets of a formula and of a new culture ask of a kitchen: its present, or a file alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from pointage.kitchen.friction import Friction, before_any_dough
from pointage.kitchen.kitchen import Kitchen

if TYPE_CHECKING:
    from pointage.mixture.flours import Flours


class PlainKitchen(Protocol):
    """A kitchen as it stands, as far as nothing recorded matters; a `Present` is one."""

    @property
    def file(self) -> Kitchen:
        """The kitchen as its file says."""

    @property
    def kitchen(self) -> Kitchen:
        """The kitchen as it stands."""

    @property
    def flours(self) -> Flours:
        """The figures of the flours in use."""

    def friction(self, minutes: float, dough_kg: float) -> Friction:
        """What mixing such a dough warms it by."""


@dataclass(frozen=True, slots=True)
class Unrecorded:
    """A kitchen's file of which nothing is recorded: it stands as the file says.

    The same as its present answers, without loading what replays a daybook.
    """

    file: Kitchen

    @property
    def kitchen(self) -> Kitchen:
        return self.file

    @property
    def flours(self) -> Flours:
        return self.file.flours

    def friction(self, minutes: float, dough_kg: float) -> Friction:
        return before_any_dough(self.file.gained_k(minutes, dough_kg))
