"""`pointage raise`: its JSON, its words, and what it says to what cannot be."""

from __future__ import annotations

import json

import pytest

from pointage.cli.app import run

PLAIN = ["raise", "--flour-kind", "wheat-whole", "--vessel", "2l", "--at", "24C"]


def asked(capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, object]:
    assert run([*PLAIN, *more, "--json"]) == 0
    answer: dict[str, object] = json.loads(capsys.readouterr().out)
    return answer


def test_each_day_has_all_that_hands_need(capsys: pytest.CaptureFixture[str]) -> None:
    answer = asked(capsys, "--tare", "236g", "--room", "18C")
    days = answer["days"]
    assert isinstance(days, list)
    assert len(days) == 7
    for day in days:
        assert day["display_g"] == 236 + sum(day["mix"].values())
        assert 20 < day["water_temperature_c"] < 45
        assert {"lid", "place", "expect", "if_not", "ready_odds"} <= day.keys()
    assert answer["flour_total_g"] == 350
    assert answer["discard_total_g"] == sum(day["pour_off_g"] for day in days)
    assert answer["cautions"]
    assert answer["tare_if_unknown"] is None


def test_a_tare_never_taken_is_found_on_the_way(capsys: pytest.CaptureFixture[str]) -> None:
    assert "another vessel" in str(asked(capsys)["tare_if_unknown"])


def test_the_water_is_warm_at_first_and_less_so_once_lively(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Flour and kitchen at 18 °C, equal flour and water: near 34 to 35 °C to start a warm hold, 31
    to 32 °C once it is lively. Common practice, no source; a degree either way for the reading."""
    days = asked(capsys, "--room", "18C", "--days", "10")["days"]
    assert isinstance(days, list)
    assert days[0]["water_temperature_c"] == pytest.approx(34.5, abs=1.0)
    assert days[-1]["water_temperature_c"] == pytest.approx(31.5, abs=1.0)


def test_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*PLAIN, "--saw", "1:1.0@6.1"]) == 0
    said = capsys.readouterr().out
    assert "Stir it and wait" in said
    assert "until the display shows" in said
    assert "coeliac" in said


@pytest.mark.parametrize(
    ("more", "field", "right"),
    [
        (["--vessel", "0.2l"], "--vessel", "or at most 3"),
        (["--vessel", "-2l"], "--vessel", "0.05 to 200 l, such as 2l"),
        (["--daily-flour", "0g"], "--daily-flour", "above 0"),
        (["--flour-kind", "sawdust"], "--flour-kind", ""),
        (["--at", "80C"], "--at", "2 to 40"),
        (["--days", "90"], "--days", "1 to 30"),
        (["--hydration", "20"], "--hydration", "30 to 300 %"),
        (["--hydration", "250"], "hydration", "50 to 200 %"),
        (["--tare", "1000kg"], "--tare", "0 to 100 kg"),
        (["--room", "90C"], "--room", "−30 to 60 °C"),
        (["--saw", "2:1.2@9"], "pH", "2.5 to 8"),
        (["--saw", "two:1"], "--saw", "a whole number"),
        (["--saw", "2:"], "--saw", "2:1.8"),
        (["--saw", "2:1.2.3"], "--saw", "a rise from 0.3 to 10"),
        (["--saw", "2:."], "--saw", "a rise from 0.3 to 10"),
        (["--saw", "8:1.2"], "--saw: day 8", "one of the 7 days of --days"),
        (["--step", "0g"], "--step", "from 0.001"),
        (["--tare", "1" + 30 * "0"], "--tare", "a mass such as"),
        (["--saw", "2:40"], "rise", "0.3 to 10"),
    ],
)
def test_bad_input_is_one_line(
    more: list[str], field: str, right: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*PLAIN, *more]) == 2
    said = capsys.readouterr()
    assert not said.out
    assert said.err.count("\n") == 1
    assert field in said.err
    assert right in said.err


def test_every_option_that_cannot_be_used_is_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    wrong = ["--flour-kind", "wheat-hole", "--vessel", "a hat", "--at", "warm", "--saw", "2"]
    assert run(["raise", *wrong, "--daily-flour", "-5g"]) == 2
    out, err = capsys.readouterr()
    assert not out
    named = [line.removeprefix("pointage: ").split(":")[0] for line in err.splitlines()]
    assert sorted(named) == sorted(["--vessel", "--at", "--daily-flour", "--saw", "--flour-kind"])


def test_every_option_out_of_its_range_is_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*PLAIN[:-1], "90C", "--days", "99", "--daily-flour", "0g"]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(":")[1].strip() for line in lines] == ["--daily-flour", "--days", "--at"]
