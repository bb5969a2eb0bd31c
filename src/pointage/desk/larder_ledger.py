"""The larder's ledger: the daybook and the bakes replayed into stock and what is reserved of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from functools import lru_cache
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import standing
from pointage.desk.answers import Bake
from pointage.desk.bakes import KEPT_AFTER, replayed
from pointage.desk.larder_told import exact, item
from pointage.desk.takings import Mixed, Takings, added, takings, uses
from pointage.errors import InputError
from pointage.kitchen.kitchen import CultureAtHand
from pointage.kitchen.read import read_kitchen
from pointage.larder.stock import Counted, Event, Lot, Stock, Used, replay
from pointage.larder.upkeep import Discard, discard_of
from pointage.mixture.flours import FIGURES, FlourFigures
from pointage.timetable.plan import StepKind

ASKED_FOR = timedelta(days=14)
"""How long the larder asks about a bake that nobody ticked off."""

STOCK_KINDS = (EntryKind.BOUGHT, EntryKind.COUNTED, EntryKind.USED)
MIX_KINDS = (EntryKind.MIXED, EntryKind.FED)


@dataclass(frozen=True, slots=True)
class Batch:
    """A bake with what it takes. in_hand: neither given up nor over, so it reserves."""

    bake: Bake
    takings: Takings
    in_hand: bool


@dataclass
class Ledger:
    """Everything the larder knows at `now`.

    stock: as it is; ahead: as it will be once all bakes in hand are mixed. fed: when the daybook
    says a culture was last fed. poured: what it says was poured off, the bake's key or "" first.
    heard: the entries about stock, the last to arrive first. flags: sentences.
    """

    now: datetime
    stock: Stock = field(default_factory=Stock)
    ahead: Stock = field(default_factory=Stock)
    batches: list[Batch] = field(default_factory=list)
    fed: dict[str, datetime] = field(default_factory=dict)
    poured: list[tuple[str, Discard, datetime]] = field(default_factory=list)
    heard: list[Entry] = field(default_factory=list)
    flags: list[str] = field(default_factory=list)

    def needs(self, batch: Batch) -> Takings:
        """What of a batch is still to be mixed; nothing for one that is not in hand."""
        to_come = tuple(mix for mix in batch.takings.mixes if batch.in_hand and not mix.done)
        return replace(batch.takings, mixes=to_come)


def read_ledger(
    entries: Sequence[Entry], cultures: Sequence[CultureAtHand], now: datetime
) -> Ledger:
    """The ledger of a kitchen's entries. cultures: as they are kept now."""
    told = [entry for entry in standing(entries) if entry.happened <= now]
    ledger = Ledger(now)
    events: list[Event] = []
    steps: dict[tuple[str, str], list[Mixed]] = {}
    for entry in told:
        if entry.kind in STOCK_KINDS:
            events += _stock_event(entry, ledger)
        elif entry.kind in MIX_KINDS:
            _mix(entry, events, steps, ledger)
        elif entry.kind is EntryKind.POURED_OFF:
            _poured(entry, cultures, ledger)
    ledger.heard = sorted(
        (entry for entry in told if entry.kind in STOCK_KINDS),
        key=lambda entry: (entry.arrived, entry.id),
        reverse=True,
    )
    given_up = {str(entry.body.get("bake")) for entry in told if _gives_up(entry)}
    bakes = replayed([entry for entry in standing(entries) if not _gives_up(entry)])
    for bake in bakes.values():
        mixed = {
            step: _together(all_of) for (key, step), all_of in steps.items() if key == bake.key
        }
        found = takings(bake, _culture(bake, cultures), mixed)
        end = max((step.end for step in bake.plan.steps), default=bake.plan.ready)
        in_hand = bake.key not in given_up and end + KEPT_AFTER > now
        ledger.batches.append(Batch(bake, found, in_hand))
        events += uses(bake, [mix for mix in found.mixes if mix.done])
        if bake.key not in given_up:
            _doubt(ledger, bake, found, end, in_hand=in_hand)
    ledger.stock = replay(events)
    for batch in ledger.batches:
        to_come = [replace(mix, at=max(mix.at, now)) for mix in ledger.needs(batch).mixes]
        events += uses(batch.bake, to_come)
    ledger.ahead = replay(events)
    return ledger


