"""What an entry's body may say, kind by kind, checked once where an entry is written.

What is in the store already is never checked again: a body of an old release is read for ever.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, create_model, model_validator

from pointage import bounds
from pointage.bounds import Bound
from pointage.daybook import edges as e
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import (
    MEASURED,
    check_readings,
    check_rises,
    rare,
)
from pointage.daybook.refusal import refusal
from pointage.daybook.typed import check_typed
from pointage.errors import MISSING, InputError
from pointage.formula.own.ingredient import OwnIngredient, check_own
from pointage.language import say
from pointage.timetable.why.signs import BreadSign

BOUND_OF: Mapping[str, Bound] = {
    **{name: written.bound for name, written in MEASURED.items()},
    "grams": bounds.WEIGHED_G,
    "seed_g": bounds.WEIGHED_G,
    "pack_g": bounds.WEIGHED_G,
    "tare_g": bounds.TARE_G,
    "pieces": bounds.PIECES,
    "minutes": bounds.BAKING_MIN,
    "oven_c": bounds.OVEN_C,
    "core_c": bounds.CORE_C,
    "crust": bounds.MARK,
    "crumb": bounds.MARK,
    "flavour": bounds.MARK,
    "sour": bounds.MARK,
    "keeping": bounds.MARK,
}
"""What each field of a body that holds a quantity can be."""

Grams = Annotated[float, e.within(bounds.WEIGHED_G)]
Tare = Annotated[float, e.within(bounds.TARE_G)]
MixtureC = Annotated[float, e.within(bounds.MIXTURE_C)]
IngredientC = Annotated[float, e.within(bounds.INGREDIENT_C)]
OvenC = Annotated[float, e.within(bounds.OVEN_C)]
CoreC = Annotated[float, e.within(bounds.CORE_C)]
Minutes = Annotated[float, e.within(bounds.BAKING_MIN)]
Pieces = Annotated[float, e.within(bounds.PIECES)]
Mark = Annotated[float, e.within(bounds.MARK)]
Percent = Annotated[float, e.within(bounds.FLOUR_PERCENT)]
Price = Annotated[float, e.within(bounds.PRICE)]


class EntryBody(BaseModel):
    """What every body may name: what it is about, and a remark.

    culture: by its name. bake and step: a plan's entry and the key of a step. mixture: the entry
    (mixed or fed) that made it. typed: by field, the value and unit of a quantity as they were
    typed.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    culture: e.Name | None = None
    bake: e.EntryId | None = None
    step: e.Name | None = None
    mixture: e.EntryId | None = None
    remark: e.Remark | None = None
    typed: dict[str, dict[str, str]] | None = None

    @model_validator(mode="after")
    def _is_as_typed(self) -> EntryBody:
        for name, typed in (self.typed or {}).items():
            if name not in type(self).model_fields or name not in BOUND_OF:
                raise e.refused(
                    say("as typed only what this entry says, not {name!r}", name=name[:40])
                )
            try:
                check_typed(typed, getattr(self, name), BOUND_OF[name], name)
            except InputError as error:
                raise e.refused(
                    say(
                        "{expected}, in what was typed for {name}",
                        expected=error.expected,
                        name=name,
                    )
                ) from None
        return self


class _Said(EntryBody):
    """A body that must say at least one of `_one_of`."""

    @model_validator(mode="after")
    def _says_something(self) -> _Said:
        one_of = list(self._needed())
        if all(getattr(self, name) is None for name in one_of):
            raise e.refused(say("at least one of {names}", names=", ".join(one_of)))
        return self

    def _needed(self) -> list[str]:
        return [name for name in type(self).model_fields if name not in EntryBody.model_fields]


