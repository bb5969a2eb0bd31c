"""What was learned lies in files, and the next process learns none of it again."""

from __future__ import annotations

import errno
import math
import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from importlib.resources import files
from itertools import count
from pathlib import Path
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.web.stored_desk import new_hall

from pointage.culture.vigour import Vigour, Window
from pointage.data.records import KitchenRecords, ask_records, shipped
from pointage.daybook.entry import EntryKind
from pointage.daybook.readings import ReadingKind
from pointage.daybook.store.store import open_store
from pointage.desk.answers import Report
from pointage.desk.at_hand import stored
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.now.learned import kept, learning
from pointage.desk.now.learned.kept import KeptAnswers, program
from pointage.desk.now.learned.written import as_bytes, from_bytes
from pointage.heat.own_oven import OwnOven
from pointage.mixture.course import Band
from pointage.mixture.learning.observation import RipeNow, Rise, TitratableAcidity
from pointage.mixture.learning.scores import Score, Scores
from pointage.mixture.learning.update import Judged, Posterior
from pointage.mixture.traits import median_traits

WEDNESDAY = datetime(2026, 12, 2, 12, tzinfo=UTC)
SATURDAY = datetime(2026, 12, 5, 9, tzinfo=UTC)
LEARNS = ("learn", "own_oven", "scores", "taught", "vigour_in")
IN_DUBLIN = WEDNESDAY.astimezone(ZoneInfo("Europe/Dublin"))
AN_OVEN = OwnOven(1 / 3, math.pi, 7)
ASKED = b"asked"
floats = st.floats(allow_nan=True, allow_infinity=True)


def posterior(*more: float) -> Posterior:
    """One that has a little of everything in it; invented."""
    traits, seen = median_traits(), Rise(WEDNESDAY, 1.1 + 0.1)
    return Posterior(
        traits,
        replace(traits, acid=np.array(more)),
        traits,
        {"Tub 2 in Fridge": np.array([1 / 3, -0.0])},
        (Judged(seen, 1e-300), Judged(TitratableAcidity(WEDNESDAY, 7.1), 0.5)),
        {"acid": 0.1},
        strays={"Fridge": np.array([[1.0, math.nan]])},
    )


@given(st.lists(floats, min_size=1, max_size=5))
def test_every_figure_comes_back_to_the_last_bit(figures: list[float]) -> None:
    window = Window(WEDNESDAY, SATURDAY)
    for answer in (
        posterior(*figures),
        Scores(tuple(Score(WEDNESDAY, 3, 2, each) for each in figures)),
        tuple(Vigour(window, Band(each, 2.0, 3.0), 4) for each in figures),
        OwnOven(figures[0], -figures[-1], 3),
    ):
        written = as_bytes(answer)
        assert written is not None
        read = from_bytes(written)
        assert as_bytes(read) == written
        assert repr(read) == repr(answer)
    read = from_bytes(as_bytes(posterior(*figures)) or b"")
    assert isinstance(read, Posterior)
    assert read.lasting.acid.tobytes() == np.array(figures).tobytes()
    assert read.lasting.acid.flags.writeable


def test_what_is_no_answer_is_not_written(tmp_path: Path) -> None:
    for answer in (object(), {1, 2}, np.array([1, 2]), Judged(RipeNow(IN_DUBLIN), 0.5)):
        assert as_bytes(answer) is None
        assert KeptAnswers(tmp_path).get(ASKED, lambda answer=answer: answer) is answer  # type: ignore[misc]
    assert list(tmp_path.iterdir()) == []


def asked(folder: Path, question: bytes = ASKED, most: int = kept.MOST) -> bool:
    """Whether it had to be worked out."""
    worked = []

    def work() -> OwnOven:
        worked.append(question)
        return AN_OVEN

    assert KeptAnswers(folder, most).get(question, work) == AN_OVEN
    return bool(worked)


def test_it_is_worked_out_once(tmp_path: Path) -> None:
    assert asked(tmp_path / "new" / "folder")
    assert not asked(tmp_path / "new" / "folder")
    assert asked(tmp_path / "new" / "folder", b"another question")


@pytest.mark.parametrize(
    "damaged",
    [
        lambda whole: b"",
        lambda whole: whole[:-1],
        lambda whole: whole[:30],
        lambda whole: whole.replace(b"OwnOven", b"Rhubarb"),
        lambda whole: whole.replace(b"7", b"8"),
        lambda whole: b"{}",
        lambda whole: b"[" * 100_000,
        lambda whole: pickle.dumps(AN_OVEN),
        lambda whole: os.urandom(500),
    ],
)
def test_a_damaged_or_foreign_file_counts_as_none(
    damaged: Callable[[bytes], bytes], tmp_path: Path
) -> None:
    asked(tmp_path)
    (file,) = tmp_path.iterdir()
    whole = file.read_bytes()
    file.write_bytes(damaged(whole))
    assert asked(tmp_path)
    assert file.read_bytes() == whole
    assert not asked(tmp_path)


