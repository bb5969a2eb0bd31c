"""`pointage export`, `import` and `check`: what they say, what they leave behind, how they end."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from tests.daybook.archives import NOON, exported, fill, records

from pointage.cli.app import run
from pointage.daybook.archive.backup import back_up
from pointage.daybook.store.store import open_store
from pointage.desk.kitchen.begin import UNNAMED


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file of one's own store, which has been used."""
    path = tmp_path / "daybook.sqlite3"
    monkeypatch.setenv("POINTAGE_STORE", f"sqlite:///{path}")
    assert run(["sensor", "list"]) == 0  # as any command does, it begins the store
    return path


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    capsys.readouterr()
    assert run([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert isinstance(found, dict)
    return found


def line(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """The one line of a refusal."""
    capsys.readouterr()
    assert run(words) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    return told.err.removeprefix("pointage: ").rstrip()


def test_out_and_in_again(own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, other = str(tmp_path / "a.zip"), str(tmp_path / "other.sqlite3")
    out = answer(capsys, "export", path)
    assert out["bytes"] == Path(path).stat().st_size
    again = answer(capsys, "import", path, "--store", other)
    assert again["counts"] == again["new"] == out["counts"]
    twice = answer(capsys, "import", path, "--store", f"sqlite:///{other}")
    assert set(twice["new"].values()) == {0}  # type: ignore[attr-defined]
    with open_store(f"sqlite:///{own}") as mine, open_store(f"sqlite:///{other}") as theirs:
        assert records(mine) == records(theirs)
    assert run(["export", path, "--replace"]) == 0
    assert "holds 1 kitchen, " in capsys.readouterr().out


def test_what_is_there_is_not_replaced_unasked(
    own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a.zip"
    path.write_text("mine")
    expected = f"PATH: {path} cannot be used; expected a name that is not taken, or --replace"
    assert line(capsys, "export", str(path)) == expected
    assert path.read_text() == "mine"
    assert line(capsys, "export", str(tmp_path)).endswith("expected a file, not a folder")
    assert "No such file" in line(capsys, "export", str(tmp_path / "none" / "a.zip"))


def test_no_archive_and_a_damaged_one(
    own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a.zip"
    assert line(capsys, "import", str(path)) == f"{path}: it is not there; nothing was imported"
    assert run(["export", str(path)]) == 0
    path.write_bytes(path.read_bytes()[:-1])
    assert "its end is missing" in line(capsys, "import", str(path))


def test_a_store_takes_no_second_kitchen(
    own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_store(f"sqlite:///{tmp_path}/other.sqlite3") as store:
        fill(store)
        path = exported(store, tmp_path / "a.zip")
    with open_store(f"sqlite:///{own}") as store:
        mine = store.kitchens()[0]
        store.put_kitchen(replace(mine, name="Mine"), after=1)
        before = records(store)
    told = line(capsys, "import", str(path))
    assert told.startswith("kitchens 'Mine' and 'Skerry Hall': the store has another")
    with open_store(f"sqlite:///{own}") as store:
        assert records(store) == before


def test_another_store_must_be_there_to_be_read(
    own: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    named = str(tmp_path / "none.sqlite3")
    for words in (("check",), ("export", str(tmp_path / "b.zip"))):
        assert line(capsys, *words, "--store", named).startswith(f"--store: {named} cannot be used")
        assert line(capsys, *words, "--store", "mysql://x/y").startswith("--store: mysql")
    assert not Path(named).exists()


def test_check_tells_of_a_whole_store_and_its_backup(
    own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = answer(capsys, "check")
    assert (found["whole"], found["troubles"], found["last_backup"]) == (True, [], None)
    with open_store(f"sqlite:///{own}") as store:
        back_up(store, NOON)
    assert answer(capsys, "check")["last_backup"] == "2026-11-25T12:00:00Z"
    assert run(["check"]) == 0
    told = capsys.readouterr().out
    assert "Its last good backup is of 2026-11-25T12:00:00Z." in told
    assert told.endswith("The store is sound.\n")


def test_check_names_what_is_set_aside_in_a_whole_store(
    own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(own)) as store:
        for (name,) in store.execute("SELECT name FROM sqlite_master WHERE type='trigger'"):
            store.execute(f"DROP TRIGGER {name}")
        for table in ("kitchen", "kitchen_text"):
            store.execute(f"UPDATE {table} SET text = replace(text, 'zone =', 'zonn =')")
        store.commit()
    capsys.readouterr()
    assert run(["check", "--store", str(own)]) == 0
    lines = capsys.readouterr().out.splitlines()
    (aside,) = (each for each in lines if each.startswith("Set aside: "))
    assert aside.startswith(
        f"Set aside: kitchen 1: {UNNAMED}: 'zonn' cannot be used; expected one of name,"
    )
    assert lines[-1] == "The store is sound. What is set aside stays until it is corrected."
    told = answer(capsys, "check", "--store", str(own))
    assert (told["whole"], told["troubles"]) == (True, [])
    assert told["set_aside"] == [aside.removeprefix("Set aside: ")]


def test_check_tells_what_is_broken_and_ends_with_1(
    own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(own)) as store:
        for (name,) in store.execute("SELECT name FROM sqlite_master WHERE type='trigger'"):
            store.execute(f"DROP TRIGGER {name}")
        store.execute("UPDATE kitchen_text SET revision = 2")
        store.commit()
    capsys.readouterr()
    assert run(["check", "--json", "--store", str(own)]) == 1
    told = json.loads(capsys.readouterr().out)
    assert (told["whole"], told["set_aside"]) == (False, [])
    assert told["troubles"] == [f"kitchen '{UNNAMED}': its revisions have a gap"]
    other = own.with_name("flour.sqlite3")
    other.write_bytes(b"flour" * 1000)
    assert "cannot be used: file is not a database" in line(capsys, "check", "--store", str(other))


@pytest.mark.long
def test_a_full_disk_leaves_nothing_half_written(own: Path, tmp_path: Path) -> None:
    code = (
        "import resource, sys; from pointage.cli.app import run; "
        "sys.dont_write_bytecode = True; "  # cut off at that size, it would be read by all others
        "resource.setrlimit(resource.RLIMIT_FSIZE, (3000, resource.RLIM_INFINITY)); "
        "sys.exit(run(sys.argv[1:]))"
    )
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "a.zip").write_text("the last one")
    done = subprocess.run(
        [sys.executable, "-c", code, "export", str(folder / "a.zip"), "--replace"],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ,
    )
    assert done.returncode == 2
    assert "File too large" in done.stderr
    assert done.stderr.count("\n") == 1
    assert [each.name for each in folder.iterdir()] == ["a.zip"]
    assert (folder / "a.zip").read_text() == "the last one"
