"""Write the fixtures of a version: what its users have, to be opened by every later version.

    .venv/bin/python scripts/fixtures.py

writes tests/fixtures/VERSION/ with a store, the archive exported from it, a kitchen's files, the
formulas' files, and shown.json: a few figures as this version showed them. A version that has its
fixtures keeps them: nothing there is ever written again.
"""

from __future__ import annotations

import asyncio
import json
import os
import sqlite3
import struct
import sys
import zlib
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from uuid import UUID, uuid5

import httpx

from pointage import __version__
from pointage.daybook.store.store import open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.demonstration import demonstration_entries
from pointage.desk.kitchen.kitchens import (
    demonstration_formulas,
    demonstration_larder,
    demonstration_text,
)
from pointage.desk.opening import open_own, stock_up
from pointage.web.app import create_app

FIXTURES = Path(__file__).parents[1] / "tests" / "fixtures"
BEGUN = datetime(2024, 11, 21, 17, 0, tzinfo=UTC)  # past on any clock that is right
SEEN = datetime(2024, 11, 23, 12, 0, tzinfo=UTC)
PAST = timedelta(weeks=3)
ORIGIN = "http://127.0.0.1"
NAMES = UUID("5f0c2b7e-6c1d-4f0e-9a53-2d7f3c1e8b90")


class Pages:
    """The pages of a desk whose clock stands where it is put; every entry has an id of its own."""

    def __init__(self, url: str) -> None:
        self.now = BEGUN
        self.store = open_store(url)
        kitchen = self.store.kitchens()[0].id
        self.desk = StoredDesk(self.store, kitchen, since=BEGUN, clock=lambda: self.now)
        self._app = create_app(self.desk, lambda: self.now)
        self._count = 0

    def post(self, path: str, fields: Mapping[str, str], **rest: Any) -> str:
        """Send a form, which must be accepted: the id of its entry."""
        self._count += 1
        self.now += timedelta(minutes=1)  # one after another, as hands do it
        entry = str(uuid5(NAMES, str(self._count)))
        answer = asyncio.run(self._ask(path, {"entry": entry, **fields}, **rest))
        if answer.status_code != 303:
            sys.exit(f"fixtures: {path} answered {answer.status_code}: {answer.text[:3000]}")
        return entry

    async def _ask(self, path: str, fields: Mapping[str, str], **rest: Any) -> httpx.Response:
        transport = httpx.ASGITransport(app=self._app)
        async with httpx.AsyncClient(transport=transport, base_url=ORIGIN) as client:
            return await client.post(path, data=fields, headers={"Origin": ORIGIN}, **rest)

    def later(self, hours: float) -> None:
        self.now += timedelta(hours=hours)


def main() -> None:
    folder = FIXTURES / __version__
    if folder.exists():
        sys.exit(f"fixtures: version {__version__} has its fixtures; they stay as they are")
    with TemporaryDirectory() as temporary:
        url = f"sqlite:///{temporary}/store.sqlite3"
        os.environ["POINTAGE_STORE"] = url
        open_own(BEGUN, demonstration_text(), demonstration_formulas())
        pages = Pages(url)
        _fill(pages)
        pages.now = SEEN
        folder.mkdir(parents=True)
        pages.desk.exchange.export_to(folder / "archive.zip")
        _files(pages, folder)
        (folder / "shown.json").write_text(json.dumps(_shown(pages), indent=2) + "\n")
        with sqlite3.connect(f"{temporary}/store.sqlite3") as connection:
            connection.execute("VACUUM INTO ?", (str(folder / "store.sqlite3"),))
        pages.store.close()
    for path in sorted(folder.rglob("*.*")):
        print(f"{path.relative_to(FIXTURES)} {path.stat().st_size / 1000:.0f} kB")


def _fill(pages: Pages) -> None:
    kitchen = pages.store.kitchens()[0].id
    past = demonstration_entries(kitchen, demonstration_text(), demonstration_formulas(), BEGUN)
    pages.store.append_all(kitchen, [each for each in past if each.happened > BEGUN - PAST])
    stock_up(pages.desk, demonstration_larder(), BEGUN)
    _kitchen_and_formulas(pages)
    for formula, pieces, day, clock in (
        ("harbour-loaf", "8", "2024-11-24", "09:00"),
        ("tinned-rye", "4", "2024-11-25", "13:00"),
    ):
        wanted = {"formula": formula, "pieces": pieces, "day": day, "clock": clock}
        pages.post("/week/wish", wanted)
    _cultures(pages)
    _daybook(pages)
    _bench(pages)
    _sensor(pages)


def _kitchen_and_formulas(pages: Pages) -> None:
    """A second text of the kitchen; a second and third of one formula, one that has an author, and
    one that is put away."""
    last = pages.desk.kitchen_file.last
    text = last.text.replace('tap = "10C"', 'tap = "9C"')
    pages.post("/kitchen/file", {"text": text, "revision": str(last.revision)})
    book = pages.desk.book
    loaf = demonstration_formulas()["harbour-loaf"]
    for number, name in ((1, "Harbour loaf, wetter"), (2, "Harbour loaf")):
        book.keep(loaf.replace("Harbour loaf", name), "harbour-loaf", number)
    rights = 'author = "Isla"\nyear = 2024\nlicence = "CC BY 4.0"\n'
    pages.post("/formulas/import", {"text": rights + loaf.replace("Harbour loaf", "Quay loaf")})
    pages.post("/formulas/sunday-spelt/put-away", {"do": "away", "after": "1"})