@pytest.mark.parametrize(
    "written",
    [
        b"{}",
        b"\xff",
        b'{"kind":"object"}',
        b'{"kind":"Rise","at":3}',
        b'{"floats":"?","shape":[1]}',
        b'{"kind":"Rise","at":{"instant":"2026-12-02T12:00:00+00:00"},"rise":-9.0,"error":0.1}',
    ],
)
def test_what_is_no_answer_is_not_read(written: bytes) -> None:
    assert from_bytes(written) is None


def test_an_answer_under_the_name_of_another_counts_as_none(tmp_path: Path) -> None:
    asked(tmp_path)
    (first,) = tmp_path.iterdir()
    asked(tmp_path, b"another question")
    (second,) = set(tmp_path.iterdir()) - {first}
    second.write_bytes(first.read_bytes())
    assert asked(tmp_path, b"another question")


def test_a_folder_that_takes_nothing_costs_only_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    assert asked(tmp_path / "file" / "learned")
    assert asked(tmp_path / "file" / "learned")
    assert asked(tmp_path / "file")

    def full(path: Path, content: bytes) -> int:
        with path.open("wb") as file:
            file.write(content[:10])
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(Path, "write_bytes", full)
    assert asked(tmp_path / "full")
    assert asked(tmp_path / "full")
    assert list((tmp_path / "full").iterdir()) == []


def test_only_those_used_last_are_kept(tmp_path: Path) -> None:
    for number in range(4):
        asked(tmp_path, bytes([number]), most=4)
        for file in tmp_path.iterdir():
            age = file.stat().st_mtime - 100
            os.utime(file, (age, age))
    assert not asked(tmp_path, bytes([0]))
    (tmp_path / "half-written.123").write_bytes(b"")  # of a process that was ended
    assert asked(tmp_path, bytes([4]), most=4)
    assert len(list(tmp_path.iterdir())) == 4
    assert [asked(tmp_path, bytes([number])) for number in (0, 3, 4)] == [False] * 3