class PartBody(BaseModel):
    """One part of a mix in real grams: an ingredient, a culture, or a mixture made before.

    lot: the entry (bought) it came out of.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    grams: Grams
    ingredient: e.Name | None = None
    culture: e.Name | None = None
    mixture: e.EntryId | None = None
    temperature_c: IngredientC | None = None
    lot: e.EntryId | None = None

    @model_validator(mode="after")
    def _is_one_thing(self) -> PartBody:
        if sum(each is not None for each in (self.ingredient, self.culture, self.mixture)) != 1:
            raise e.refused(say("one of ingredient, culture or mixture"))
        return self


class MixedBody(EntryBody):
    """temperature_c: of the mixture, just after. into: the vessel."""

    parts: tuple[PartBody, ...] = Field(min_length=1, max_length=60)
    temperature_c: MixtureC | None = None
    into: e.Name | None = None
    tare_g: Tare | None = None
    place: e.Name | None = None


class HeldBody(EntryBody):
    place: e.Name
    until: e.Instant | None = None
    into: e.Name | None = None
    lid: Literal["open", "loose", "tight"] | None = None


class FedBody(MixedBody):
    """seed_g: what was carried over of `culture`."""

    culture: e.Name
    seed_g: Grams


class PouredOffBody(EntryBody):
    grams: Grams
    to: Literal["waste", "kitchen", "given"] = "waste"


class _MeasuredBody(_Said):
    """What was read off a mixture, in one way or several: the fields of `readings.MEASURED`.

    rise: volume over the volume after mixing. mm with band_mm: the height now and that of the band
    put round the vessel after mixing. ml with mixed_ml: the level now and after mixing, by the
    vessel's own marks. tta_ml: titratable acidity as millilitres of 0.1 N (mol/l) sodium hydroxide
    that bring 10 g, stirred into water, to pH 8.5. room_c: the air beside it.
    """

    @model_validator(mode="after")
    def _is_a_rise(self) -> _MeasuredBody:
        try:
            check_rises({name: getattr(self, name) for name in MEASURED})
        except InputError as error:
            raise e.refused(error.expected) from None
        return self


_FIELDS: Any = {
    name: (Annotated[float, e.within(each.bound)] | None, None) for name, each in MEASURED.items()
}
Measured: type[_MeasuredBody] = create_model("Measured", __base__=_MeasuredBody, **_FIELDS)


class SensedBody(EntryBody):
    """Seen or smelled: signs in the words of a list or one's own."""

    signs: tuple[e.Name, ...] = Field(min_length=1, max_length=20)


class ConfirmedBody(EntryBody):
    """reading: the entry whose readings were so, however little they fit with the rest."""

    reading: e.EntryId


class BakedBody(_Said):
    """oven_c: what the oven stood at. core_c: inside the loaf at the end."""

    pieces: Pieces | None = None
    minutes: Minutes | None = None
    oven_c: OvenC | None = None
    core_c: CoreC | None = None
    steam: bool | None = None


class WeighedBody(EntryBody):
    """grams: of all `pieces` together, without the vessel."""

    grams: Grams
    pieces: Pieces = 1.0
    when: Literal["mixed", "divided", "baked", "cooled"] | None = None


class TastedBody(_Said):
    """Marks from 1 (poor) to 5 (as good as it gets), what the bread shows, and words."""

    crust: Mark | None = None
    crumb: Mark | None = None
    flavour: Mark | None = None
    sour: Mark | None = None
    keeping: Mark | None = None
    signs: tuple[BreadSign, ...] | None = Field(None, min_length=1, max_length=len(BreadSign))
    words: e.Remark | None = None


