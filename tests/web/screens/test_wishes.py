"""Several bakes planned from a form: rows, faults, the answer, and taking it whole."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event
from uuid import uuid4

import httpx
import pytest
from starlette.applications import Starlette
from tests.desk.solvers import PlannerPassing
from tests.web.conftest import ORIGIN, ask
from tests.web.forms import forms
from tests.web.stored_desk import NOW, hall

from pointage.desk.answers import Bake, StepNews
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.moves.step import held_step
from pointage.desk.now.bakes.bake import step_of
from pointage.desk.now.bakes.watch import as_done, taught, watched
from pointage.desk.plans import read_plan, write_plan
from pointage.errors import InputError
from pointage.web.app import create_app

SATURDAY = "2026-12-05"
Fields = dict[str, str]


class Door:
    """The pages on Skerry Hall, by forms."""

    def __init__(self, folder: Path, jobs: Jobs | None = None) -> None:
        jobs = jobs or Jobs(beside=False)
        jobs.planner = PlannerPassing()
        self.desk: StoredDesk = hall(folder, jobs=jobs)
        self.app: Starlette = create_app(self.desk, lambda: NOW)

    def get(self, path: str) -> httpx.Response:
        return ask(self.app, "GET", ORIGIN + path)

    def post(self, path: str, fields: Fields) -> httpx.Response:
        return ask(
            self.app,
            "POST",
            ORIGIN + path,
            headers={"Origin": ORIGIN},
            data={"entry": str(uuid4()), **fields},
        )


@pytest.fixture
def door(tmp_path: Path) -> Door:
    return Door(tmp_path)


def wish(number: int, formula: str, clock: str, **more: str) -> Fields:
    row = {"formula": formula, "day": SATURDAY, "clock": clock, "pieces": "4", **more}
    return {f"wish-{number}-{name}": text for name, text in row.items()}


def rows(page: httpx.Response) -> int:
    return page.text.count('class="wish-row"')


def test_rows_come_and_go_without_a_script(door: Door) -> None:
    assert rows(door.get("/week/plan")) == 2
    two = wish(1, "harbour-loaf", "09:00") | wish(2, "tinned-rye", "15:00", pieces="7")
    assert rows(door.post("/week/plan", two | {"add": "1"})) == 3
    left = door.post("/week/plan", two | {"remove": "1"})
    assert rows(left) == 1
    assert 'value="7"' in left.text
    assert 'value="tinned-rye" selected' in left.text
    none = door.post("/week/plan", {})
    assert none.status_code == 422
    assert "There is no bake in it" in none.text


def test_what_was_planned_is_taken_whole_and_once(door: Door) -> None:
    two = wish(1, "harbour-loaf", "09:00") | wish(2, "tinned-rye", "15:00")
    answer = door.post("/week/plan", two)
    assert answer.status_code == 303
    page = door.get(answer.headers["location"])
    assert "Everything can be done" in page.text
    assert re.search(r"on time and good: [a-z ]+ \(\d+ in 100\)", page.text)
    for culture in ("Gannet", "Plover"):  # in the drawing and in the list, in the Bench's words
        assert page.text.count(f"{culture} into the fridge") >= 2
    assert re.search(r"Deck oven.{1,200}in use ", page.text, re.DOTALL)
    assert door.desk.bakes() == []
    taken = {"entry": str(uuid4()), "week": answer.headers["location"].rpartition("/")[2]}
    for _ in range(2):
        assert door.post("/week/plan/take", taken).headers["location"] == "/week"
    bakes = door.desk.bakes()
    assert sorted(bake.plan.formula for bake in bakes) == ["Harbour loaf", "Tinned rye"]
    assert all(bake.plan.steps and bake.wished is not None for bake in bakes)
    assert door.desk.moves.look(NOW).causes == ()
    again = door.post("/week/plan/take", taken | {"entry": str(uuid4())})
    assert again.status_code == 422, "it was planned around other bakes than those now in hand"
    assert len(door.desk.bakes()) == 2


def test_a_step_is_wanted_at_its_own_time_and_held_there(door: Door) -> None:
    at = {"step": "mix", "step_day": "2026-12-04", "step_clock": "07:30"}
    answer = door.post("/week/plan", wish(1, "harbour-loaf", "18:00", **at))
    page = door.get(answer.headers["location"])
    assert re.search(r"mix the dough at Fri 07:30, as wanted|07:30 cannot be", page.text)
    (sent, *_) = [each for each in forms(page.text, "/week/plan") if "edit" in each]
    assert {name: sent[f"wish-1-{name}"] for name in at} == at
    week = answer.headers["location"].rpartition("/")[2]
    door.post("/week/plan/take", {"week": week})
    (bake,) = door.desk.bakes()
    step = held_step(bake)
    assert step is not None
    assert (step.key, step.start) == ("mix", step_of(bake, "mix").start)


def test_a_bake_that_is_woken_with_another_is_read_back_and_followed(door: Door) -> None:
    """Its plan lacks the feed that is the other's; its own build is matched to the right course."""
    key = str(uuid4())
    door.desk.wish(key, "harbour-loaf", 4, NOW + timedelta(hours=40), NOW)
    (bake,) = door.desk.bakes()
    assert bake.wished is not None
    first, build = (step for step in bake.plan.steps if step.key in ("feed-1", "build-2"))
    steps = tuple(step for step in bake.plan.steps if step is not first)
    plan, wished = read_plan(write_plan(replace(bake.plan, steps=steps), bake.wished))
    assert plan.thread is not None
    late = build.end + timedelta(minutes=30)
    done = Bake(key, plan, {"build-2": StepNews(done=late)}, wished)
    followed = as_done(done)
    assert followed is not None
    assert followed.feeds[0] == plan.thread.feeds[0]
    assert followed.feeds[1].at == plan.thread.feeds[1].at + timedelta(minutes=30)
    again = watched(done, taught(done))
    assert again.plan.steps[0].standing is not None
    assert again.plan.steps[0].standing.rows[0].at == followed.feeds[1].at
    without = replace(bake.plan, steps=tuple(s for s in bake.plan.steps if s is not build))
    with pytest.raises(InputError):
        read_plan(write_plan(without, bake.wished))


