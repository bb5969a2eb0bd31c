"""Open the store that a person names, to be written out, checked or filled."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from pointage.daybook.store.store import open_store
from pointage.daybook.whereabouts import store_url
from pointage.desk.opening import open_own
from pointage.desk.records.exchange import ExchangeDesk
from pointage.errors import InputError
from pointage.language import say


def open_whole(clock: Callable[[], datetime], named: str | None = None) -> ExchangeDesk:
    """The store that `named` is, a URL or an SQLite file that exists; or the user's own.

    Raises InputError, field "store".
    """
    if named is None:
        return open_own(clock()).exchange
    url = address(named)
    if not _is_there(url):
        raise InputError("store", named, say("a store that exists"))
    return ExchangeDesk(open_store(url), clock)


def open_to_fill(clock: Callable[[], datetime], named: str | None = None) -> ExchangeDesk:
    """The same for an archive to be taken in; where there is none, an empty one is made."""
    return ExchangeDesk(open_store(store_url() if named is None else address(named)), clock)


def address(named: str) -> str:
    """The URL of a store that was named by its URL or its file."""
    return named if "://" in named else f"sqlite:///{Path(named).absolute()}"


def _is_there(url: str) -> bool:
    """Whether an SQLite file exists. A server knows that of its databases."""
    try:
        parsed = make_url(url)
        return parsed.get_backend_name() != "sqlite" or Path(parsed.database or "").is_file()
    except (ArgumentError, NoSuchModuleError, ValueError):
        return True  # which opening it will say more about
    except OSError:  # a name that is too long
        return False
