"""Which kitchen a command works with: a file's, the stored one, else the demonstration kitchen."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from pointage.daybook.entry import KitchenRecord
from pointage.daybook.whereabouts import store_url
from pointage.desk.invented import stands_in
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.begin import UNNAMED, is_unnamed
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.desk.now.present import Present, present_of
from pointage.desk.now.texts import kitchen_of
from pointage.errors import InputError
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.mixture.flours import Flours
from pointage.quantities import YEARS, parse_instant, parse_zone
from pointage.shown import follow

if TYPE_CHECKING:
    from pointage.daybook.store.store import Store

FIRST_YEAR = 2000


def at_hand(now: datetime, text: str | None = None, source: str | None = None) -> Present:
    """The present of the kitchen of a file's `text`, else of the stored one, as its pages have it.

    Where nothing is stored yet, that of the demonstration kitchen; of it and of a file nothing is
    recorded. now: from when "fed so many days ago" counts in them. What is said of it is shown as
    the kitchen has it. Raises InputError.
    """
    present = _at_hand(now, text, source)
    follow(present.file.shown)
    return present


def sacks_at_hand(now: datetime) -> Flours:
    """The figures of the sacks in use in the stored kitchen; none where there is none.

    The demonstration kitchen's file has no sacks, so that it stands in for nothing here.
    """
    found = stored(now)
    if found is None or is_unnamed(found.kitchen):
        return {}
    follow(found.file.shown)
    return found.flours


def _at_hand(now: datetime, text: str | None, source: str | None) -> Present:
    if text is not None:
        return _of_text(text, read_kitchen(text, now, source or "kitchen.toml"))
    found = stored(now)
    if found is not None and not is_unnamed(found.kitchen):
        return found
    invented = kitchen_of(demonstration_text(), now)
    stands_in(invented.name)
    return _of_text(demonstration_text(), invented)


def at_hand_at(
    said: str | None,
    zone: ZoneInfo | None = None,
    text: str | None = None,
    source: str | None = None,
) -> tuple[Present, datetime]:
    """The kitchen at hand, and the instant that --now said of it; without it, the clock's.

    zone: of the clock that --now goes by, else the kitchen's. Raises InputError.
    """
    if said is None:
        now = datetime.now(UTC)
        return at_hand(now, text, source), now
    # The kitchen's zone is not known before its file is read, and reading it needs an instant.
    now = said_now(said, zone or ZoneInfo("UTC"))
    present = at_hand(now, text, source)
    return present, now if zone else parse_instant(said, present.file.zone, "--now")


def said_now(said: str, zone: ZoneInfo) -> datetime:
    """The instant of --now by a clock in `zone`. Raises InputError."""
    now = parse_instant(said, zone, "--now")
    if not FIRST_YEAR <= now.year <= YEARS[1]:
        raise InputError(
            "--now",
            said,
            say("a time from {first} to {last}", first=FIRST_YEAR, last=YEARS[1]),
        )
    return now


def stored(now: datetime) -> Present | None:
    """The present of the stored kitchen; None where there is no store or no kitchen in it yet."""
    store = _store()
    if store is None:
        return None
    from pointage.desk.now.keeper import Keeper
    from pointage.desk.now.learned.kept import kept_here

    with store:
        known = store.kitchens()
        jobs = Jobs(beside=False, kept=kept_here())
        return Keeper(store, known[0].id, now, jobs).look() if known else None


def zone_at_hand(now: datetime) -> ZoneInfo:
    """The zone of the kitchen at hand, from its record alone."""
    store = _store()
    if store is not None:
        with store:
            known = store.kitchens()
        if known and known[0].name != UNNAMED:
            return parse_zone(known[0].zone, say("the stored kitchen, zone"))
    return kitchen_of(demonstration_text(), now).zone


def _store() -> Store | None:
    url = store_url()
    if url.startswith("sqlite:///") and not Path(url.removeprefix("sqlite:///")).is_file():
        return None  # asking leaves nothing behind
    from pointage.daybook.store.store import open_store

    return open_store(url)


def _of_text(text: str, kitchen: Kitchen) -> Present:
    return present_of(KitchenRecord("", kitchen.name, kitchen.zone.key, text), kitchen, (), ())
