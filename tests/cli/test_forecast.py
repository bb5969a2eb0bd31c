"""`pointage forecast`: its fields, its options, and that they have the effect they should."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from pointage.cli.app import run

FED = ("forecast", "--seed", "50g", "--flour", "100g", "--water", "100g")
LEVAIN = (*FED, "--at", "25C")


@pytest.fixture
def forecast(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Any:
    """Asks in an empty home, and gives the JSON answer."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("POINTAGE_STORE", raising=False)

    def ask(*arguments: str) -> dict[str, Any]:
        assert run([*arguments, "--json"]) == 0
        outcome = capsys.readouterr()
        assert outcome.err == ""
        found: dict[str, Any] = json.loads(outcome.out)
        return found

    return ask


def test_the_object_has_the_promised_fields(forecast: Any) -> None:
    answer = forecast(*LEVAIN, "--hours", "24")
    assert {"peak_h", "ripe_from_h", "ripe_until_h", "rise_at_peak", "course"} <= set(answer)
    for key in ("ripe_from_h", "peak_h", "ripe_until_h"):
        assert set(answer[key]) == {"p10", "p50", "p90"}
        assert 0 < answer[key]["p10"] <= answer[key]["p50"] <= answer[key]["p90"]
    middle = [answer[key]["p50"] for key in ("ripe_from_h", "peak_h", "ripe_until_h")]
    assert middle == sorted(middle)
    course = answer["course"]
    for row in course:
        assert {"h", "temperature_c", "rise", "ph", "yeast_per_g", "lab_per_g"} <= set(row)
    assert (course[0]["h"], course[-1]["h"]) == (0, 24)
    assert course[0]["rise"] == pytest.approx(1)
    assert max(row["rise"] for row in course) == pytest.approx(answer["rise_at_peak"], rel=0.1)
    assert course[-1]["ph"] < course[0]["ph"]
    assert course[-1]["lab_per_g"] > course[0]["lab_per_g"]


def test_what_is_not_within_the_hours_asked_is_null(forecast: Any) -> None:
    answer = forecast(*LEVAIN, "--hours", "1")
    assert answer["peak_h"] == {"p10": None, "p50": None, "p90": None}


def test_warmth_hurries_and_salt_slows(forecast: Any) -> None:
    peaks = {
        name: forecast(*FED, *options, "--hours", "48")["peak_h"]["p50"]
        for name, options in {
            "cool": ("--at", "20C"),
            "warm": ("--at", "77F"),
            "salted": ("--at", "25C", "--salt", "2g"),
            "rye": ("--at", "25C", "--flour-kind", "rye-whole"),
        }.items()
    }
    assert peaks["warm"] < peaks["cool"]
    assert peaks["warm"] < peaks["salted"]
    assert peaks["rye"] != peaks["warm"]


def test_a_culture_of_the_kitchen_starts_from_where_it_stands(forecast: Any) -> None:
    fresh = forecast(*LEVAIN, "--hours", "36")
    chilled = forecast(*LEVAIN, "--hours", "36", "--culture", "plover")
    assert chilled["peak_h"]["p50"] > fresh["peak_h"]["p50"]  # three days in the cold: sleepy


def test_a_logged_series_is_followed(forecast: Any, tmp_path: Path) -> None:
    log = tmp_path / "night.csv"
    log.write_text("hours,celsius\n0,26\n6,26\n8,14\n24,14\n", encoding="utf-8")
    course = forecast(*LEVAIN, "--hours", "24", "--temperatures", str(log))["course"]
    by_hour = {row["h"]: row["temperature_c"] for row in course}
    assert by_hour[0] == pytest.approx(26)
    assert by_hour[6] == pytest.approx(26, abs=0.5)
    assert by_hour[24] == pytest.approx(14, abs=0.5)


def test_a_logger_file_in_fahrenheit_is_followed_and_its_gap_told(
    forecast: Any, tmp_path: Path
) -> None:
    log = tmp_path / "hall.csv"
    rows = [
        f"{6 + i // 4:02}:{15 * (i % 4):02};{68 + i / 4:.1f}".replace(".", ",")
        for i in range(48)
        if not 10 <= i < 20
    ]
    head = "Logger 7\r\n\r\nDate;Time;Temp °F\r\n"
    text = head + "\r\n".join(f"14/01/2026;{row}" for row in rows)
    log.write_bytes(text.encode("cp1252"))
    answer = forecast(*LEVAIN, "--hours", "10", "--temperatures", str(log))
    course = answer["course"]
    assert course[0]["temperature_c"] == pytest.approx(20.0)  # 68 °F
    assert course[-1]["temperature_c"] > 23  # 78 °F is 25.6 °C, and the tub lags
    notes = "; ".join(answer["notes"])
    assert "no reading from 2026-01-14 08:15 to 2026-01-14 11:00" in notes
    assert "day-first" in notes


