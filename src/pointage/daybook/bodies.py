"""What an entry's body may say, kind by kind, checked once where an entry is written.

What is in the store already is never checked again: a body of an old release is read for ever.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from pointage.daybook import edges as e
from pointage.daybook.entry import EntryKind
from pointage.errors import InputError


class Body(BaseModel):
    """What every body may name: what it is about, and a remark.

    culture: by its name. bake and step: a plan's entry and the key of a step. mixture: the entry
    (mixed or fed) that made it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    culture: e.Name | None = None
    bake: e.EntryId | None = None
    step: e.Name | None = None
    mixture: e.EntryId | None = None
    remark: e.Remark | None = None


class _Said(Body):
    """A body that must say at least one of `_one_of`."""

    @model_validator(mode="after")
    def _says_something(self) -> _Said:
        one_of = list(self._needed())
        if all(getattr(self, name) is None for name in one_of):
            raise e.refused(f"at least one of {', '.join(one_of)}")
        return self

    def _needed(self) -> list[str]:
        return [name for name in type(self).model_fields if name not in Body.model_fields]


class Part(BaseModel):
    """One part of a mix in real grams: an ingredient, a culture, or a mixture made before.

    lot: the entry (bought) it came out of.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    grams: e.Grams
    ingredient: e.Name | None = None
    culture: e.Name | None = None
    mixture: e.EntryId | None = None
    temperature_c: e.PartC | None = None
    lot: e.EntryId | None = None

    @model_validator(mode="after")
    def _is_one_thing(self) -> Part:
        if sum(each is not None for each in (self.ingredient, self.culture, self.mixture)) != 1:
            raise e.refused("one of ingredient, culture or mixture")
        return self


class Mixed(Body):
    """temperature_c: of the mixture, just after. into: the vessel."""

    parts: tuple[Part, ...] = Field(min_length=1, max_length=60)
    temperature_c: e.MixtureC | None = None
    into: e.Name | None = None
    tare_g: e.Grams | None = None
    place: e.Name | None = None


class Held(Body):
    place: e.Name
    until: e.Instant | None = None
    into: e.Name | None = None
    lid: Literal["open", "loose", "tight"] | None = None


class Fed(Mixed):
    """seed_g: what was carried over of `culture`."""

    culture: e.Name
    seed_g: e.Grams


class PouredOff(Body):
    grams: e.Grams
    to: Literal["waste", "kitchen", "given"] = "waste"


class Measured(_Said):
    """What was read off a mixture, in one way or several.

    rise: volume over the volume after mixing. mm with band_mm: the height now and that of the band
    put round the vessel after mixing. ml with mixed_ml: the level now and after mixing, by the
    vessel's own marks. tta_ml: titratable acidity as millilitres of 0.1 N (mol/l) sodium hydroxide
    that bring 10 g, stirred into water, to pH 8.5. room_c: the air beside it.
    """

    rise: e.Rise | None = None
    mm: e.Millimetres | None = None
    band_mm: e.Millimetres | None = None
    ml: e.Millilitres | None = None
    mixed_ml: e.Millilitres | None = None
    temperature_c: e.MixtureC | None = None
    room_c: e.MixtureC | None = None
    ph: e.Acidity | None = None
    tta_ml: e.TitratableMl | None = None

    @model_validator(mode="after")
    def _is_a_rise(self) -> Measured:
        for now, then in (("mm", "band_mm"), ("ml", "mixed_ml")):
            top, foot = getattr(self, now), getattr(self, then)
            if (top is None) != (foot is None):
                raise e.refused(f"{now} and {then} together")
            if top is not None and not (foot > 0 and 0.3 <= top / foot <= 10.0):
                raise e.refused(f"{now} from 0.3 to 10 times {then}")
        return self

    def rises(self) -> list[float]:
        """The rise in each way it was read."""
        found = [] if self.rise is None else [self.rise]
        found += [self.mm / self.band_mm] if self.mm and self.band_mm else []
        return found + ([self.ml / self.mixed_ml] if self.ml and self.mixed_ml else [])


class Sensed(Body):
    """Seen or smelled: signs in the words of a list or one's own."""

    signs: tuple[e.Name, ...] = Field(min_length=1, max_length=20)


class Baked(_Said):
    """oven_c: what the oven stood at. core_c: inside the loaf at the end."""

    pieces: e.Pieces | None = None
    minutes: e.Minutes | None = None
    oven_c: e.OvenC | None = None
    core_c: e.CoreC | None = None
    steam: bool | None = None


class Weighed(Body):
    """grams: of all `pieces` together, without the vessel."""

    grams: e.Grams
    pieces: e.Pieces = 1.0
    when: Literal["mixed", "divided", "baked", "cooled"] | None = None


class Tasted(_Said):
    """Marks from 1 (poor) to 5 (as good as it gets), and words."""

    crust: e.Mark | None = None
    crumb: e.Mark | None = None
    flavour: e.Mark | None = None
    sour: e.Mark | None = None
    keeping: e.Mark | None = None
    words: e.Remark | None = None