class PhotoBody(EntryBody):
    """sha256: of the photograph as the store keeps it."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    caption: e.Name | None = None


class NoteBody(EntryBody):
    text: e.Remark


class RescuedBody(EntryBody):
    """How a bake goes on that went too far: in tins, or as a smaller dough with all the levain.

    formula: its text as it is then. pours: of the smaller dough's mix, grams in the order of its
    ladder; water_c: of its water.
    """

    bake: e.EntryId
    step: e.Name
    way: Literal["tin", "more levain"]
    formula: e.Text
    pieces: Pieces | None = None
    pours: tuple[Grams, ...] | None = Field(None, min_length=1, max_length=60)
    water_c: IngredientC | None = None

    @model_validator(mode="after")
    def _is_whole(self) -> RescuedBody:
        if self.way == "more levain" and (self.pieces is None or self.pours is None):
            raise e.refused(say("pieces and pours, for more levain"))
        return self


class StockBody(EntryBody):
    """Used: taken out of the stores for anything but a recorded mix."""

    item: e.Name
    grams: Grams
    lot: e.EntryId | None = None


class CountedBody(StockBody):
    """What is there now, of the item or of one lot of it."""


class BoughtBody(StockBody):
    """price: for all of it, in `currency` (three letters). label: what the sack says of its lot.

    pack_g: of each pack, where it came in packs. place: where it is kept. Of a flour, as its mill's
    sheet says: moisture and protein in percent as bought, ash in percent of the dry matter, falling
    number in seconds, absorption in percent at 14 % moisture.
    """

    price: Price | None = None
    currency: str | None = Field(None, pattern=r"^[A-Z]{3}$")
    pack_g: Grams | None = None
    place: e.Name | None = None
    supplier: e.Name | None = None
    label: e.Name | None = None
    best_before: e.Day | None = None
    moisture: e.flour_figure("moisture") | None = None  # type: ignore[valid-type]
    protein: e.flour_figure("protein") | None = None  # type: ignore[valid-type]
    ash: e.flour_figure("ash") | None = None  # type: ignore[valid-type]
    falling_number: e.flour_figure("falling_number") | None = None  # type: ignore[valid-type]
    absorption: e.flour_figure("absorption") | None = None  # type: ignore[valid-type]


class IngredientBody(EntryBody):
    """What is known of an ingredient of one's own; what is left out nobody knows.

    ingredient: what formulas, stores and plans name it by. like: an ingredient of the package.
    water, protein: percent as bought; ash: percent of the dry matter. price: of a kilogram, in
    `currency`.
    """

    ingredient: e.Name
    name: e.Name
    like: e.Name
    water: Percent | None = None
    protein: Percent | None = None
    ash: Percent | None = None
    allergens: tuple[e.Name, ...] | None = None
    price: Price | None = None
    currency: str | None = Field(None, pattern=r"^[A-Z]{3}$")

    @model_validator(mode="after")
    def _is_one(self) -> IngredientBody:
        own = OwnIngredient(
            self.ingredient, self.name, self.like, self.water, self.protein, self.ash,
            self.allergens,
        )  # fmt: skip
        try:
            check_own(own)
        except InputError as error:
            raise e.refused(f"{error.faults[0].expected}") from None
        return self


class CultureBody(EntryBody):
    """origin: the culture it was split from, or the name it had before. flour, hydration, place: of
    one that is to be changed over, what it is to be; keep: the share kept at each feed."""

    event: Literal["began", "split", "renamed", "retired", "drying", "dried", "frozen", "changing"]
    culture: e.Name
    flour: str | None = None
    hydration: float | None = Field(None, ge=0.5, le=2.0)
    place: e.Name | None = None
    keep: float | None = Field(None, ge=0.01, le=0.9)
    origin: e.Name | None = None
    grams: Grams | None = None

    @model_validator(mode="after")
    def _comes_from_somewhere(self) -> CultureBody:
        if self.event in ("split", "renamed") and self.origin is None:
            raise e.refused(say("origin, the culture it was before"))
        return self


class CorrectedBody(BaseModel):
    """entry: what is put right, itself a correction or not. body: the whole of what is right.

    happened: when it really was; left out, that stays. why: a word on it. after: the last amendment
    of that entry which its writer knew of.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    entry: e.EntryId
    body: dict[str, Any]
    happened: e.Instant | None = None
    why: e.Remark | None = None
    after: e.EntryId | None = None


