"""The same figure by page and by command: they have one source, so they are equal.

`pointage now --json` shows the kitchen as it stands: docs/now.md.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from tests.whole.figures import page, stands, stocks_of
from tests.whole.hall import Hall, command


class NothingSaidError(AssertionError):
    """A page opens, and the command says nothing."""


def now_said(hall: Hall) -> Mapping[str, Any]:
    """What `pointage now` says at the hall's own instant."""
    said = command(hall.url, "now", "--now", hall.now.isoformat(), "--json")
    if said.status != 0:
        raise NothingSaidError(f"pointage now ends with {said.status}: {said.err}")
    found: Mapping[str, Any] = json.loads(said.out)
    return found


def disagreements(hall: Hall) -> Iterator[str]:
    """What a page says otherwise than the command, a line each."""
    try:
        said = now_said(hall)
    except NothingSaidError as error:
        yield str(error)
        return
    yield from _cultures(hall, said)
    yield from _larder(hall, said)


def _cultures(hall: Hall, said: Mapping[str, Any]) -> Iterator[str]:
    zone = hall.desk.kitchen().zone
    for row in said["cultures"]:
        name = row["name"]
        if row["state"] != "living" or row["fed"] is None or "/" in name:
            continue
        shown = page(hall, name)
        grams, place = stands(name, shown)
        if abs(grams - row["grams"]) > max(0.5, 0.005 * grams):  # as pages round it
            yield f"{name}: {row['grams']} g by the command, {grams} g by its page"
        if place != row["place"].casefold():
            yield f"{name}: in {row['place']!r} by the command, in {place!r} by its page"
        fed = f"{datetime.fromisoformat(row['fed']).astimezone(zone):%H:%M}"
        if fed not in shown:
            yield f"{name}: fed at {fed} by the command, which its page does not say"


def _larder(hall: Hall, said: Mapping[str, Any]) -> Iterator[str]:
    stocks = stocks_of(hall)
    for row in said["stock"]:
        there = stocks.get(row["ingredient"], 0.0)
        if abs(there - row["grams"]) > 0.1:
            yield f"{row['ingredient']}: {row['grams']} g by the command, {there} g by the page"
