"""A culture as a page for whoever is given a piece of it, in a room of their own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pointage.desk.cultures.given import ON_THE_WAY_D, GivenCulture, GivenRoom, given
from pointage.desk.now.cultures.culture import ensemble
from pointage.desk.now.present import Present
from pointage.desk.sheets import travelling
from pointage.documents.page.plain import rights_words
from pointage.documents.page.write import culture_html
from pointage.documents.recipe import as_script
from pointage.errors import Complaint, Faults, InputError
from pointage.formula.formula import Rights
from pointage.kitchen.kitchen import CultureAtHand
from pointage.language import language, say, say_many
from pointage.shown import shown

ROOMS_C = tuple(float(celsius) for celsius in range(14, 33, 2))
SHOWN_C = (16.0, 20.0, 24.0, 28.0)
"""Of them, for the table that needs no script."""
MOST_LETTERS = 300


def share_culture(
    culture: CultureAtHand,
    present: Present,
    rights: Rights,
    reached: Callable[[float], None] = lambda share: None,
) -> str:
    """The page, as HTML, by what is believed of the culture; rights: of who gives it."""
    reached(0.1)
    traits = ensemble(present.learning.beliefs(culture.name).found)
    found = present.jobs.planner.ask(given, culture, present.kitchen, traits, ROOMS_C)
    reached(0.9)
    rows = tuple(room for room in found.rooms if room.celsius in SHOWN_C)
    table = travelling.room_table(GivenCulture(culture, found.to_peak_h, found.rest, rows))
    week = (*travelling.anywhere(), travelling.last_step(found))
    last = week[-1]
    facts = {
        "lang": language().tag,
        "shown": {"degrees": shown().degrees, "clock": shown().clock, "ounces": shown().ounces},
        "name": culture.name,
        "flours": travelling.flours_words(culture),
        "hydration": culture.hydration,
        "rooms": ROOMS_C,
        "onTheWay": ON_THE_WAY_D,
        "peak": [[_band(room, days) for days in ON_THE_WAY_D] for room in found.rooms],
        "weeks": [
            [[(feed.hour, feed.parts, feed.wakes) for feed in room.week(days)]
             for days in ON_THE_WAY_D]
            for room in found.rooms
        ],
        "kept": [_kept(room) for room in found.rooms],
        "last": {"title": last.title, "text": last.text},
    }  # fmt: skip
    return culture_html(
        facts,
        name=culture.name,
        facts_list=travelling.culture_facts(found),
        rights=rights_words(rights),
        table=table,
        week=week,
        keeping=travelling.keeping(found),
        cautions=travelling.culture_cautions(),
        linked=as_script(culture_data(culture, rights, [(s.title, s.text) for s in week])),
    )


def read_rights(author: str, year: str, licence: str) -> Rights:
    """Whose a page is, as it was typed. Raises InputError with every fault."""
    faults = Faults()
    for field, text in (("author", author), ("licence", licence)):
        if len(text) > MOST_LETTERS:
            expected = say("{most} letters at most", most=MOST_LETTERS)
            length = Complaint(say_many("{n} letter", "{n} letters", len(text)))
            faults.found.append(InputError(field, length, expected))
    if year.strip() and not (year.strip().isascii() and year.strip().isdecimal()
                             and 1 <= int(year) <= 9999):  # fmt: skip
        faults.found.append(InputError("year", repr(year), say("a year such as 2026")))
    faults.check()
    return Rights(author.strip(), year.strip(), licence.strip())


def _band(room: GivenRoom, days: float) -> tuple[float, float, float]:
    found = room.peak_h[days]
    return round(found.p10, 2), round(found.p50, 2), round(found.p90, 2)


def _kept(room: GivenRoom) -> dict[str, Any] | None:
    if room.kept is None:
        return None
    feed, (low, high) = room.kept.feed, room.kept.ripe_h
    return {
        "seed": float(feed.seed_g), "flour": float(feed.flour_g), "water": float(feed.water_g),
        "ripe": [round(low, 1), None if high is None else round(high, 1)],
    }  # fmt: skip


def culture_data(
    culture: CultureAtHand, rights: Rights, steps: list[tuple[str, str]]
) -> dict[str, Any]:
    """What is done, as linked data (schema.org's HowTo), with whose it is."""
    found = {
        "@context": "https://schema.org",
        "@type": "HowTo",
        "name": culture.name,
        "inLanguage": language().tag,
        "author": {"@type": "Person", "name": rights.author} if rights.author else None,
        "copyrightYear": int(rights.year) if rights.year else None,
        "license": rights.licence,
        "supply": [
            {"@type": "HowToSupply", "name": each}
            for each in (culture.name, travelling.flours_words(culture), say("Water"))
        ],
        "step": [
            {"@type": "HowToStep", "position": n, "name": title, "text": text}
            for n, (title, text) in enumerate(steps, start=1)
        ],
    }
    return {key: value for key, value in found.items() if value not in (None, "")}
