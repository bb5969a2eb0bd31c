"""Ingredients of one's own, as the daybook describes them, made known to whatever asks for one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from pointage.daybook.bodies import checked_body
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import Line
from pointage.desk.now.replayed import Replayed
from pointage.errors import InputError
from pointage.formula.own.ingredient import OwnIngredient, keep_own, of_body, own_ingredient


def described(entries: Iterable[Entry]) -> None:
    """Let each be known by its first description, so that what was baked with it can be read.

    One that is no longer described stays known by it: formulas and stores may have it.
    """
    for entry in entries:
        own = _own(entry)
        if own is not None and own_ingredient(own.id) is None:
            keep_own(own)


def known(replayed: Replayed) -> bool:
    """Let each be known as it now reads; whether any was known otherwise."""
    standing = own_ingredients(replayed)
    found = {each.id: each for each in standing}
    for line in replayed.journal.lines.values():
        if line.now is None and (own := _last(line)) is not None:
            found.setdefault(own.id, own)
    changed = [each for each in found.values() if own_ingredient(each.id) != each]
    for each in changed:
        keep_own(each)
    return bool(changed)


def own_ingredients(replayed: Replayed) -> tuple[OwnIngredient, ...]:
    """Those that are offered here, by name."""
    found = {own.id: own for own in map(_own, replayed.own.values()) if own is not None}
    return tuple(sorted(found.values(), key=lambda each: each.name.casefold()))


def _last(line: Line) -> OwnIngredient | None:
    """As one that was removed read at last."""
    if line.written.kind is not EntryKind.INGREDIENT:
        return None
    put_right = (each for each in reversed(line.amendments) if each.kind is EntryKind.CORRECTED)
    body = next((each.body.get("body") for each in put_right), line.written.body)
    last = replace(line.written, body=body) if isinstance(body, dict) else line.written
    return _own(last, gone=True)


def _own(entry: Entry, *, gone: bool = False) -> OwnIngredient | None:
    if entry.kind is not EntryKind.INGREDIENT:
        return None
    try:
        checked_body(entry)
    except InputError:
        return None
    return of_body(entry.body, gone=gone)
