"""What plans, and sheets of formulas and new cultures, ask of a kitchen: its present, or a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

from pointage.desk.planner.planner import HERE, Planner
from pointage.kitchen.friction import Friction, before_any_dough
from pointage.kitchen.kitchen import Kitchen

if TYPE_CHECKING:
    from pointage.desk.answers import Bake
    from pointage.mixture.flours import Flours
    from pointage.mixture.learning.update import Posterior


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

    @property
    def planner(self) -> Planner:
        """Who solves what is planned in it."""

    def friction(self, minutes: float, dough_kg: float) -> Friction:
        """What mixing such a dough warms it by."""

    def in_hand(self, now: datetime) -> Sequence[Bake]:
        """The bakes under way or still to come."""

    def believed(self, culture: str) -> Posterior | None:
        """What is believed of a culture, however long that takes; None where nothing was seen."""


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

    @property
    def planner(self) -> Planner:
        return HERE

    def friction(self, minutes: float, dough_kg: float) -> Friction:
        return before_any_dough(self.file.gained_k(minutes, dough_kg))

    def in_hand(self, now: datetime) -> Sequence[Bake]:
        return ()

    def believed(self, culture: str) -> Posterior | None:
        return None
