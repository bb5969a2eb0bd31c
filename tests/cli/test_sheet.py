"""`pointage sheet` and `calendar`: the figures are the plan's, and bad input writes nothing."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import icalendar
import pytest
from pypdf import PdfReader

from pointage.cli.app import run
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import open_own

NOW = ["--now", "2026-12-03T09:00"]


@pytest.fixture(autouse=True)
def no_kitchen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Names are looked up in the demonstration kitchen, where none is stored."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


@pytest.fixture
def loaf(tmp_path: Path) -> str:
    for slug, text in demonstration_formulas().items():
        (tmp_path / f"{slug}.toml").write_text(text, encoding="utf-8")
    return str(tmp_path / "harbour-loaf.toml")


def text_of(path: Path) -> str:
    """Every text, a space between any two words."""
    pages = PdfReader(path).pages
    return " ".join(" ".join(page.extract_text() for page in pages).replace("\xa0", " ").split())


def sheet(tmp_path: Path, subject: str, *options: str) -> str:
    out = tmp_path / "out.pdf"
    assert run(["sheet", subject, "-o", str(out), *options]) == 0
    return text_of(out)


@pytest.mark.parametrize("degrees", ["C", "F"])
@pytest.mark.soon(1)
def test_a_planned_bench_sheet_says_what_the_plan_says(
    tmp_path: Path, loaf: str, capsys: pytest.CaptureFixture[str], degrees: str
) -> None:
    ready = ["--ready", "2026-12-05T09:00", *NOW]
    assert run(["plan", loaf, *ready, "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    text = sheet(tmp_path, loaf, *ready, "--degrees", degrees)
    assert f"{plan['pieces']} pieces of 900 g, ready Sat 5 Dec 2026 09:00" in text
    for step in plan["steps"]:
        assert step["title"] in text
        assert step["start"][11:16] in text
        for pour in (step["ladder"] or {"pours": ()})["pours"]:
            places = 0 if step["ladder"]["step_g"] >= 1 else 1
            assert re.search(rf"(?<!\d){pour['display_g']:.{places}f}(?!\d)", text), pour
    celsius = next(s for s in plan["steps"] if s["kind"] == "mix")["temperatures"]["water_c"]
    water = round(2 * celsius) / 2 if degrees == "C" else round(celsius * 9 / 5 + 32)
    assert f"water {water:g} °{degrees}" in text


def test_a_bench_sheet_has_the_trades_table(
    tmp_path: Path, loaf: str, capsys: pytest.CaptureFixture[str]
) -> None:
    text = sheet(tmp_path, loaf, "--pieces", "12", *NOW)
    assert run(["scale", loaf, "--pieces", "12", "--json"]) == 0
    scaled = json.loads(capsys.readouterr().out)
    for row in scaled["ingredients"]:
        assert f"{row['percent']:g} {row['grams']:.0f}" in text
    assert f"{scaled['total_g']:.0f}" in text


@pytest.mark.long
def test_the_middle_of_the_water_table_is_the_plans_water(
    tmp_path: Path, loaf: str, capsys: pytest.CaptureFixture[str]
) -> None:
    ready = ["--ready", "2026-12-05T09:00", *NOW]
    text = sheet(tmp_path, loaf, *ready)
    assert run(["plan", loaf, *ready, "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    celsius = next(s for s in plan["steps"] if s["kind"] == "mix")["temperatures"]["water_c"]
    table = text[text.index("Water for the dough, °C") :]
    figures = re.findall(r"\d+(?:\.5)?(?= |$)", table[table.index("dough 26") + 8 :])[:20]
    rows = [list(map(float, figures[n : n + 4])) for n in range(0, 20, 4)]
    assert rows[2][2] == pytest.approx(celsius, abs=0.25)
    # A warmer day takes colder water, a warmer dough warmer water.
    assert all(warmer[2] < colder[2] for colder, warmer in pairwise(rows))
    assert all(row[1] < row[2] < row[3] for row in rows)


@pytest.mark.parametrize(
    ("subject", "options", "wanted"),
    [
        ("new", ["--flour-kind", "rye-whole", "--at", "24C", "--days", "5"], "Whole rye flour"),
        ("Gannet", [], "Its pace"),
        ("Gannet", ["--kind", "travel", "--at", "19C"], "The first week, at 19 °C"),
        ("larder", [], "Shopping list"),
        ("week", [], "The week"),
    ],
)
def test_every_subject_has_its_sheet(
    tmp_path: Path, subject: str, options: list[str], wanted: str
) -> None:
    assert wanted in sheet(tmp_path, subject, *options, *NOW)


def test_a_stored_formula_is_found_by_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("POINTAGE_STORE", f"sqlite:///{tmp_path}/book.sqlite3")
    open_own(datetime(2026, 12, 1, tzinfo=UTC), demonstration_text(), demonstration_formulas())
    handout = sheet(tmp_path, "harbour loaf", "--kind", "handout", *NOW)
    assert "Baker's percentage" in handout
    label = sheet(tmp_path, "Harbour loaf", "--kind", "label", "--paper", "letter", *NOW)
    assert "Nutrition facts" in label


def test_a_raised_culture_has_the_display_of_each_day(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["--flour-kind", "rye-whole", "--vessel", "2l", "--at", "24C", "--days", "6"]
    text = sheet(tmp_path, "new", *asked, *NOW)
    assert run(["raise", *asked, "--json"]) == 0
    for day in json.loads(capsys.readouterr().out)["days"]:
        wet, whole = (day["readings"][f"after_{name}_g"] for name in ("water", "flour"))
        assert f"{wet:.0f} {whole:.0f}" in text


def test_a_label_says_what_the_label_command_says(
    tmp_path: Path, loaf: str, capsys: pytest.CaptureFixture[str]
) -> None:
    text = sheet(tmp_path, loaf, "--kind", "label", "--best-before", "2026-12-09", *NOW)
    assert run(["label", loaf, "--style", "eu", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    for row in found["panel"]:
        assert row["per_100_g"] in text
        assert row["per_serving"] in text
    assert f"Net weight {int(found['bread_g'])} g" in re.sub(r"Harbour loaf ", "", text)
    order = [text.index(each["label"].lower()) for each in found["ingredients"]]
    assert order == sorted(order)
    assert "Contains: wheat" in text
    assert "Best before: 9 Dec 2026" in text
    assert "Made by:" in text


def with_emmer(folder: Path, loaf: str) -> str:
    """The spelt with emmer in it, of which no table has all that a label needs."""
    spelt = Path(loaf.replace("harbour-loaf", "sunday-spelt")).read_text(encoding="utf-8")
    file = folder / "emmer.toml"
    file.write_text(spelt.replace("spelt-whole", "emmer-whole"), encoding="utf-8")
    return str(file)


WRONG = [
    (["{loaf}", "--kind", "week"], "--kind: 'week'"),
    (["{loaf}", "--kind", "label", "--pieces", "3"], "--pieces"),
    (["{loaf}", "--paper", "a5"], "--paper: 'a5'"),
    (["{loaf}", "--pieces", "0"], "--pieces"),
    (["{loaf}", "--ready", "soon"], "--ready"),
    (["{loaf}", "--flour-kind", "rye-whole"], "--flour-kind"),
    (["{loaf}", "--address", "javascript:alert(1)"], "--address"),
    (["{loaf}", "--kind", "label", "--style", "uk"], "--style"),
    (["{loaf}", "--kind", "label", "--labels", "7"], "--labels: '7'"),
    (["{loaf}", "--kind", "label", "--labels", "8", "--paper", "letter"], "--labels: '8'"),
    (["{loaf}", "--kind", "label", "--best-before", "soon"], "--best-before"),
    (["{emmer}", "--kind", "label"], "Salt: not known of whole emmer flour"),
    (["missing.toml"], "SUBJECT: missing.toml"),
    (["Puffin"], "SUBJECT: 'Puffin'"),
    (["new", "--flour-kind", "sand"], "--flour-kind"),
    (["new", "--at", "90C"], "--at"),
    (["new", "--days", "99"], "--days"),
    (["Gannet", "--kind", "bench"], "--kind: 'bench'"),
]


@pytest.mark.parametrize(("arguments", "said"), WRONG)
def test_bad_input_is_named_and_writes_nothing(
    tmp_path: Path,
    loaf: str,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    said: str,
) -> None:
    names = {"loaf": loaf, "emmer": with_emmer(tmp_path, loaf)}
    out = tmp_path / "out.pdf"
    filled = [each.format(**names) for each in arguments]
    assert run(["sheet", *filled, "-o", str(out), *NOW]) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()
    assert not list(tmp_path.glob(".*"))


@pytest.mark.parametrize("out", ["", ".", "no/such/folder/x.pdf", "\0"])
def test_a_file_that_cannot_be_written_is_named(
    capsys: pytest.CaptureFixture[str], out: str
) -> None:
    assert run(["sheet", "week", "-o", out]) == 2
    assert "-o" in capsys.readouterr().err


def test_a_label_without_its_nutrition_is_not_refused(tmp_path: Path, loaf: str) -> None:
    text = sheet(tmp_path, with_emmer(tmp_path, loaf), "--kind", "label", "--no-nutrition", *NOW)
    assert "Contains: wheat (spelt)" in text
    assert "Nutrition declaration" not in text


def test_the_calendar_is_written_with_its_alarms(tmp_path: Path) -> None:
    out = tmp_path / "hall.ics"
    assert run(["calendar", "-o", str(out), "--alarm", "30min", *NOW]) == 0
    events: Any = icalendar.Calendar.from_ical(out.read_bytes()).walk("VEVENT")
    assert {str(event["SUMMARY"]).split(":")[0] for event in events} == {
        "Feed Gannet and chill it again",
        "Feed Plover and chill it again",
    }
    alarms = [alarm["TRIGGER"].dt for event in events for alarm in event.walk("VALARM")]
    assert alarms == [timedelta(minutes=-30)] * 2
    assert run(["calendar", "-o", str(out), "--alarm", "3 days"]) == 2


@pytest.mark.long
def test_a_file_of_wishes_has_its_week_and_its_shopping_list(
    tmp_path: Path, loaf: str, capsys: pytest.CaptureFixture[str]
) -> None:
    wishes = tmp_path / "wishes.toml"
    wishes.write_text(
        '[[wish]]\nformula = "tinned-rye.toml"\npieces = 6\nready = 2026-12-05T15:00:00\n', "utf-8"
    )
    assert run(["week", str(wishes), *NOW, "--json"]) == 0
    week = json.loads(capsys.readouterr().out)
    text = sheet(tmp_path, str(wishes), *NOW)
    for step in week["steps"]:
        if step["hands"]:
            assert step["title"] in text
            assert step["start"][11:16] in text
    buy = sheet(tmp_path, str(wishes), *NOW, "--kind", "shopping")
    assert "Whole rye flour" in buy
    assert "Tinned rye" in buy
    wishes.write_text(wishes.read_text("utf-8").replace("2026-12-05", "2026-12-01"), "utf-8")
    out = tmp_path / "none.pdf"
    assert run(["sheet", str(wishes), "-o", str(out), *NOW]) == 2
    assert "ready" in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize("name", ["harbour-loaf", "seeded-rolls", "sunday-spelt", "tinned-rye"])
@pytest.mark.parametrize(("style", "paper"), [("eu", "a4"), ("us", "letter")])
@pytest.mark.soon(3)
def test_every_example_has_a_label_and_says_what_it_rests_on(  # noqa: PLR0917
    tmp_path: Path, loaf: str, capsys: pytest.CaptureFixture[str], name: str, style: str, paper: str
) -> None:
    out = tmp_path / "label.pdf"
    file = loaf.replace("harbour-loaf", name)
    options = ["--kind", "label", "--style", style, "--paper", paper, "-o", str(out), "--json"]
    assert run(["sheet", file, *options]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["bytes"] == out.stat().st_size
    assert found["pages"] == len(PdfReader(out).pages) == 1
    said = " ".join(found["warnings"])
    assert ("White spelt flour" in said or "white spelt flour" in said) == (name == "sunday-spelt")