def _stock_event(entry: Entry, ledger: Ledger) -> list[Event]:
    body, key, at = entry.body, entry.id, entry.happened
    name = _known(str(body.get("item", "")), ledger)
    if name is None:
        return []
    grams, lot = exact(body["grams"]), body.get("lot")
    match entry.kind:
        case EntryKind.COUNTED:
            return [Counted(key, name, at, grams, lot)]
        case EntryKind.USED:
            return [Used(key, name, at, grams, lot, str(body.get("remark", "")))]
    price, pack, best = body.get("price"), body.get("pack_g"), body.get("best_before")
    return [
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
            flour=_figures(name, body, ledger),
        )
    ]


def _figures(name: str, body: Mapping[str, Any], ledger: Ledger) -> FlourFigures | None:
    """What the sack's sheet says; what cannot be of a flour is set aside, and flagged."""
    said = {figure: body[figure] for figure in FIGURES if body.get(figure) is not None}
    try:
        own = FlourFigures(**said, label=str(body.get("label", "")))
    except InputError as error:
        ledger.flags.append(f"The figures of a lot of {name} are set aside: {error}.")
        return None
    return own or None


def _mix(
    entry: Entry,
    events: list[Event],
    steps: dict[tuple[str, str], list[Mixed]],
    ledger: Ledger,
) -> None:
    """A mix in real grams: its bake's when it names one, else a use of its own."""
    body = entry.body
    if entry.kind is EntryKind.FED:
        ledger.fed[str(body["culture"])] = entry.happened
    parts: list[tuple[str, Fraction, Any]] = [
        (name, exact(part["grams"]), part.get("lot"))
        for part in body["parts"]
        if part.get("ingredient") and (name := _known(part["ingredient"], ledger)) is not None
    ]
    if "bake" in body and "step" in body:
        sums = added({name: grams} for name, grams, _ in parts)
        steps.setdefault((body["bake"], body["step"]), []).append(Mixed(entry.happened, sums))
        return
    what = str(body.get("culture") or body.get("remark") or "")
    events += [
        Used(f"{entry.id}/{number}", name, entry.happened, grams, lot, what)
        for number, (name, grams, lot) in enumerate(parts)
    ]


def _poured(entry: Entry, cultures: Sequence[CultureAtHand], ledger: Ledger) -> None:
    named = str(entry.body.get("culture", "")).casefold()
    for culture in cultures:
        if culture.name.casefold() == named:
            discard = discard_of(culture, exact(entry.body["grams"]))
            ledger.poured.append((str(entry.body.get("bake", "")), discard, entry.happened))


def _together(mixes: Sequence[Mixed]) -> Mixed:
    return Mixed(max(mix.at for mix in mixes), added(mix.grams for mix in mixes))


def _known(text: str, ledger: Ledger) -> str | None:
    """The ingredient meant; None for water, and for what is none, which is flagged."""
    try:
        return item(text)
    except InputError:
        if text.casefold() != "water":
            ledger.flags.append(f"The daybook names {text!r}, which is no ingredient known here.")
        return None


def _gives_up(entry: Entry) -> bool:
    body = entry.body
    return entry.kind is EntryKind.WITHDRAWN and "bake" in body and "step" not in body


def _doubt(ledger: Ledger, bake: Bake, found: Takings, end: datetime, *, in_hand: bool) -> None:
    name = bake.plan.formula
    for pour in found.unknown:
        ledger.flags.append(f"{name} pours {pour!r}, which the larder does not know.")
    mix = [step.key for step in bake.plan.steps if step.kind is StepKind.MIX]
    untold = any(taken.step in mix and not taken.done for taken in found.mixes)
    if untold and not in_hand and end > ledger.now - ASKED_FOR:
        ledger.flags.append(
            f"{name} of {bake.plan.ready:%d.%m.} is over and its mix was never ticked off: "
            "nothing was taken out of the stores for it. Say what was used, or count."
        )


def _culture(bake: Bake, cultures: Sequence[CultureAtHand]) -> CultureAtHand | None:
    """The bake's culture as it was kept when the bake was wished, else as it is now."""
    wished = bake.wished
    then = () if wished is None else _cultures(wished.kitchen, wished.since)
    wanted = bake.plan.culture.casefold()
    return next((each for each in (*then, *cultures) if each.name.casefold() == wanted), None)


@lru_cache(maxsize=32)
def _cultures(kitchen: str, since: datetime) -> tuple[CultureAtHand, ...]:
    try:
        return read_kitchen(kitchen, since).cultures
    except InputError:  # written for an older release
        return ()
