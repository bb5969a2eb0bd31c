"""The same figure by page and by command: they have one source, so they are equal.

`pointage cultures --json` answers {"cultures": [{"name", "state", "grams", "place", "fed"}]}, and
`pointage larder --json` {"shelves": [{"ingredient", "grams"}]}.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime

from tests.whole.figures import grams_of, page, place_of, stock_of
from tests.whole.hall import Hall, command

from pointage.cli.app import app


def known_commands() -> set[str]:
    return {str(each.name) for each in app.registered_commands}


def disagreements(hall: Hall) -> Iterator[str]:
    """What a page says otherwise than the command that shows it, a line each."""
    known = known_commands()
    if "cultures" in known:
        yield from _cultures(hall)
    if "larder" in known:
        yield from _larder(hall)


def _cultures(hall: Hall) -> Iterator[str]:
    said = command(hall.url, "cultures", "--json")
    if said.status != 0:
        yield f"pointage cultures: exit {said.status}: {said.err}"
        return
    zone = hall.desk.kitchen().zone
    for row in json.loads(said.out)["cultures"]:
        name = row["name"]
        if row["state"] != "living" or row["fed"] is None or "/" in name:
            continue
        grams, place = grams_of(hall, name), place_of(hall, name)
        if abs(grams - row["grams"]) > max(0.5, 0.005 * grams):  # as pages round it
            yield f"{name}: {row['grams']} g by the command, {grams} g by its page"
        if place != row["place"].casefold():
            yield f"{name}: in {row['place']!r} by the command, in {place!r} by its page"
        fed = f"{datetime.fromisoformat(row['fed']).astimezone(zone):%H:%M}"
        if fed not in page(hall, name):
            yield f"{name}: fed at {fed} by the command, which its page does not say"


def _larder(hall: Hall) -> Iterator[str]:
    said = command(hall.url, "larder", "--json")
    if said.status != 0:
        yield f"pointage larder: exit {said.status}: {said.err}"
        return
    for row in json.loads(said.out)["shelves"]:
        there = stock_of(hall, row["ingredient"])
        if abs(there - row["grams"]) > 0.1:
            yield f"{row['ingredient']}: {row['grams']} g by the command, {there} g by the page"