class Photo(Body):
    """sha256: of the photograph as the store keeps it."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    caption: e.Name | None = None


class Note(Body):
    text: e.Remark


class Stock(Body):
    """Used: taken out of the stores for something that no mix tells of."""

    item: e.Name
    grams: e.Grams
    lot: e.EntryId | None = None


class Counted(Stock):
    """What is there now, of the item or of one lot of it."""


class Bought(Stock):
    """price: for all of it, in `currency` (three letters). label: what the sack says of its lot.

    pack_g: of each pack, where it came in packs. place: where it is kept. Of a flour, as its mill's
    sheet says: moisture and protein in percent as bought, ash in percent of the dry matter, falling
    number in seconds, absorption in percent at 14 % moisture.
    """

    price: e.between(0.0, 1e6, "a price from 0 to 1000000") | None = None  # type: ignore[valid-type]
    currency: str | None = Field(None, pattern=r"^[A-Z]{3}$")
    pack_g: e.Grams | None = None
    place: e.Name | None = None
    supplier: e.Name | None = None
    label: e.Name | None = None
    best_before: e.Day | None = None
    moisture: e.flour_figure("moisture") | None = None  # type: ignore[valid-type]
    protein: e.flour_figure("protein") | None = None  # type: ignore[valid-type]
    ash: e.flour_figure("ash") | None = None  # type: ignore[valid-type]
    falling_number: e.flour_figure("falling_number") | None = None  # type: ignore[valid-type]
    absorption: e.flour_figure("absorption") | None = None  # type: ignore[valid-type]


class CultureEvent(Body):
    """origin: the culture it was split from, or the name it had before."""

    event: Literal["began", "split", "renamed", "retired", "dried"]
    culture: e.Name
    origin: e.Name | None = None
    grams: e.Grams | None = None

    @model_validator(mode="after")
    def _comes_from_somewhere(self) -> CultureEvent:
        if self.event in ("split", "renamed") and self.origin is None:
            raise e.refused("origin, the culture it was before")
        return self


class Corrected(BaseModel):
    """entry: what is put right, itself a correction or not. body: the whole of what is right.

    happened: when it really was; left out, that stays. why: a word on it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    entry: e.EntryId
    body: dict[str, Any]
    happened: e.Instant | None = None
    why: e.Remark | None = None


class Withdrawn(BaseModel):
    """entry: what does not hold, which may be a correction or another withdrawal."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    entry: e.EntryId
    why: e.Remark | None = None


BODIES: Mapping[EntryKind, type[BaseModel]] = {
    EntryKind.MIXED: Mixed,
    EntryKind.HELD: Held,
    EntryKind.FED: Fed,
    EntryKind.POURED_OFF: PouredOff,
    EntryKind.MEASURED: Measured,
    EntryKind.SEEN: Sensed,
    EntryKind.SMELLED: Sensed,
    EntryKind.BAKED: Baked,
    EntryKind.WEIGHED: Weighed,
    EntryKind.TASTED: Tasted,
    EntryKind.PHOTO: Photo,
    EntryKind.NOTE: Note,
    EntryKind.BOUGHT: Bought,
    EntryKind.COUNTED: Counted,
    EntryKind.USED: Stock,
    EntryKind.CULTURE: CultureEvent,
    EntryKind.CORRECTED: Corrected,
    EntryKind.WITHDRAWN: Withdrawn,
}
"""The kinds that anyone may write down. Plans, "done" and readings of a step are the desk's own."""

QUESTIONED = (
    ("rise", 0.8, 6.0, "a rise of {:g} is rare"),
    ("temperature_c", 0.0, 40.0, "{:g} °C is no usual temperature of a mixture"),
    ("ph", 3.3, 6.8, "pH {:g} is rare in a mixture that lives"),
)
"""Possible, but rarely meant. Common practice, no source."""


def checked(kind: EntryKind, body: Mapping[str, Any]) -> dict[str, Any]:
    """`body` as it will be kept: its values tidied, what is not told left out.

    Raises InputError naming the first field that will not do, and what would be right.
    """
    if kind not in BODIES:
        raise InputError("kind", repr(kind.value), f"one of {', '.join(BODIES)}")
    try:
        found = BODIES[kind].model_validate(body)
    except ValidationError as error:
        raise _line(error) from None
    return found.model_dump(mode="json", exclude_none=True)


def doubts(body: Mapping[str, Any]) -> list[str]:
    """What may have slipped in a measured body that is possible all the same, a line each."""
    return [
        text.format(body[name])
        for name, low, high, text in QUESTIONED
        if isinstance(body.get(name), float | int) and not low <= body[name] <= high
    ]


def _line(error: ValidationError) -> InputError:
    first = error.errors()[0]
    places = [str(at + 1) if isinstance(at, int) else at for at in first["loc"]]
    field = ", ".join(places) or "body"
    match first["type"]:
        case "expected":
            expected, value = first["msg"], first["input"]
        case "missing":
            expected, value = "something in this field", "nothing"
        case "extra_forbidden":
            expected, value = "only what this kind of entry has a word for", "this field"
        case _:
            expected, value = f"another one ({first['msg'].lower()})", first["input"]
    if isinstance(value, BaseModel | Mapping):
        value = "this"
    shown = str(value)
    return InputError(field, shown if len(shown) <= 60 else shown[:60] + "…", expected)
