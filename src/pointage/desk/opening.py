"""Open a desk on a store: the user's own, or Skerry Hall's for a demonstration."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4
from zoneinfo import ZoneInfo

from pointage.daybook.entry import EntryKind, KitchenRecord
from pointage.daybook.store.store import Store, open_store
from pointage.daybook.whereabouts import data_folder, demonstration_url, store_url
from pointage.desk.desk import StoredDesk, utc_now
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.begin import unnamed_kitchen
from pointage.desk.kitchen.demonstration import demonstration_entries
from pointage.desk.kitchen.kitchens import (
    demonstration_formulas,
    demonstration_larder,
    demonstration_text,
)
from pointage.desk.larder.file import read_larder
from pointage.formula.file.read import read_formula
from pointage.kitchen.file.read import read_kitchen

DEMONSTRATION_FORMULA = "harbour-loaf"
READY_HOUR = 9
SATURDAY = 5
LEAST_AHEAD = timedelta(hours=44)
AGES_AFTER = timedelta(hours=12)


def open_demonstration(
    now: datetime, clock: Callable[[], datetime] = utc_now, jobs: Jobs | None = None
) -> StoredDesk:
    """Skerry Hall in a store of its own: twelve weeks past, and bread for next Saturday at nine.

    Its cultures were always fed a few days ago, so that the demonstration does not age: its file is
    dated anew where the one that is kept is older than half a day.
    """
    store = open_store(demonstration_url())
    text = _lately(store, now) or _dated(demonstration_text(), now)
    record = take_in(store, text, demonstration_formulas(), now)
    desk = StoredDesk(store, record.id, since=now, clock=clock, jobs=jobs)
    if not store.entries(record.id, (EntryKind.PLAN,)):
        formulas = demonstration_formulas()
        past = demonstration_entries(record.id, demonstration_text(), formulas, now)
        store.append_all(record.id, past)
    if not store.entries(record.id, (EntryKind.BOUGHT,)):
        stock_up(desk, demonstration_larder(), now)
    if not desk.bakes():
        formula = next(each for each in desk.formulas() if each.slug == DEMONSTRATION_FORMULA)
        ready = next_saturday(desk.kitchen().zone, now)
        desk.wish(str(uuid4()), formula.slug, formula.pieces, ready, now)
    return desk


def open_own(
    now: datetime,
    kitchen_text: str | None = None,
    formulas: Mapping[str, str] | None = None,
    jobs: Jobs | None = None,
) -> StoredDesk:
    """The user's own store; files given are taken in first.

    A store without a kitchen begins with one that is asked about on the first page.
    """
    store = open_store(store_url())
    kept = store.kitchens()
    if kitchen_text is not None:
        record = take_in(store, _dated(kitchen_text, now), formulas or {}, now)
    elif kept:
        record = kept[0]
        _check(formulas or {})
        _take_formulas(store, record.id, formulas or {}, now)
    else:
        record = take_in(store, unnamed_kitchen(), formulas or {}, now)
    return StoredDesk(store, record.id, since=now, jobs=jobs)


def own_folder() -> Path:
    """Where this machine keeps what is its own and no kitchen's: its certificate, and who may come
    in over the network."""
    return data_folder() / "door"


def take_in(
    store: Store, kitchen_text: str, formulas: Mapping[str, str], now: datetime
) -> KitchenRecord:
    """Keep a kitchen's file and formulas; what is there unchanged already stays as it is.

    A store has one kitchen so far, which a file under another name replaces.

    All are read before any is kept. Raises InputError.
    """
    kitchen = read_kitchen(kitchen_text, now)
    _check(formulas)
    known = store.kitchens()
    record = KitchenRecord(
        known[0].id if known else str(uuid4()), kitchen.name, kitchen.zone.key, kitchen_text
    )
    if record not in known:
        texts = store.kitchen_texts(record.id) if known else []
        store.put_kitchen(record, now, after=texts[-1].revision if texts else 0)
    _take_formulas(store, record.id, formulas, now)
    return record


def _check(formulas: Mapping[str, str]) -> None:
    for slug, text in formulas.items():
        read_formula(text, f"{slug}.toml")


def _take_formulas(
    store: Store, kitchen_id: str, formulas: Mapping[str, str], now: datetime
) -> None:
    kept = {each.slug: each for each in store.formulas(kitchen_id)}
    for slug, text in formulas.items():
        last = kept.get(slug)
        if last is None or last.text != text:
            store.put_formula(kitchen_id, slug, text, now, after=last.revision if last else 0)


def stock_up(desk: StoredDesk, text: str, now: datetime) -> None:
    """Record a file's lots and counts in the larder. Raises InputError; lots before it are kept."""
    kitchen = desk.kitchen()
    today = now.astimezone(kitchen.zone).date()
    bought, counted = read_larder(text, today, kitchen.currency)
    for purchase in bought:
        desk.larder.buy(str(uuid4()), purchase, now)
    for count in counted:
        desk.larder.count(str(uuid4()), count, now)


def next_saturday(zone: ZoneInfo, now: datetime) -> datetime:
    """The first Saturday at nine that leaves time to wake a culture."""
    local = (now + LEAST_AHEAD).astimezone(zone)
    day = local.date() + timedelta(days=(SATURDAY - local.weekday()) % 7)
    ready = datetime(day.year, day.month, day.day, READY_HOUR, tzinfo=zone)
    if ready < local:
        ready += timedelta(days=7)
    return ready.astimezone(UTC)


def _lately(store: Store, now: datetime) -> str | None:
    """The kitchen's text where it was kept within half a day."""
    for kitchen in store.kitchens():
        last = store.kitchen_texts(kitchen.id)[-1]
        if last.kept is not None and timedelta() <= now - last.kept <= AGES_AFTER:
            return last.text
    return None


def _dated(text: str, now: datetime) -> str:
    """The file with its "fed so many days ago" as dates, for a kitchen that is lived in."""
    lines = []
    for line in text.splitlines():
        key, _, value = line.partition("=")
        if key.strip() == "fed_days_ago":
            with suppress(ValueError, OverflowError):  # reading it will say what is wrong
                fed = now - timedelta(days=float(value.partition("#")[0]))
                line = f'fed = "{fed.astimezone(UTC).isoformat(timespec="minutes")}"'  # noqa: PLW2901
        lines.append(line)
    return "\n".join(lines) + "\n"
