"""The larder's ledger: what came in, what went out and what is reserved, from the one picture."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

from pointage.culture.life import Fed, Life
from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake
from pointage.desk.larder.recorded import exact, item
from pointage.desk.now.bakes.bake import KEPT_AFTER
from pointage.desk.now.fold import Key
from pointage.desk.now.takings import (
    KEPT,
    MixedAs,
    Takings,
    added,
    uses,
)
from pointage.language import say
from pointage.larder.stock import (
    Counted,
    Event,
    Lot,
    Shelf,
    Stock,
    Used,
    rank,
)
from pointage.larder.upkeep import Discard
from pointage.mixture.flours import FIGURES, FlourFigures
from pointage.shown import date_text
from pointage.timetable.plan import StepKind

ASKED_FOR = timedelta(days=14)
"""How long the larder asks about a bake that nobody ticked off."""

STOCK_KINDS = (EntryKind.BOUGHT, EntryKind.COUNTED, EntryKind.USED)
MIX_KINDS = frozenset({EntryKind.MIXED, EntryKind.FED})

Feed = tuple[str, datetime]
"""A feed that nobody recorded: the bake whose levain was left for it, and when it was."""


@dataclass(frozen=True, slots=True)
class AssumedFeed:
    """What a feed took that nobody recorded."""

    fed: Fed
    culture: str
    events: tuple[tuple[Key, Event], ...]

    @staticmethod
    def of(bake: str, fed: Fed, culture: str) -> AssumedFeed:
        used = (
            Used(f"{bake}/{KEPT}/{name}", name, fed.at, exact(round(grams, 3)), what=culture)
            for name, grams in fed.flours_g.items()
            if grams
        )
        return AssumedFeed(fed, culture, tuple(keyed(used)))


@dataclass(frozen=True, slots=True)
class Batch:
    """A bake with what it takes. in_hand: neither given up nor over, so it reserves."""

    bake: Bake
    takings: Takings
    in_hand: bool

    @property
    def needs(self) -> list[Any]:
        """What is still to be mixed; nothing of one that is not in hand."""
        return self.takings.to_come if self.in_hand else []


@dataclass
class Ledger:
    """Everything the larder knows at `now`.

    stock: as it is; ahead: as it will be once all bakes in hand are mixed. lives: every culture;
    said: the entries about stock, the last to arrive first. flags:
    sentences.
    """

    now: datetime
    stock: Stock = field(default_factory=Stock)
    ahead: Stock = field(default_factory=Stock)
    batches: list[Batch] = field(default_factory=list)
    lives: Sequence[Life] = ()
    said: list[Entry] = field(default_factory=list)
    flags: list[str] = field(default_factory=list)

    def gone(self, since: datetime) -> list[tuple[Discard, datetime]]:
        """What was discarded since, by culture."""
        return [
            (_discard(life, taken.grams), taken.at)
            for life in self.lives
            for taken in life.wasted
            if since <= taken.at <= self.now
        ]


def ledger(
    now: datetime,
    bakes: Iterable[tuple[Bake, Takings, datetime]],
    shelves: Mapping[str, Shelf],
    lives: Sequence[Life],
    said: Iterable[Entry],
) -> Ledger:
    """The ledger at `now`. bakes: with what they take, and when they end.

    said: the standing entries about stock.
    """
    found = Ledger(now, Stock(shelves), lives=lives)
    to_come: list[Event] = []
    for bake, takings, end in bakes:
        batch = Batch(bake, takings, not bake.given_up and end + KEPT_AFTER > now)
        found.batches.append(batch)
        to_come += uses(bake, [replace(mix, at=max(mix.at, now)) for mix in batch.needs])
        if not bake.given_up:
            _doubt(found, batch, end)
    ahead = dict(shelves)
    for event in sorted(to_come, key=lambda each: (each.at, each.key)):
        ahead[event.ingredient] = ahead.get(event.ingredient, Shelf()).after(event)
    found.ahead = Stock(ahead)
    found.said = sorted(said, key=lambda entry: (entry.arrived, entry.id), reverse=True)
    return found


def stock_events(entry: Entry) -> list[tuple[Key, Event]]:
    """What an entry says of the stores. Raises InputError for what is no ingredient."""
    body = entry.body
    if entry.kind in MIX_KINDS:
        if "bake" in body and "step" in body:
            return []  # of its bake
        what = str(body.get("culture") or body.get("remark") or "")
        return keyed(
            Used(f"{entry.id}/{number}", name, entry.happened, exact(part["grams"]),
                 part.get("lot"), what)
            for number, part in enumerate(body["parts"])
            if (name := _stocked(part)) is not None
        )  # fmt: skip
    key, at, name = entry.id, entry.happened, item(str(body["item"]))
    grams, lot = exact(body["grams"]), body.get("lot")
    if entry.kind is EntryKind.COUNTED:
        return keyed([Counted(key, name, at, grams, lot)])
    if entry.kind is EntryKind.USED:
        return keyed([Used(key, name, at, grams, lot, str(body.get("remark", "")))])
    price, pack, best = body.get("price"), body.get("pack_g"), body.get("best_before")
    return keyed(
        [
            Lot(
                key,
                name,
                at,
                grams,
                None if price is None else exact(price),
                str(body.get("currency", "")),
                exact(pack) if pack else None,
                None if best is None else datetime.fromisoformat(best).date(),
                place=str(body.get("place", "")),
                supplier=str(body.get("supplier", "")),
                label=str(body.get("label", "")),
                flour=_figures(body),
            )
        ]
    )


def _figures(body: Mapping[str, Any]) -> FlourFigures | None:
    """What the sack's sheet says of its flour, if anything."""
    said = {figure: body[figure] for figure in FIGURES if body.get(figure) is not None}
    return FlourFigures(**said, label=str(body.get("label", ""))) or None


