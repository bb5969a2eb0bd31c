"""Everything in one download; and a backup that failed is told on every page."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import httpx
import pytest
from tests.daybook.archives import records
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.daybook.archive.merge import import_from
from pointage.daybook.store.store import open_store
from pointage.web.app import create_app
from pointage.web.serve import keep_backups


def test_the_download_is_the_whole_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(scratch))
    desk = hall(tmp_path)
    answer = ask(create_app(desk, lambda: NOW), "GET", ORIGIN + "/daybook/archive")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/zip"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["content-disposition"] == (
        'attachment; filename="skerry-hall-2026-12-03.zip"'
    )
    assert answer.headers["content-length"] == str(len(answer.content))
    (tmp_path / "a.zip").write_bytes(answer.content)
    with open_store(f"sqlite:///{tmp_path}/b.sqlite3") as other:
        import_from(other, tmp_path / "a.zip")
        with open_store(f"sqlite:///{tmp_path}/hall.db") as store:
            assert records(other) == records(store)
    assert list(scratch.iterdir()) == []


def page(app: object) -> httpx.Response:
    return ask(app, "GET", ORIGIN + "/kitchen")  # type: ignore[arg-type]


def test_a_backup_that_failed_is_told_on_the_page_and_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    desk = hall(tmp_path)
    app = create_app(desk, lambda: NOW, trouble=lambda: desk.exchange.trouble)
    assert "backup" not in page(app).text
    (tmp_path / "backups").write_text("in the way")
    stop = keep_backups(desk.exchange, every_s=0.01)
    try:
        told = f"no backup could be made in {tmp_path}/backups: "
        wait_until(lambda: desk.exchange.trouble.startswith(told))
        assert f"N{told[1:]}" in page(app).text
        time.sleep(0.1)
        assert capsys.readouterr().err.count(told) == 1  # once, however often it is tried
        (tmp_path / "backups").unlink()
        wait_until(lambda: desk.exchange.trouble == "")
        assert told[1:] not in page(app).text
    finally:
        stop()
    assert [each.name for each in (tmp_path / "backups").glob("*.sqlite3")] == [
        "hall-20261203T170000Z.sqlite3"
    ]


def wait_until(holds: object) -> None:
    until = time.monotonic() + 60
    while not holds():  # type: ignore[operator]
        assert time.monotonic() < until
        time.sleep(0.01)