def test_a_log_with_bad_rows_is_refused_unless_they_are_left_out(
    forecast: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "hall.csv"
    log.write_text(
        "t;temp °C\n2026-01-14 06:00;20\n2026-01-14 07:00;--\n2026-01-14 08:00;20\n"
        "2026-01-14 09:00;68.2\n2026-01-14 10:00;68\n",
        encoding="utf-8",
    )
    assert run([*LEVAIN, "--temperatures", str(log)]) == 2
    line = capsys.readouterr().err
    assert line.startswith("pointage: --temperatures, line 3: '--' (3 bad rows, more in line 5)")
    assert line.count("\n") == 1
    answer = forecast(*LEVAIN, "--temperatures", str(log), "--skip-bad-rows")
    assert max(row["temperature_c"] for row in answer["course"]) < 21
    notes = "; ".join(answer["notes"])
    assert "3 bad rows of the log were left out" in notes
    assert "the log ends after 2.0 h" in notes


@pytest.mark.parametrize(
    ("text", "options", "said"),
    [
        ("t;x\n3/4/2026 6:00;20\n", (), "--temperatures, line 2: '3/4/2026'"),
        ("t;x\n2026-01-14 06:00;68\n", (), "--temperatures, unit"),
        ("t;temp a;temp b\n2026-01-14 06:00;20;21\n", (), "--temperatures, column"),
        ("t;temp\n2026-01-14 06:00;20\n", ("--log-unit", "K"), "--log-unit: 'K'"),
        ("t;temp\n2026-01-14 06:00;20\n", ("--log-dates", "any"), "--log-dates: 'any'"),
        ("t;temp\n2026-01-14 06:00;20\n", ("--log-column", "b"), "--temperatures, column: 'b'"),
        ("nothing", (), "--temperatures: this text"),
    ],
)
def test_a_log_that_cannot_be_used_is_one_line(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    text: str,
    options: tuple[str, ...],
    said: str,
) -> None:
    log = tmp_path / "hall.csv"
    log.write_text(text, encoding="utf-8")
    assert run([*LEVAIN, "--temperatures", str(log), *options]) == 2
    line = capsys.readouterr().err
    assert line.startswith(f"pointage: {said}")
    assert line.count("\n") == 1


def test_the_same_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*LEVAIN, "--hours", "24"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == ["hours", "from", "mixing", "10", "%", "50", "%", "90", "%"]
    assert [line.split()[0] for line in lines[1:6]] == ["doubled", "pH", "ripe", "at", "ripe"]
    assert lines[7].split() == ["h", "°C", "rise", "pH"]
    assert lines[8].split()[:3] == ["0.0", "25.0", "1.00"]


def test_salt_that_no_dough_has_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*LEVAIN, "--salt", "10g"]) == 0
    assert "Warning: salt" in capsys.readouterr().out


def test_doubling_and_souring_agree_with_the_course(forecast: Any) -> None:
    answer = forecast(*LEVAIN, "--hours", "24")
    rows = answer["course"]
    doubled = next(row["h"] for row in rows if row["rise"] >= 2)
    soured = next(row["h"] for row in rows if row["ph"] <= 4.2)
    assert answer["doubled_h"]["p50"] == pytest.approx(doubled, abs=0.6)  # rows are half hours
    assert answer["ph_4_2_h"]["p50"] == pytest.approx(soured, abs=0.6)
    assert answer["doubled_h"]["p50"] < answer["peak_h"]["p50"]


def test_rye_is_said_to_rise_less(forecast: Any) -> None:
    assert forecast(*LEVAIN)["notes"] == []
    rye = forecast(*LEVAIN, "--flour-kind", "rye-whole")
    assert "rises less" in rye["notes"][0]
    assert rye["doubled_h"]["p50"] is None


def test_the_sack_s_ash_and_falling_number_count(forecast: Any) -> None:
    # More ash buffers more, so that the pH falls more slowly; a low falling number has livelier
    # enzymes. Common practice, no source.
    usual = forecast(*LEVAIN)
    rich = forecast(*LEVAIN, "--ash", "0.9")
    assert rich["ph_4_2_h"]["p50"] > usual["ph_4_2_h"]["p50"]
    lively = forecast(*LEVAIN, "--falling-number", "120")
    assert lively["ph_4_2_h"]["p50"] <= usual["ph_4_2_h"]["p50"]
    assert lively != usual
    # White wheat of 13.36 % moisture and 300 s is the table's own.
    assert forecast(*LEVAIN, "--falling-number", "300 s", "--moisture", "13.36%") == usual
    assert forecast(*LEVAIN, "--ash", "0.78 as bought") == forecast(*LEVAIN, "--ash", "0.9")


@pytest.mark.parametrize(
    ("option", "text", "line"),
    [
        (
            "--ash",
            "12",
            "--ash: 12 cannot be used; expected an ash in percent of the dry matter, from 0.2 to 4",
        ),
        (
            "--falling-number",
            "20",
            "--falling-number: 20 s cannot be used; expected a falling number from 62 to 600 s",
        ),
        (
            "--moisture",
            "60",
            "--moisture: 60 cannot be used; "
            "expected a moisture in percent of the flour as bought, from 4 to 20",
        ),
        (
            "--ash",
            "little",
            "--ash: 'little' cannot be used; expected an ash in percent of the dry matter, from",
        ),
    ],
)
def test_a_figure_that_no_flour_has(
    option: str, text: str, line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*LEVAIN, option, text]) == 2
    told = capsys.readouterr().err
    assert line in told
    assert told.count("\n") == 1