def mix_of(entry: Entry) -> MixedAs:
    """What an entry says went into a mix. Raises InputError for what is no ingredient."""
    parts = [(_stocked(part), exact(part["grams"])) for part in entry.body["parts"]]
    sums = added({name: grams} for name, grams in parts if name is not None)
    return MixedAs(entry.happened, sums)


def together(mixes: Iterable[MixedAs]) -> MixedAs:
    """Several mixes of one step as one, done with the last of them."""
    found = list(mixes)
    return MixedAs(max(mix.at for mix in found), added(mix.grams for mix in found))


def events_of_takings(bake: Bake, takings: Takings) -> list[tuple[Key, Event]]:
    """What the mixes of a bake took that are done."""
    return keyed(uses(bake, [mix for mix in takings.mixes if mix.done]))


def upkeep_of(life: Life, known: Mapping[Feed, AssumedFeed]) -> dict[Feed, AssumedFeed]:
    """What the feeds took of what levains left of a culture, recorded with a build or assumed.

    known: what was found of it before; what is the same is the same object.
    """
    found: dict[Feed, AssumedFeed] = {}
    for stand in life.stands[life.inherited :]:
        if not stand.bake:
            continue
        feed = stand.bake, stand.fed.at
        before = known.get(feed)
        same = before is not None and (before.fed, before.culture) == (stand.fed, life.name)
        found[feed] = before if before and same else AssumedFeed.of(feed[0], stand.fed, life.name)
    return found


def keyed(events: Iterable[Event]) -> list[tuple[Key, Event]]:
    """Events with their places in time."""
    return [((event.at, rank(event), event.key), event) for event in events]


def _stocked(part: Mapping[str, Any]) -> str | None:
    """The ingredient of a part, by its name; None for a mixture and for water."""
    name = part.get("ingredient")
    return None if name is None or name.casefold() == "water" else item(name, "ingredient")


def _discard(life: Life, grams: float) -> Discard:
    flours = {kind: exact(round(share, 6)) for kind, share in life.flours.items()}
    whole = sum(flours.values(), Fraction()) or Fraction(1)
    shares = {kind: share / whole for kind, share in flours.items()}
    hydration = Fraction(life.hydration).limit_denominator(10**6)
    return Discard(life.name, Fraction(grams).limit_denominator(10**6), hydration, shares)


def _doubt(ledger: Ledger, batch: Batch, end: datetime) -> None:
    bake = batch.bake
    name = bake.plan.formula
    for pour in batch.takings.unknown:
        ledger.flags.append(
            say("{name} uses {pour!r}, which is not a known ingredient.", name=name, pour=pour)
        )
    mix = [step.key for step in bake.plan.steps if step.kind is StepKind.MIX]
    undone = any(taken.step in mix and not taken.done for taken in batch.takings.mixes)
    if undone and not batch.in_hand and end > ledger.now - ASKED_FOR:
        ledger.flags.append(
            say(
                "{name} of {date_text} is over and its mix was never ticked off: nothing was "
                "taken from stock. Record what was used, or count.",
                name=name,
                date_text=date_text(bake.plan.ready.date()),
            )
        )
