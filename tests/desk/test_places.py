"""A log is looked at, then taken: the kitchen's file has the place's new history and all else."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from math import cos, pi
from pathlib import Path

import numpy as np
import pytest
from tests.web.stored_desk import hall

from pointage.cli.files import read_kitchen_text
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.errors import InputError
from pointage.kitchen.file.place_from_readings import ClockReading, PlaceHistory
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.file.write_place import with_history
from pointage.kitchen.kitchen import Kitchen, PlaceKind
from pointage.kitchen.log.read import LogOptions
from pointage.mixture.temperature.surroundings import Straying

NOW = datetime(2026, 12, 3, 17, tzinfo=UTC)
FIRST = datetime(2026, 11, 2, tzinfo=UTC)
AT_ONCE = np.zeros(1)


def week(mean: float = 18.0, days: int = 14, step_min: int = 30) -> list[str]:
    """A hall 2 K either way about its mean, warmest at 16:00; Dublin is on UTC then."""
    rows = []
    for i in range(days * 24 * 60 // step_min):
        at = FIRST + timedelta(minutes=step_min * i)
        celsius = mean + 2 * cos(2 * pi * (at.hour + at.minute / 60 - 16) / 24)
        rows.append(f"{at:%d/%m/%Y %H:%M};{celsius:.2f}".replace(".", ","))
    return rows


def log(rows: list[str], head: str = "Time;Hall °C") -> bytes:
    return "\r\n".join([head, *rows]).encode("cp1252")


def text_of(desk: StoredDesk) -> str:
    return next(iter(desk._store.kitchens())).text


def hall_of(kitchen: Kitchen) -> Straying:
    place = kitchen.place("Hall").surroundings
    assert isinstance(place, Straying)
    return place


def test_a_log_is_looked_at_and_nothing_kept(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    before = text_of(desk)
    rows = week()
    look = desk.places.look("hall", log(rows[:300] + rows[340:]))
    assert (look.place, look.kind, look.column, look.unit) == (
        "Hall",
        PlaceKind.ROOM,
        "Hall °C",
        "C",
    )
    assert (look.rows, look.left, look.troubles) == (len(rows) - 40, 0, ())
    assert (look.first, look.last) == (FIRST, FIRST + timedelta(days=14, minutes=-30))
    assert look.gaps == ("no reading from 2026-11-08 05:30 to 2026-11-09 02:00",)
    assert look.history.mean_c == pytest.approx(18.0, abs=0.1)
    assert look.history.swing_k == pytest.approx(2.0, abs=0.1)
    assert look.history.warmest_h == pytest.approx(16.0, abs=0.3)
    assert not look.warm
    assert text_of(desk) == before


def test_a_look_has_what_its_charts_need(tmp_path: Path) -> None:
    look = hall(tmp_path).places.look("Hall", log(week()))
    assert [each.hour for each in look.by_hour] == list(range(24))
    warmest = max(look.by_hour, key=lambda each: each.middle)
    assert warmest.hour in (15, 16)
    assert all(each.low <= each.middle <= each.high for each in look.by_hour)
    assert all(each.history == pytest.approx(each.middle, abs=0.3) for each in look.by_hour)
    assert [each.day for each in look.by_day] == [date(2026, 11, 2 + i) for i in range(14)]
    assert all(each.mean == pytest.approx(18.0, abs=0.05) for each in look.by_day)


def test_bad_rows_are_shown_and_refused_as_a_whole(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    before = text_of(desk)
    rows = week()
    rows[5], rows[9] = "02/11/2026 02:30;ERR", "soon;18,0"
    look = desk.places.look("Hall", log(rows))
    assert look.left == 2
    assert look.troubles[0].startswith("line 7: 'ERR'")
    assert look.troubles[1].startswith("line 11: 'soon'")
    with pytest.raises(InputError, match="log, line 7"):
        desk.places.take("Hall", log(rows), 1)
    assert text_of(desk) == before
    taken = desk.places.take("Hall", log(rows), 1, LogOptions(skip_bad_rows=True))
    assert taken.rows == len(rows) - 2
    assert text_of(desk) != before


def test_a_log_that_is_taken_changes_its_place_alone(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    before = text_of(desk).splitlines()
    look = desk.places.take("Hall", log(week()), 1)
    after = text_of(desk).splitlines()
    gone = [line for line in before if line not in after]
    assert all(line.split()[0] in {"temperature", "swing", "warmest", "yearly", "warmest_day"}
               for line in gone)  # fmt: skip
    assert [line for line in before if line.startswith("#")] == [
        line for line in after if line.startswith("#")
    ]
    now = hall_of(desk.kitchen())
    assert now.spread_k == pytest.approx(look.history.spread_k, abs=0.006)
    noon = FIRST + timedelta(hours=16)
    assert now.temperatures(noon, AT_ONCE)[0] == pytest.approx(20.0, abs=0.2)
    unchanged = desk.kitchen().place("Fridge").surroundings
    assert unchanged.temperatures(NOW, AT_ONCE)[0] == 4.5
    assert len(desk._store.kitchen_texts(desk._id)) == 2, "the text before is kept"


def test_a_fridge_that_is_none_is_refused(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    with pytest.raises(InputError, match=r"place 'Fridge', temperature.*0 to 12 °C"):
        desk.places.take("Fridge", log(week(18.0)), 1)
    cold = desk.places.take("Fridge", log(week(5.0)), 1)
    assert cold.history.mean_c == pytest.approx(5.0, abs=0.1)
    assert desk.kitchen().place("Fridge").kind is PlaceKind.FRIDGE


def test_what_cannot_be_looked_at_is_one_line(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    for place, data, said in (
        ("Attic", log(week()), "place: 'Attic'"),
        ("Hall", b"", "log: this text"),
        ("Hall", b"\x89PNG\r\n\x1a\n\x00\x01", "log"),
        ("Hall", log(["03/04/2026 06:00;18"]), "log, line 2: '03/04/2026'"),
        ("Hall", log(["13/04/2026 06:00;--"]), "log: this text"),
        ("Hall", log(["13/04/2026 06:00;300"]), "log, line 2: 300 °C"),
    ):
        with pytest.raises(InputError) as told:
            desk.places.look(place, data)
        assert str(told.value).startswith(said)
        assert "\n" not in str(told.value)


def test_a_few_readings_make_a_place(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    found = desk.places.take_readings("Boiler cupboard", [ClockReading(7.0, 24.0)], 1)
    cupboard = desk.kitchen().place("Boiler cupboard").surroundings
    at_7 = datetime(2026, 12, 3, 7, tzinfo=UTC)
    assert cupboard.temperatures(at_7, AT_ONCE)[0] == pytest.approx(24.0, abs=0.1)
    assert found.spread_k == pytest.approx(0.8)  # as cupboards stray


def test_a_history_is_written_as_a_file_would_have_it() -> None:
    history = PlaceHistory(16.43, 1.26, 14.9, 0.83, 2.0, 216.4)
    text = with_history(demonstration_text(), "boiler CUPBOARD", history)
    lines = text.splitlines()
    start = lines.index('name = "Boiler cupboard"')
    assert lines[start + 1 : start + 8] == [
        'kind = "warm"', 'temperature = "16.4C"', 'swing = "1.3C"', 'warmest = "14:54"',
        'yearly = "2C"', 'warmest_day = "08-05"', 'spread = "0.83C"',
    ]  # fmt: skip
    assert text.count("\n") == demonstration_text().count("\n") + 5
    calm = with_history(text, "Boiler cupboard", PlaceHistory(26.0, 0.0, 0.0, 0.8))
    assert calm == demonstration_text().replace('"26C"', '"26C"\nspread = "0.8C"')
    with pytest.raises(InputError, match="'Attic'"):
        with_history(text, "Attic", history)


def kitchen_with(folder: Path, keys: str, rows: list[str]) -> str:
    hall_keys = demonstration_text().split('name = "Hall"')[1].split("[[place]]")[0]
    text = demonstration_text().replace(hall_keys, f'\nkind = "room"\n{keys}\n\n')
    (folder / "kitchen.toml").write_text(text, encoding="utf-8")
    (folder / "hall.csv").write_bytes(log(rows))
    return str(folder / "kitchen.toml")


def test_a_kitchen_file_may_name_a_log_beside_it(tmp_path: Path) -> None:
    path = kitchen_with(tmp_path, 'log = "hall.csv"', week())
    kitchen = read_kitchen(read_kitchen_text(path, "--kitchen"), NOW)
    noon = FIRST + timedelta(hours=16)
    assert hall_of(kitchen).temperatures(noon, AT_ONCE)[0] == pytest.approx(20.0, abs=0.2)
    path = kitchen_with(tmp_path, 'log = "hall.csv"\nspread = "2C"', week())
    kitchen = read_kitchen(read_kitchen_text(path, "--kitchen"), NOW)
    assert hall_of(kitchen).spread_k == 2.0


@pytest.mark.parametrize(
    ("keys", "rows", "said"),
    [
        ('log = "gone.csv"', week(), "kitchen.toml, place 'Hall', log: "),
        ('log = "../hall.csv"', week(), "kitchen.toml, place 'Hall', log: '../hall.csv'"),
        (
            'log = "hall.csv"',
            ["13/11/2026 06:00;18", "13/11/2026 06:30;x"],
            "kitchen.toml, place 'Hall', log, line 3: 'x'",
        ),
        (
            'log = "hall.csv"\ntemperature = "17C"',
            week(),
            "kitchen.toml, place 'Hall', log: 'hall.csv' cannot be used; expected either a",
        ),
        ("log = 3", week(), "kitchen.toml, place 'Hall', log: 3"),
        (
            'log = { file = "hall.csv", colum = "x" }',
            week(),
            "kitchen.toml, place 'Hall', log: 'colum'",
        ),
        (
            'log = { file = "hall.csv", column = "Attic" }',
            week(),
            "kitchen.toml, place 'Hall', log, column: 'Attic'",
        ),
    ],
)
def test_a_log_of_a_kitchen_file_that_cannot_be_used(
    tmp_path: Path, keys: str, rows: list[str], said: str
) -> None:
    path = kitchen_with(tmp_path, keys, rows)
    with pytest.raises(InputError) as told:
        read_kitchen_text(path, "--kitchen")
    assert str(told.value).startswith(said)
    assert "\n" not in str(told.value)