def _cultures(pages: Pages) -> None:
    pages.later(1)
    feed = {"flour": "rye-whole", "place": "Hall", "temperature_c": "25"}
    pages.post("/cultures/Gannet/fed", {**feed, "seed_g": "20", "flour_g": "65", "water_g": "65"})
    pages.later(5)
    pages.post("/cultures/Gannet/measured", {"rise": "1.8", "temperature_c": "22", "ph": "4.2"})
    pages.post("/cultures/Gannet/moved", {"place": "Fridge"})
    pages.later(1)
    pages.post("/cultures/Plover/split", {"new_name": "Kittiwake", "grams": "20"})
    feed = {"flour": "wheat-white", "place": "Boiler cupboard"}
    pages.post(
        "/cultures/Kittiwake/fed", {**feed, "seed_g": "20", "flour_g": "50", "water_g": "40"}
    )
    pages.post("/cultures/Kittiwake/renamed", {"new_name": "Tern"})
    pages.post("/cultures/Tern/poured-off", {"grams": "15"})
    pages.later(1)
    pages.post(
        "/cultures/raise",
        {"name": "Fulmar", "flour": "rye-whole", "daily": "50", "place": "Boiler cupboard"},
    )
    pages.post("/cultures/Plover/split", {"new_name": "Gone", "grams": "10"})
    pages.post("/cultures/Gone/retired", {})


def _daybook(pages: Pages) -> None:
    pages.later(1)
    note = pages.post("/daybook/told/note", {"text": "A gale; the ferry did not sail."})
    pages.post(f"/daybook/entry/{note}/corrected", {"text": "A gale.", "why": "it sailed at noon"})
    off = pages.post("/cultures/Gannet/poured-off", {"grams": "40"})
    pages.post(f"/daybook/entry/{off}/withdrawn", {"why": "it was the other jar"})
    off = pages.post("/cultures/Gannet/poured-off", {"grams": "60"})
    pages.post(
        f"/daybook/entry/{off}/corrected", {"culture": "Gannet", "grams": "50", "to": "waste"}
    )
    pages.post(
        "/daybook/photo",
        {"caption": "Gannet, risen", "about": "culture=Gannet"},
        files={"photo": ("jar.png", _picture(), "image/png")},
    )
    baked = min(pages.desk.past.bakes().values(), key=lambda bake: bake.plan.ready)
    pages.post(f"/daybook/bake/{baked.key}", {"sign-dense": "1", "sign-burst": "1", "crumb": "2"})
    pages.post("/larder/buy", {"item": "rye-whole", "mass": "5kg", "price": "9.50", "per": "all"})
    pages.post("/larder/use", {"item": "wheat-white", "mass": "750g", "remark": "pancakes"})
    used = pages.post("/larder/use", {"item": "salt", "mass": "100g"})
    pages.post("/larder/take-back", {"wrong": used})


def _bench(pages: Pages) -> None:
    """Steps of the bakes in hand, as far as they have come."""
    last = None
    for bake in pages.desk.bakes():
        for step in bake.plan.steps:
            if step.end > SEEN - timedelta(hours=2):
                continue
            pages.now = max(pages.now, step.end)
            named = {"bake": bake.key, "step": step.key}
            if step.ladder is not None:
                for number, pour in enumerate(step.ladder.pours):
                    display = f"{pour.display_g + 2 * number:g}"
                    pages.post("/bench/poured", {**named, "pour": str(number), "display": display})
            if step.hands:
                pages.post("/bench/done", named)
                last = named
            if step.mixture:
                pages.post("/bench/reading", {**named, "kind": "temperature", "value": "23.5"})
                pages.post("/bench/reading", {**named, "kind": "rise", "value": "1.4"})
    if last is not None:
        pages.post("/bench/take-back", last)
        pages.post("/bench/done", last)


def _sensor(pages: Pages) -> None:
    token = pages.desk.sensors.add("By the tubs", "temperature", "Hall").token
    rows = [
        {
            "temperature": 16.5 + number % 7 / 10,
            "at": (BEGUN + number * timedelta(hours=1)).isoformat(),
        }
        for number in range(24)
    ]
    pages.desk.sensors.received(token, {"samples": rows})


def _picture() -> bytes:
    """A small picture, grey from left to right, as PNG (ISO/IEC 15948)."""
    width, height = 32, 24
    rows = b"".join(b"\0" + bytes(8 * x for x in range(width)) for _ in range(height))

    def chunk(name: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def _files(pages: Pages, folder: Path) -> None:
    (folder / "kitchen.toml").write_text(demonstration_text())
    (folder / "kitchen-dated.toml").write_text(pages.store.kitchens()[0].text)
    (folder / "formulas").mkdir()
    for slug, text in demonstration_formulas().items():
        (folder / "formulas" / f"{slug}.toml").write_text(text)


def _shown(pages: Pages) -> dict[str, Any]:
    """Figures to be found again."""
    desk = pages.desk
    known = {each.ingredient: each for each in desk.larder.look(SEEN).shelves}
    return {
        "as_shown_by": __version__,
        "at": SEEN.isoformat(),
        "since": BEGUN.isoformat(),
        "lines": len(desk.records.lines()),
        "entries": len(pages.store.entries(pages.store.kitchens()[0].id)),
        "cultures": {
            life.name: {
                "state": life.state,
                "grams": round(life.mass_g, 1),
                "place": life.place,
                "fed": life.last_fed and life.last_fed.at.isoformat(),
            }
            for life in desk.lives()
        },
        "bakes": {
            bake.key: {
                "formula": bake.plan.formula,
                "culture": bake.plan.culture,
                "ready": bake.plan.ready.isoformat(),
                "done": sorted(key for key, news in bake.news.items() if news.done),
            }
            for bake in desk.past.bakes().values()
        },
        "stock_g": {name: float(known[name].stock_g) for name in ("wheat-white", "rye-whole")},
        "formulas": {each.slug: each.name for each in desk.formulas()},
    }


if __name__ == "__main__":
    main()