FAULTS = (
    ({"day": "2026-12-02"}, "a time after now"),
    ({"day": "2027-03-28", "clock": "01:30"}, "cannot be used"),
    ({"day": "2027-06-01"}, "within 14 days"),
    ({"clock": ""}, "cannot be used"),
    ({"pieces": "0"}, "whole number"),
    ({"grams": "-3", "pieces": ""}, "cannot be used"),
    ({"when": "between", "until": "08:00"}, "the earlier of the two times first"),
    ({"until": "17:00"}, "Only for “at any time until the second”"),
    ({"formula": "no-such"}, "cannot be used"),
    ({"formula": ""}, "cannot be used"),
    ({"stage": "toasted"}, "cannot be used"),
    ({"pieces": "900"}, "at most 16: risen, the dough needs"),
    ({"grams": "400kg", "pieces": ""}, "at most 16.67 kg: risen, the dough needs"),
    ({"grams": "90kg", "pieces": "", "stage": "ripe"}, "at most 4.61 kg: ripe, it needs"),
    ({"formula": "yeasted"}, "a stage of kind levain"),
    ({"step": "mix", "step_clock": "soon"}, "cannot be used"),
    ({"step": "", "step_clock": "07:00"}, "Choose the step that this time is for"),
    ({"step": "bake", "step_clock": "07:00", "stage": "mixed"}, "is there before that step"),
)  # fmt: skip
YEASTED = """\
name = "Yeasted"
pieces = 2
piece = "500g"

[total]
wheat-white = 100
water = 65

[[stage]]
name = "Dough"
kind = "dough"
"""


@pytest.mark.long
def test_what_cannot_be_used_is_named_in_its_place_and_the_others_are_planned(door: Door) -> None:
    door.desk.book.keep(YEASTED)
    typed = wish(1, "harbour-loaf", "09:00")
    for number, (more, _) in enumerate(FAULTS, start=2):
        typed |= wish(number, "tinned-rye", "15:00")
        typed |= {f"wish-{number}-{name}": text for name, text in more.items()}
    page = door.get(door.post("/week/plan", typed).headers["location"])
    assert "18 bakes cannot be planned as they were typed" in page.text
    assert page.text.count("on time and good: ") == 1
    places = page.text.replace("\u00a0", " ").split('<fieldset class="wish-row">')
    assert len(places) == 1 + len(FAULTS)
    for number, ((more, said), place) in enumerate(zip(FAULTS, places[1:], strict=True), start=2):
        assert f"Bake {number}</legend>" in place
        assert said in place, (number, place)
        assert 'role="alert"' in place
        for name in more.keys() & {"day", "clock", "pieces", "grams", "until", "step_clock"}:
            assert re.search(rf'name="wish-{number}-{name}"[^>]*value="{more[name]}"', place), name
    again = forms(page.text, "/week/plan")[0]
    assert {name: again[name] for name in typed if "wish-2-" in name} == {
        name: text for name, text in typed.items() if "wish-2-" in name
    }
    assert "Take this bake" in page.text
    assert door.desk.bakes() == []


def test_where_nothing_can_be_used_the_form_is_shown_again(door: Door) -> None:
    page = door.post("/week/plan", wish(1, "harbour-loaf", "", pieces="none"))
    assert page.status_code == 422
    assert page.text.count('role="alert"') == 2
    assert 'value="none"' in page.text