class WithdrawnBody(BaseModel):
    """entry: what does not hold, which may be a correction or another withdrawal.

    after: as of a correction.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    entry: e.EntryId
    why: e.Remark | None = None
    after: e.EntryId | None = None


BODIES: Mapping[EntryKind, type[BaseModel]] = {
    EntryKind.MIXED: MixedBody,
    EntryKind.HELD: HeldBody,
    EntryKind.FED: FedBody,
    EntryKind.POURED_OFF: PouredOffBody,
    EntryKind.MEASURED: Measured,
    EntryKind.SEEN: SensedBody,
    EntryKind.SMELLED: SensedBody,
    EntryKind.CONFIRMED: ConfirmedBody,
    EntryKind.BAKED: BakedBody,
    EntryKind.WEIGHED: WeighedBody,
    EntryKind.TASTED: TastedBody,
    EntryKind.PHOTO: PhotoBody,
    EntryKind.NOTE: NoteBody,
    EntryKind.RESCUED: RescuedBody,
    EntryKind.BOUGHT: BoughtBody,
    EntryKind.COUNTED: CountedBody,
    EntryKind.USED: StockBody,
    EntryKind.INGREDIENT: IngredientBody,
    EntryKind.CULTURE: CultureBody,
    EntryKind.CORRECTED: CorrectedBody,
    EntryKind.WITHDRAWN: WithdrawnBody,
}
"""The kinds that anyone may write down. Plans, "done" and readings of a step are the desk's own."""

EARLIEST, LATEST = datetime(1970, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)


def checked(kind: EntryKind, body: Mapping[str, Any]) -> dict[str, Any]:
    """`body` as it will be kept: its values tidied, what is empty left out.

    Raises InputError naming each field that cannot be used, and what would be right.
    """
    if kind not in BODIES:
        raise InputError("kind", repr(kind.value), say("one of {known}", known=", ".join(BODIES)))
    found = _read(kind, body, "forbid")
    try:
        return found.model_dump(mode="json", exclude_none=True)
    except ValueError:  # what corrects another entry has a body of its own
        raise InputError(
            "body", say("brackets nested too deep"), say("values nested a few levels at most")
        ) from None


def _read(
    kind: EntryKind, body: Mapping[str, Any], extra: Literal["ignore", "forbid"]
) -> BaseModel:
    try:
        return BODIES[kind].model_validate(body, extra=extra)
    except ValidationError as error:
        raise refusal(error) from None


def usable(entry: Entry) -> None:
    """Raises InputError for an entry that says nothing this version can use, naming the field.

    What is in the store was checked when it was written, by whatever wrote it: an old release, an
    import, or a later release whose words are not known here.
    """
    if not entry.kind.is_known:
        raise InputError(
            "kind", repr(entry.kind.value), say("a kind of entry that this version knows")
        )
    if not EARLIEST <= entry.happened <= LATEST:
        shown = entry.happened.isoformat(timespec="minutes")
        expected = say("a time from {first} to {last}", first=EARLIEST.year, last=LATEST.year)
        raise InputError("happened", shown, expected)
    checked_body(entry)


def checked_body(entry: Entry) -> None:
    """Raises InputError for a body that this version cannot read, naming the field.

    Words that it does not know stand beside those that it does: a later version wrote them.
    """
    # "Not done after all" and "given up" are withdrawals that name a step or a bake, not an entry.
    of_a_bake = entry.kind is EntryKind.WITHDRAWN and "entry" not in entry.body
    if entry.kind in BODIES and not of_a_bake:
        _read(entry.kind, entry.body, "ignore")
    elif entry.kind is not EntryKind.PLAN and not isinstance(entry.body.get("bake"), str):
        raise InputError("bake", MISSING, say("the bake it is about"))
    elif entry.kind in (EntryKind.DONE, EntryKind.READING) and "step" not in entry.body:
        raise InputError("step", MISSING, say("the step of the bake"))
    pour = entry.body.get("pour") if entry.kind is EntryKind.READING else None
    if pour is not None and (isinstance(pour, bool) or not isinstance(pour, int)):
        raise InputError("pour", repr(pour), say("the number of a pour"))
    check_readings(entry)


def doubts_of(kind: EntryKind, body: Mapping[str, Any]) -> list[str]:
    """The lines that ask about what is possible and unusual in a body, each of one value."""
    found = rare(kind, body)
    for name, bound in BOUND_OF.items():
        line = None if name in MEASURED else bound.doubt(body.get(name))
        found += [] if line is None else [line]
    return found
