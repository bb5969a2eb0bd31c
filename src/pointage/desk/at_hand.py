"""Which kitchen a command works with: a file's, the stored one, else the demonstration kitchen."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from pointage.daybook.whereabouts import store_url
from pointage.errors import InputError
from pointage.language import say
from pointage.quantities import YEARS, parse_instant, parse_zone
from pointage.shown import follow

# What only some commands ask for is loaded where they do: a label has no kitchen, and few a store.
if TYPE_CHECKING:
    from pointage.daybook.store.store import Store
    from pointage.desk.now.present import Present
    from pointage.desk.now.unrecorded import PlainKitchen
    from pointage.kitchen.kitchen import Kitchen
    from pointage.mixture.flours import Flours

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
    if found is None or _is_unnamed(found):
        return {}
    follow(found.file.shown)
    return found.flours


def sacks_at_hand_at(said: str | None) -> Flours:
    """The same at the instant that --now said; without it, the clock's. Raises InputError."""
    return sacks_at_hand(datetime.now(UTC) if said is None else said_now(said, ZoneInfo("UTC")))


def standing_at_hand_at(
    said: str | None,
    text: str | None = None,
    source: str | None = None,
    zone: ZoneInfo | None = None,
) -> tuple[PlainKitchen, datetime]:
    """As `at_hand_at`, for what a formula or a plan asks of a kitchen; without replaying where
    there is nothing recorded. Raises InputError."""
    if text is None and _is_stored():
        return at_hand_at(said, zone)
    from pointage.desk.now.unrecorded import Unrecorded

    now = datetime.now(UTC) if said is None else said_now(said, zone or ZoneInfo("UTC"))
    file = _invented(now)[1] if text is None else _read(text, now, source)
    follow(file.shown)
    if said is not None and zone is None:
        now = parse_instant(said, file.zone, "--now")
    return Unrecorded(file), now


def _at_hand(now: datetime, text: str | None, source: str | None) -> Present:
    if text is not None:
        return _of_text(text, _read(text, now, source))
    found = stored(now)
    if found is not None and not _is_unnamed(found):
        return found
    return _of_text(*_invented(now))


def _read(text: str, now: datetime, source: str | None) -> Kitchen:
    from pointage.kitchen.file.read import read_kitchen

    return read_kitchen(text, now, source or "kitchen.toml")


def _invented(now: datetime) -> tuple[str, Kitchen]:
    """The demonstration kitchen, which stands in, and its text."""
    from pointage.desk.invented import stands_in

    text, invented = _demonstration(now)
    stands_in(invented.name)
    return text, invented


def _demonstration(now: datetime) -> tuple[str, Kitchen]:
    from pointage.desk.kitchen.kitchens import demonstration_text
    from pointage.desk.now.texts import kitchen_of

    text = demonstration_text()
    return text, kitchen_of(text, now)


def _is_unnamed(present: Present) -> bool:
    from pointage.desk.kitchen.begin import is_unnamed

    return is_unnamed(present.kitchen)


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
    from pointage.desk.jobs import Jobs
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
        from pointage.desk.kitchen.begin import UNNAMED

        with store:
            known = store.kitchens()
        if known and known[0].name != UNNAMED:
            return parse_zone(known[0].zone, say("the stored kitchen, zone"))
    return _demonstration(now)[1].zone


def _is_stored() -> bool:
    """Whether there may be a store: asking leaves nothing behind."""
    url = store_url()
    return not url.startswith("sqlite:///") or Path(url.removeprefix("sqlite:///")).is_file()


def _store() -> Store | None:
    if not _is_stored():
        return None
    from pointage.daybook.store.store import open_store

    return open_store(store_url())


def _of_text(text: str, kitchen: Kitchen) -> Present:
    from pointage.daybook.entry import KitchenRecord
    from pointage.desk.now.present import present_of

    return present_of(KitchenRecord("", kitchen.name, kitchen.zone.key, text), kitchen, (), ())