def test_another_program_asks_otherwise(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    known = dict(kept._sources(files("pointage")))
    assert {"data/parameters/traits.toml", "mixture/kernel.py", "errors.py"} <= known.keys()
    assert not any(name.startswith(("web/", "cli/")) for name in known)

    for name in ("data/traits.toml", "mixture/learn.py", "web/page.py"):
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_text("a = 1")
    monkeypatch.setattr(kept, "files", lambda _: tmp_path)
    digests = [program.__wrapped__()]
    for name in ("web/page.py", "data/traits.toml", "mixture/learn.py"):
        (tmp_path / name).write_text("a = 2")
        digests.append(program.__wrapped__())
    assert digests[0] == digests[1] != digests[2] != digests[3]


@pytest.fixture
def url(tmp_path: Path) -> str:
    """Skerry Hall with a bake whose levain was read, and two stands of a culture that were."""
    url = new_hall(tmp_path / "hall.db", WEDNESDAY)
    desk = opened(url, None)
    # What is worked out for a test is remembered by its arguments, of which these are some.
    new = (str(UUID(int=number)) for number in count(1))
    desk.wish(next(new), "harbour-loaf", 8, SATURDAY, WEDNESDAY)
    ((key, bake),) = desk.present().every_bake.items()
    levain = bake.plan.fed[-1]
    for hours, rise in ((3, 1.3), (4, 1.5), (5, 1.8)):
        at = levain.start + timedelta(hours=hours)
        desk.record_reading(Report(next(new), key, levain.key, at), ReadingKind.RISE, rise)
    rye = [{"ingredient": "rye-whole", "grams": 60}, {"ingredient": "water", "grams": 55}]
    for days, readings in ((9, {3: 1.5, 5: 1.9, 6: 2.0}), (0, {5: 1.9})):
        at = WEDNESDAY - timedelta(days=days)
        fed = {"culture": "Gannet", "seed_g": 30, "parts": rye, "place": "Hall"}
        desk.records.record(next(new), EntryKind.FED, at, fed)
        for hour, rise in readings.items():
            read = {"culture": "Gannet", "rise": rise}
            desk.records.record(next(new), EntryKind.MEASURED, at + timedelta(hours=hour), read)
    return url


def opened(url: str, folder: Path | None) -> StoredDesk:
    store = open_store(url)
    jobs = Jobs(beside=False, kept=None if folder is None else KeptAnswers(folder))
    (record,) = store.kitchens()
    return StoredDesk(store, record.id, WEDNESDAY, lambda: SATURDAY, jobs)


def everything(desk: StoredDesk) -> tuple[object, ...]:
    """All that is learned, and what follows from it."""
    learning = desk.present().learning
    return (
        repr(desk.present().in_hand(SATURDAY)),
        repr(desk.present().cultures(SATURDAY)),
        as_bytes(learning.beliefs_now("Plover")),
        as_bytes(learning.beliefs_now("Gannet")),
        as_bytes(learning.vigour("Gannet").found),
    )


def learned(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the engine is asked to learn from now on."""
    names: list[str] = []

    def noted(name: str, work: Callable[..., Any]) -> Callable[..., Any]:
        def asked(*of: Any, **more: Any) -> Any:
            names.append(name)
            return work(*of, **more)

        return asked

    for name in LEARNS:
        monkeypatch.setattr(learning, name, noted(name, getattr(learning, name)))
    return names


def test_a_second_process_learns_nothing_and_says_the_same(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = everything(opened(url, None))
    names = learned(monkeypatch)
    first = everything(opened(url, tmp_path / "kept"))
    assert {"learn", "scores", "taught", "vigour_in"} <= set(names)
    names.clear()
    assert everything(opened(url, tmp_path / "kept")) == first == plain
    assert names == []


def test_what_was_corrected_or_described_is_learned_anew(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = learned(monkeypatch)
    desk = opened(url, tmp_path / "kept")

    def beliefs(culture: str) -> Posterior:
        names.clear()
        found = opened(url, tmp_path / "kept").present().learning.beliefs_now(culture)
        assert found is not None
        return found

    before = {culture: beliefs(culture) for culture in ("Plover", "Gannet")}
    measured = desk.records.lines(kinds={EntryKind.MEASURED})[-1]
    right = {"culture": "Gannet", "rise": 1.95}
    desk.records.correct(str(UUID(int=91)), measured.written.id, right)
    assert not np.array_equal(beliefs("Gannet").traits.acid, before["Gannet"].traits.acid)
    assert names == ["learn"]
    beliefs("Plover")
    assert names == []

    last = desk.records.lines(kinds={EntryKind.READING})[-1]
    desk.records.withdraw(str(UUID(int=92)), last.written.id)
    assert not np.array_equal(beliefs("Plover").traits.acid, before["Plover"].traits.acid)
    assert names == ["learn"]

    # An ingredient of one's own may be in a formula of a bake, whose text does not say what it is.
    described = dict(shipped()["rye-whole"])
    own, present = KitchenRecords(), opened(url, tmp_path / "kept").present()
    own.keep("own-rye", described)
    ask_records(own)
    names.clear()
    present.learning.beliefs_now("Plover")
    assert names == ["learn"]


def test_commands_keep_it_in_the_cache_folder(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("POINTAGE_STORE", url)
    monkeypatch.setattr(kept, "cache_folder", lambda: tmp_path)
    names = learned(monkeypatch)
    for _ in range(2):
        present = stored(SATURDAY)
        assert present is not None
        present.learning.beliefs_now("Gannet")
    assert names == ["learn"]
    assert len(list((tmp_path / "learned").iterdir())) == 1


ANOTHER = """
import sys
from datetime import datetime
from pointage.desk.at_hand import stored
from pointage.desk.now.learned.kept import KeptAnswers

KeptAnswers.get = lambda self, asked, work: print(asked.hex())
learning = stored(datetime.fromisoformat(sys.argv[1])).learning
for culture in ("Plover", "Gannet"):
    learning.beliefs_now(culture)
"""


@pytest.mark.long
def test_another_process_asks_alike(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However it orders its sets."""
    said: list[str] = []
    monkeypatch.setattr(KeptAnswers, "get", lambda _, asked, work: said.append(asked.hex()))
    learning = opened(url, tmp_path).present().learning
    for culture in ("Plover", "Gannet"):
        learning.beliefs_now(culture)
    another = subprocess.run(
        [sys.executable, "-c", ANOTHER, WEDNESDAY.isoformat()],
        env=os.environ | {"POINTAGE_STORE": url, "PYTHONHASHSEED": "1"},
        capture_output=True,
        check=True,
        text=True,
    )
    assert another.stdout.split() == said
    assert len(said) == 2
