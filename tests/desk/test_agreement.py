"""Pages and commands on one store, after a few things were recorded: they show the same figures."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from tests.web.conftest import ask
from tests.web.stored_desk import NOW

from pointage.cli.app import run
from pointage.daybook.entry import EntryKind
from pointage.daybook.store.store import Store, open_store
from pointage.desk.answers import Report
from pointage.desk.bakes.plan import plan_json
from pointage.desk.calculators.forecast import forecast
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in
from pointage.timetable.plan import StepKind
from pointage.web.app import create_app
from pointage.web.screens.larder.forms import purchase
from pointage.web.words.clock import Clock
from pointage.web.words.words import mass, percent

LATER = NOW + timedelta(hours=60)
"""The moment at which everything is looked at: some of it has happened by then."""
SUNDAY = NOW + timedelta(days=3, hours=-8)
LOAF = "examples/formulas/harbour-loaf.toml"


@dataclass
class Hall:
    """A store with its pages and its commands."""

    desk: StoredDesk
    capsys: pytest.CaptureFixture[str]

    def page(self, path: str) -> str:
        """The words of a page, one space between any two."""
        answer = ask(create_app(self.desk, lambda: LATER), "GET", f"http://127.0.0.1{path}")
        assert answer.status_code == 200
        return plain(re.sub(r"<[^>]*>", " ", answer.text))

    def command(self, *words: str) -> Any:
        self.capsys.readouterr()
        assert run([*words, "--json"]) == 0
        return json.loads(self.capsys.readouterr().out)

    def now(self) -> Any:
        return self.command("now", "--now", LATER.isoformat())


def plain(text: str) -> str:
    return " ".join(html.unescape(text).split())


def recorded(desk: StoredDesk, kind: EntryKind, at: datetime, **body: object) -> None:
    desk.records.record(str(uuid4()), kind, at, body, sure=True)


def lived(store: Store, kitchen: str) -> StoredDesk:
    """A bake whose levain is built, a feed, a move, a pour-off, a split, a sack with figures."""
    bake = str(uuid4())
    plan = StoredDesk(store, kitchen, NOW, clock=lambda: NOW).wish(
        bake, "harbour-loaf", 8, SUNDAY, NOW
    )
    desk = StoredDesk(store, kitchen, NOW, clock=lambda: LATER)
    for step in plan.steps:
        if step.kind in (StepKind.FEED, StepKind.BUILD) and step.end <= LATER:
            desk.mark_done(Report(str(uuid4()), bake, step.key, step.end))
    rye = [{"ingredient": "rye-whole", "grams": 60}, {"ingredient": "water", "grams": 55}]
    fed = LATER - timedelta(hours=9)
    recorded(desk, EntryKind.FED, fed, culture="Gannet", seed_g=30, parts=rye, place="Hall")
    hours = iter(timedelta(hours=each) for each in (8, 7, 6))
    recorded(desk, EntryKind.POURED_OFF, LATER - next(hours), culture="Gannet", grams=25)
    split = {"event": "split", "culture": "Tern", "origin": "Gannet", "grams": 40}
    recorded(desk, EntryKind.CULTURE, LATER - next(hours), **split)
    recorded(desk, EntryKind.HELD, LATER - next(hours), culture="Gannet", place="Boiler cupboard")
    sack = {"item": "White wheat flour", "mass": "12.5kg", "ash": "0.61", "falling_number": "250",
            "moisture": "14.2", "label": "W 0907"}  # fmt: skip
    desk.larder.buy(str(uuid4()), purchase(sack, "EUR"), NOW)
    return desk


@pytest.fixture
def kitchen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Hall]:
    url = f"sqlite:///{tmp_path / 'hall.db'}"
    monkeypatch.setenv("POINTAGE_STORE", url)
    with open_store(url) as store:
        record = take_in(store, demonstration_text(), demonstration_formulas(), NOW)
        yield Hall(lived(store, record.id), capsys)


def test_cultures(kitchen: Hall) -> None:
    clock = Clock(kitchen.desk.kitchen().zone, LATER)
    rows = {each["name"]: each for each in kitchen.now()["cultures"]}
    assert rows.keys() == {"Gannet", "Plover", "Tern"}
    # 30 + 60 + 55 g, less 25 poured off and 40 split off; 40 are Tern, which stands beside it.
    assert (rows["Gannet"]["grams"], rows["Gannet"]["place"]) == (80, "Boiler cupboard")
    assert (rows["Tern"]["grams"], rows["Tern"]["place"]) == (40, "Hall")
    for name, row in rows.items():
        page = kitchen.page(f"/cultures/{name}")
        fed = clock.text(datetime.fromisoformat(row["fed"]))
        assert f"Fed {fed}," in page
        place = row["place"][:1].lower() + row["place"][1:]
        assert plain(f"Amount {mass(row['grams'])}, {place}") in page
        assert f"Now risen to {row['rise']:.1f}, pH {row['ph']:.1f}" in page
        assert plain(f"water {percent(row['hydration'])} of the flour") in page
        holds = row["holds_until"]
        assert ("Keeps in the cold" in page) == (holds is not None)
        if holds:
            day = clock.day(clock.local(datetime.fromisoformat(holds)).date())
            assert plain(f"one in two until {day}") in page


def test_a_forecast_begins_with_the_culture_of_its_page(kitchen: Hall) -> None:
    found = forecast(
        seed_g=50, flour_g=100, water_g=100, celsius=25, hours=2, culture="tern", now=LATER
    )
    (row,) = (each for each in kitchen.now()["cultures"] if each["name"] == "Tern")
    assert found.as_json()["culture"] == row
    # One part of it in five: its acid is diluted.
    assert row["ph"] < found.as_json()["course"][0]["ph"]


def test_stock(kitchen: Hall) -> None:
    page = kitchen.page("/larder")
    rows = kitchen.now()["stock"]
    assert {each["ingredient"] for each in rows} >= {"wheat-white", "rye-whole"}
    for row in rows:
        words = [row["label"], mass(row["grams"])]
        if row["reserved_g"]:
            free = row["free_g"]
            words += ["reserved", mass(row["reserved_g"])]
            words += [mass(-free), "short"] if free < 0 else ["free", mass(free)]
        assert plain(" ".join(words)) in page
    wheat = next(each for each in rows if each["ingredient"] == "wheat-white")
    assert 0 < wheat["reserved_g"] < 12_500


def test_the_next_step_of_the_bake_in_hand(kitchen: Hall) -> None:
    (bake,) = kitchen.now()["bakes"]
    assert (bake["formula"], bake["pieces"]) == ("Harbour loaf", 8)
    assert datetime.fromisoformat(bake["ready"]) == SUNDAY
    clock = Clock(kitchen.desk.kitchen().zone, LATER)
    page = kitchen.page("/")
    ends = clock.local(datetime.fromisoformat(bake["next"]["end"]))
    assert f"Now, for Harbour loaf {bake['next']['title']} by {ends:%a %H:%M}" in page


def test_a_plan_is_the_page_s_plan(kitchen: Hall) -> None:
    """Its culture as it stands, around the bake that is in hand: the fridge, oven and hands."""
    ready = SUNDAY + timedelta(days=1)
    asked = ("--ready", f"{ready:%Y-%m-%dT%H:%M}", "--now", f"{LATER:%Y-%m-%dT%H:%M}")
    by_command = kitchen.command("plan", LOAF, *asked, "--zone", "UTC")
    by_page = kitchen.desk.wish(str(uuid4()), "harbour-loaf", 8, ready, LATER)
    assert by_command == json.loads(json.dumps(plan_json(by_page)))
    assert by_command["steps"]


def test_the_label_goes_by_the_sack_in_use(kitchen: Hall) -> None:
    found = kitchen.command("label", LOAF, "--style", "eu")
    wheat = next(each for each in found["ingredients"] if each["name"] == "wheat-white")
    assert "W 0907" in wheat["source"]
    page = kitchen.desk.labels.label(
        "harbour-loaf", style="eu", serving=None, loss=None, may_contain=()
    )
    assert json.loads(json.dumps(page.as_json())) == found


def test_places(kitchen: Hall) -> None:
    places = {each["name"]: each["temperature_c"] for each in kitchen.now()["places"]}
    assert places["Fridge"] == 4.5  # as the file of the kitchen says
    assert places["Boiler cupboard"] == 26.0
    assert 15 <= places["Hall"] <= 19


@pytest.mark.long
def test_a_plan_that_cannot_be_after_a_feed_of_just_now_says_why(kitchen: Hall) -> None:
    """Its culture was fed an hour ago: the reasons, and not that the feed is still to come."""
    rye = [{"ingredient": "wheat-white", "grams": 60}, {"ingredient": "water", "grams": 36}]
    fed = LATER - timedelta(hours=1)
    recorded(kitchen.desk, EntryKind.FED, fed, culture="Plover", seed_g=20, parts=rye, place="Hall")
    ready = f"{LATER + timedelta(hours=5):%Y-%m-%dT%H:%M}"
    asked = ("--ready", ready, "--now", f"{LATER:%Y-%m-%dT%H:%M}", "--zone", "UTC")
    found = kitchen.command("plan", LOAF, *asked)
    assert (found["status"], found["steps"]) == ("impossible", [])
    assert "ready" in {each["name"] for each in found["conflicts"]}