@pytest.mark.long
def test_what_is_leaned_to_is_planned_by_and_kept(door: Door) -> None:
    """The levain's two feeds before its build are left out where fewer are leaned to."""
    typed = wish(1, "harbour-loaf", "09:00", day="2026-12-06")
    lean = {"lean-chores": "strongly", "lean-early": "usual"}
    usual, leaned = (
        door.get(door.post("/week/plan", typed | more).headers["location"]).text
        for more in ({}, lean)
    )
    assert leaned.count("Feed") < usual.count("Feed")
    (sent, *_) = [each for each in forms(leaned, "/week/plan") if "edit" in each]
    assert sent["lean-chores"] == "strongly"
    edited = door.post("/week/plan", sent)
    assert '<details class="lean" open>' in edited.text
    wrong = door.post("/week/plan", typed | {"lean-night": "madly"})
    assert wrong.status_code == 422
    assert "expected one of usual, rather, strongly" in wrong.text


def test_a_clash_is_named_and_one_tap_takes_a_way_out(door: Door) -> None:
    soon = NOW + timedelta(hours=5)
    typed = wish(1, "harbour-loaf", "09:00") | wish(2, "tinned-rye", f"{soon:%H:%M}")
    typed["wish-2-day"] = f"{soon:%Y-%m-%d}"
    page = door.get(door.post("/week/plan", typed).headers["location"])
    assert "Not everything can be done" in page.text
    assert "Tinned rye (no. 2)" in page.text
    forms = re.findall(r'<li><p>([^<]*)</p>\s*<form[^>]*action="/week/plan">(.*?)</form>',
                       page.text, re.DOTALL)  # fmt: skip
    assert forms
    sent = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', forms[0][1]))
    better = door.get(door.post("/week/plan", sent).headers["location"])
    assert "Not everything can be done" not in better.text


@pytest.mark.long
def test_a_bake_that_can_only_be_later_is_planned_for_then_with_one_tap(door: Door) -> None:
    soon = {"formula": "harbour-loaf", "pieces": "4", "day": "2026-12-04", "clock": "03:00"}
    page = door.post("/week/wish", soon)
    assert page.status_code == 422
    later = next(each for each in forms(page.text, "/week/wish") if each["clock"] != "03:00")
    assert door.post("/week/wish", later).headers["location"] == "/week"
    (bake,) = door.desk.bakes()
    out = bake.plan.ready.astimezone(door.desk.kitchen().zone)
    assert f"{out:%Y-%m-%d %H:%M}" == f"{later['day']} {later['clock']}"
    assert f"Plan it for {out:%a %H:%M}" in page.text


def test_what_is_found_so_far_is_shown_and_it_can_be_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found, ended = Event(), Event()

    def slowly(
        *_: object, so_far: Callable[[tuple[datetime | None, ...]], None], **__: object
    ) -> None:
        so_far((datetime(2026, 12, 5, 9, tzinfo=UTC), None))
        found.set()
        ended.wait(10)

    monkeypatch.setattr("pointage.desk.week.desk.week_of", slowly)
    monkeypatch.setattr("pointage.desk.week.desk.PATIENCE_S", 0.01)
    door = Door(tmp_path, Jobs())
    two = wish(1, "harbour-loaf", "09:00") | wish(2, "tinned-rye", "15:00")
    there = door.post("/week/plan", two).headers["location"]
    assert found.wait(10)
    page = door.get(there)
    assert re.search(r"<b>Harbour loaf</b>, <time[^>]*>[^<]*09:00</time>", page.text)
    assert re.search(r"<b>Tinned rye</b>, <span[^>]*>still being tried", page.text)
    job = {"kind": "week", "name": there.rpartition("/")[2], "path": there}
    assert door.post("/jobs/cancel", job).status_code == 303
    assert "Planning was stopped" in door.get(there).text
    ended.set()


def test_what_can_be_baked_can_be_stopped_and_begun_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, ended = Event(), Event()

    def slowly(*asked: object) -> tuple[object, ...]:
        begun.set()
        ended.wait(10)
        return ()

    monkeypatch.setattr("pointage.desk.week.desk.can_be", slowly)
    monkeypatch.setattr("pointage.desk.week.desk.PATIENCE_S", 0.01)
    door = Door(tmp_path, Jobs())
    assert "Each formula is being tried" in door.get("/week/can").text
    assert begun.wait(10)
    job = {"kind": "week", "name": "what can be baked", "path": "/week/can"}
    assert door.post("/jobs/cancel", job).status_code == 303
    stopped = door.get("/week/can").text
    assert "It was stopped" in stopped
    assert 'name="again"' in stopped
    assert door.get("/week/can?day=&clock=&again=1").headers["location"] == "/week/can"
    assert "Each formula is being tried" in door.get("/week/can").text
    ended.set()


@pytest.mark.long
def test_what_can_be_baked_leads_to_a_plan_filled_in(door: Door) -> None:
    page = door.get("/week/can")
    assert page.text.count("begins ") == len(door.desk.formulas())
    (first, *_) = re.findall(r'href="(/week/wish\?[^"]+)"', page.text)
    form = door.get(first.replace("&amp;", "&"))
    (clock,) = re.findall(r'name="clock"[^>]*value="([^"]*)"', form.text)
    assert f" {clock}</time>" in page.text
    assert door.get("/week/can?day=2026-12-01&clock=18:00").status_code == 422
