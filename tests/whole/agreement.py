"""The same figure by page and by command: they have one source, so they are equal.

`pointage cultures --json` answers {"cultures": [{"name", "state", "grams", "place", "fed"}]}, and
`pointage larder --json` {"shelves": [{"ingredient", "grams"}]}.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from urllib.parse import quote

from tests.whole.hall import Hall, command
from tests.whole.pages import words

from pointage.cli.app import app
from pointage.web.present.words import mass


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
    for row in json.loads(said.out)["cultures"]:
        if row["state"] != "living" or row["fed"] is None or "/" in row["name"]:
            continue
        page = words(hall.get(f"/cultures/{quote(row['name'], safe='')}").text)
        local = datetime.fromisoformat(row["fed"]).astimezone(hall.desk.kitchen().zone)
        stands = f"{mass(row['grams'])}, {row['place'].lower()}"
        for figure in (stands, f"{local:%H:%M}"):
            if figure.casefold() not in page.casefold():
                yield f"the page of {row['name']!r} does not say {figure!r}"


def _larder(hall: Hall) -> Iterator[str]:
    said = command(hall.url, "larder", "--json")
    if said.status != 0:
        yield f"pointage larder: exit {said.status}: {said.err}"
        return
    shown = {each.ingredient: each for each in hall.desk.larder.look(hall.now).shelves}
    for row in json.loads(said.out)["shelves"]:
        there = shown.get(row["ingredient"])
        if there is None or abs(float(there.stock_g) - row["grams"]) > 0.1:
            yield f"stock of {row['ingredient']}: {row['grams']} g by the command"
