"""Whatever is recorded on the Bench can be undone there for two hours, and leaves no trace."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from datetime import timedelta
from pathlib import Path
from re import findall, search
from typing import Any
from uuid import uuid4

import pytest
from PIL import Image
from tests.faults.injector import begun, sqlite_url
from tests.timetable.hall import NOW
from tests.whole.hall import Hall

from pointage.timetable.plan import StepKind

HOUR = timedelta(hours=1)


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    """The dough of its one bake stands since a quarter of an hour."""
    with Hall(begun(sqlite_url(tmp_path, "undo")), NOW) as hall:
        for kind in (StepKind.FEED, StepKind.BUILD):
            _done(hall, kind)
        yield hall


def _key(hall: Hall) -> str:
    (key,) = hall.desk.present().every_bake
    return key


def _done(hall: Hall, kind: StepKind) -> None:
    plan = hall.desk.present().every_bake[_key(hall)].plan
    for step in (each for each in plan.steps if each.kind is kind and each.hands):
        hall.now = step.end
        _post(hall, "/bench/done", {"bake": _key(hall), "step": step.key})


def _post(hall: Hall, path: str, fields: Mapping[str, str], **rest: Any) -> str:
    entry = str(uuid4())
    answer = hall.post(path, {"entry": entry, "sure": "yes", **fields}, **rest)
    assert answer.status_code == 303, answer.text
    return entry


def _undo(hall: Hall, page: str, entry: str) -> None:
    """Press Undo as the page has it: it is of that entry."""
    html = hall.get(page).text
    form = next(each for each in findall(r"(?s)<form.*?</form>", html) if f'"{entry}"' in each)
    path = search(r'action="([^"]+)"', form)
    assert path is not None
    assert "Undo" in form
    sent = dict(findall(r'name="([^"]+)" value="([^"]*)"', form))
    assert hall.post(path[1], sent).status_code == 303
    assert f'"{entry}"' not in hall.get(page).text


def _news(hall: Hall) -> dict[str, object]:
    """What was done, poured and read of the bake, by step."""
    news = hall.desk.present().every_bake[_key(hall)].news
    said = {key: (each.done, each.poured, each.readings) for key, each in news.items()}
    return {key: each for key, each in said.items() if any(each)}


def _photo() -> bytes:
    content = io.BytesIO()
    Image.new("RGB", (8, 8)).save(content, "PNG")
    return content.getvalue()


@pytest.mark.long
def test_whatever_is_recorded_on_the_bench(hall: Hall) -> None:
    key = _key(hall)
    plan = hall.desk.present().every_bake[key].plan
    mix = next(each for each in plan.steps if each.kind is StepKind.MIX)
    assert mix.ladder is not None
    aimed = f"{float(mix.ladder.pours[0].display_g):g}"
    before = _news(hall)
    build = [each for each in plan.steps if each.kind is StepKind.BUILD][-1]
    of = {"bake": key, "step": build.key}
    fed = {
        "culture": "Gannet", "place": "Hall", "seed_g": "10", "water_g": "50", "into": "",
        "flour.rye-whole": "50",
    }  # fmt: skip
    recorded: list[tuple[str, dict[str, str], dict[str, Any]]] = [
        ("/bench/poured", {"bake": key, "step": "mix", "pour": "0", "display": aimed}, {}),
        ("/bench/reading", {**of, "kind": "rise", "value": "1.4"}, {}),
        ("/bench/reading", {**of, "kind": "ripe"}, {}),
        ("/bench/noted", {**of, "kind": "smelled", "touch": "apples"}, {}),
        ("/bench/noted", {**of, "kind": "note", "text": "Lively"}, {}),
        ("/daybook/photo", {**of, "back": "bench"}, {"files": {"photo": ("a.png", _photo())}}),
        ("/bench/culture", fed, {}),
        ("/bench/culture", {"culture": "Gannet", "place": "Fridge"}, {}),
        ("/bench/culture", {"culture": "Gannet", "event": "dried"}, {}),
        ("/bench/culture", {"culture": "Gannet", "event": "retired"}, {}),
        ("/bench/done", {"bake": key, "step": "mix"}, {}),
    ]
    entries = []
    for path, fields, rest in recorded:
        hall.now += timedelta(seconds=30)
        entries.append(_post(hall, path, fields, **rest))
    for page in ("/", f"/daybook/bake/{key}"):
        assert f'"{entries[-1]}"' in hall.get(page).text
    for entry in reversed(entries):
        _undo(hall, "/", entry)
    assert _news(hall) == before


def test_what_was_done_without_a_network_is_undone_from_when_it_arrived(hall: Hall) -> None:
    then = hall.now
    hall.now += 3 * HOUR
    entry = _post(
        hall, "/bench/done", {"bake": _key(hall), "step": "mix", "happened": then.isoformat()}
    )
    _undo(hall, "/", entry)


def test_a_bakes_own_page_rescues_and_undoes_as_the_bench_does(hall: Hall) -> None:
    key = _key(hall)
    _done(hall, StepKind.MIX)
    plan = hall.desk.present().every_bake[key].plan
    bulk = next(each for each in plan.steps if each.kind is StepKind.BULK)
    hall.now = bulk.end + 5 * HOUR
    page = f"/daybook/bake/{key}"
    on_bench = findall(r'(?s)class="gone".*?</div>', hall.get("/").text)
    here = findall(r'(?s)class="gone".*?</div>', hall.get(page).text)
    plain = [[_bare(each) for each in found] for found in (on_bench, here)]
    assert plain[0] == plain[1] != []
    entry = str(uuid4())
    said = {"entry": entry, "bake": key, "step": bulk.key, "way": "tin", "page": key}
    answer = hall.post("/bench/rescue", said)
    assert answer.headers["location"] == page
    assert "Rescued" in hall.get(page).text
    _undo(hall, page, entry)
    assert 'class="gone"' in hall.get(page).text


def _bare(html: str) -> str:
    """Without what each form has of its own."""
    return "".join(findall(r">([^<]+)<", html))


def test_several_nights_before_a_step_are_one_line(hall: Hall) -> None:
    page = f"/daybook/bake/{_key(hall)}"
    for days in (5, 1, 0):  # before the Wednesday; the next step is on Friday
        hall.now = NOW - timedelta(days=days)
        for path in ("/", page):
            html = hall.get(path).text
            lines = findall(r'<li class="(asleep|hands|stands)"', html)
            nights = "".join("n" if each == "asleep" else "s" for each in lines)
            assert "nn" not in nights, (days, path)
            named = search(r"(\d) nights without a step", html)
            assert named is not None, (days, path)
            assert int(named[1]) == days + 2
