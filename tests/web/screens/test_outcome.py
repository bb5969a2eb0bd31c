"""How a bake came out: asked on the Bench, kept, and why it may be so, on a stored kitchen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from html import unescape
from pathlib import Path
from re import search, sub
from uuid import uuid4

import pytest
from tests.faults.injector import begun, sqlite_url
from tests.faults.writing import Ids
from tests.timetable.hall import NOW
from tests.web.forms import form
from tests.whole.hall import Hall

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.past.outcome import as_worked


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    with Hall(begun(sqlite_url(tmp_path, "outcome")), NOW) as hall:
        yield hall


def text(page: str) -> str:
    return " ".join(unescape(sub("<[^>]+>", " ", page)).split())


def _mixed_cold(hall: Hall) -> str:
    """A bake of which the dough was cold, and its bulk read low before it was divided in time."""
    return _worked(hall, 17.0, timedelta())


def _worked(hall: Hall, dough_c: float, early: timedelta) -> str:
    """A bake whose dough was so warm, and divided so early, at a rise of 1.1."""
    key = Ids.of(hall).bake
    plan = hall.desk.present().every_bake[key].plan
    steps = {each.key: each for each in plan.steps}
    hall.now = plan.ready + timedelta(hours=3)
    for step, sooner in (("mix", timedelta()), ("divide", early)):
        body = {"bake": key, "step": step}
        record(hall, EntryKind.DONE, steps[step].end - sooner, body)
    bulk = steps["bulk"]
    for kind, value, at in (
        ("temperature", dough_c, bulk.start + timedelta(minutes=10)),
        ("rise", 1.1, bulk.end - early - timedelta(minutes=5)),
    ):
        said = {"bake": key, "step": "bulk", "reading": kind, "value": value}
        record(hall, EntryKind.READING, at, said)
    return key


def record(hall: Hall, kind: EntryKind, at: datetime, body: Mapping[str, object]) -> None:
    hall.store.append(Entry(str(uuid4()), hall.kitchen, kind, at, hall.now, "baker", body))


def test_the_bench_asks_until_somebody_has_said(hall: Hall) -> None:
    key = _mixed_cold(hall)
    assert f'href="/daybook/bake/{key}"' in hall.get("/").text
    said = {"entry": str(uuid4()), "sign-dense": "1", "sign-tunnels": "1", "crumb": "2"}
    assert hall.post(f"/daybook/bake/{key}", said).status_code == 303
    assert f'href="/daybook/bake/{key}"' not in hall.get("/").text
    page = text(hall.get(f"/daybook/bake/{key}").text)
    assert "Dense, heavy for its size; tunnels or a few large holes; crumb 2" in page
    assert "Dense, heavy for its size, tunnels" in text(hall.get("/daybook").text)
    told = f"/daybook/entry/{said['entry']}"
    again = hall.get(told).text
    assert '<input type="radio" name="crumb" value="2" checked>' in again
    kept = form(again, f"{told}/corrected")
    assert (kept["crumb"], kept["crust"]) == ("2", "")  # the mark that was tapped, and no other


def test_a_cold_dough_is_named_with_what_was_read(hall: Hall) -> None:
    key = _mixed_cold(hall)
    said = {"entry": str(uuid4()), "sign-dense": "1", "sign-tunnels": "1"}
    hall.post(f"/daybook/bake/{key}", said)
    page = text(hall.get(f"/daybook/bake/{key}").text)
    first = page.index("The dough was too cold")
    assert "The dough was at 17 °C after the mix" in page
    assert "warm the water" in page[first:]
    assert "Why it may have come out so" in page


def test_the_record_is_as_it_was_done(hall: Hall) -> None:
    key = _mixed_cold(hall)
    bake = hall.desk.present().every_bake[key]
    done = as_worked(bake, None, {"oven_c": 210, "steam": True, "minutes": "?"})
    assert done is not None
    assert (done.dough_c, done.divided_rise) == (17.0, 1.1)
    assert (done.oven_c, done.steam, done.minutes) == (210.0, True, None)
    assert done.done.mix == done.planned.mix


def test_nothing_said_is_refused_and_what_was_typed_stays(hall: Hall) -> None:
    key = _mixed_cold(hall)
    answer = hall.post(f"/daybook/bake/{key}", {"entry": str(uuid4()), "crumb": "9"})
    assert answer.status_code == 422
    assert form(answer.text, f"/daybook/bake/{key}")["crumb"] == "9"
    answer = hall.post(f"/daybook/bake/{key}", {"entry": str(uuid4())})
    assert answer.status_code == 422
    assert "at least one sign, mark or word" in text(answer.text)
    assert hall.get("/daybook/bake/none").status_code == 404


@pytest.mark.long
def test_the_one_change_becomes_a_variation_in_the_book(hall: Hall) -> None:
    key = _worked(hall, 25.0, timedelta(hours=2))
    hall.post(
        f"/daybook/bake/{key}", {"entry": str(uuid4()), "sign-dense": "1", "sign-tunnels": "1"}
    )
    page = hall.get(f"/daybook/bake/{key}").text
    assert "The bulk to 1.65 times its volume instead of 1.55" in text(page)
    assert f'action="/daybook/bake/{key}/variation"' in page
    cause = search(r'name="cause" value="([^"]+)"', page)
    assert cause is not None
    sent = {"cause": cause[1]}
    answer = hall.post(f"/daybook/bake/{key}/variation", sent)
    again = hall.post(f"/daybook/bake/{key}/variation", sent)
    assert answer.status_code == 303
    assert again.headers["location"] == answer.headers["location"]
    slug = answer.headers["location"].removeprefix("/formulas/")
    made, parent = (hall.desk.book.formula(each) for each in (slug, "harbour-loaf"))
    assert made.process is not None
    assert parent.process is not None
    assert made.process.bulk_rise[1] == round(parent.process.bulk_rise[1] + 0.1, 2)
    assert made.total == parent.total
    assert made.varies == "Harbour loaf"
    shown = text(hall.get(f"/formulas/{slug}").text)
    assert "A variation of Harbour loaf." in shown
    assert "The bulk ended too early. It took 2 h 30; 4 h 30 was planned." in shown
    assert "A variation of Harbour loaf" in text(hall.get("/formulas").text)
    assert f'value="{slug}"' in hall.get("/week/wish").text
    gone = hall.post(f"/daybook/bake/{key}/variation", {"cause": "no"})
    assert gone.headers["location"] == f"/daybook/bake/{key}"
