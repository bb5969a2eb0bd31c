"""What a plan was made from, in its document: the texts, and the culture as it stood."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from pydantic import Field, FiniteFloat, model_validator

from pointage.bounds import PIECE_G
from pointage.culture.life import Fed, FeedStand, Life
from pointage.desk.answers import Wished
from pointage.desk.plans.edges import (
    CoreShape,
    Grams,
    Instant,
    Name,
)
from pointage.kitchen.culture_state import remembered
from pointage.kitchen.kitchen import CultureAtHand
from pointage.mixture.flours import FlourFigures
from pointage.timetable.pin import Pin
from pointage.timetable.plan import StepKind


class FedShape(CoreShape):
    _of = Fed

    at: Instant
    seed_g: Grams
    flours_g: dict[str, Grams]
    water_g: Grams
    celsius: FiniteFloat | None = None
    place: str | None = None
    for_bake: bool = False


class StandShape(CoreShape):
    _of = FeedStand

    fed: FedShape
    places: tuple[tuple[Instant, Name], ...] = ()
    assumed: bool = False
    bake: str = ""
    stated: bool = False


class CultureShape(CoreShape):
    """A culture as it stood. stands: the feeds of its life that its state follows from, if any."""

    name: Name
    flours: dict[str, Grams]
    hydration: FiniteFloat = Field(gt=0)
    mass_g: Grams
    seed_share: Grams
    fed: Instant
    warm_place: str
    warm_hours: Grams
    place: str
    stands: tuple[StandShape, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _of_a_life(cls, value: Any) -> Any:
        if not isinstance(value, CultureAtHand):
            return value
        rest = {name: getattr(value, name) for name in cls.model_fields if name != "stands"}
        lived = value.life is not None and value.life.stands
        return rest | {"stands": tuple(remembered(value)) if lived else ()}

    def made(self) -> CultureAtHand:
        rest = {name: getattr(self, name) for name in type(self).model_fields if name != "stands"}
        return CultureAtHand(**rest, life=self._life() if self.stands else None)

    def _life(self) -> Life:
        """Its life as far as its state follows from it: not what it was taken for before."""
        stands: tuple[FeedStand, ...] = tuple(each.made() for each in self.stands)
        return Life(
            name=self.name,
            began=stands[0].fed.at,
            flours=self.flours,
            hydration=self.hydration,
            mass_g=self.mass_g,
            stands=stands,
            names=(self.name,),
        )


class FiguresShape(CoreShape):
    _of = FlourFigures

    moisture: FiniteFloat | None = None
    protein: FiniteFloat | None = None
    ash: FiniteFloat | None = None
    falling_number: FiniteFloat | None = None
    absorption: FiniteFloat | None = None
    label: str = ""


class PinShape(CoreShape):
    _of = Pin

    kind: StepKind
    at: Instant
    number: int = Field(1, ge=1)


class WishedShape(CoreShape):
    """piece_g: exact, a number or a fraction as text."""

    _of = Wished

    formula: str
    kitchen: str
    since: Instant
    piece_g: Fraction = Field(gt=0, le=int(PIECE_G.high))
    culture: CultureShape | None = None
    friction_k: FiniteFloat | None = None
    flours: dict[str, FiguresShape] = Field(default_factory=dict)
    lean: dict[str, str] = Field(default_factory=dict)
    held: PinShape | None = None

    def made(self) -> Wished:
        found: Wished = super().made()
        return replace(found, flours={kind: each.made() for kind, each in self.flours.items()})
