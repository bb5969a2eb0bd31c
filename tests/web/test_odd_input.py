"""What no form of ours sends, by hand, to a stored kitchen: never status 500."""

from __future__ import annotations

from pathlib import Path
from time import process_time

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

DIGITS = "9" * 5000
ENTRY = "0b7f3a56-61f2-4c0f-8a33-7b0f4b1d9c11"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> StoredDesk:
    return hall(Path(tmp_path_factory.mktemp("hall")), NOW)


@pytest.mark.parametrize(
    ("path", "status"),
    [
        (f"/kitchen/file?revision={DIGITS}", 200),
        ("/kitchen/file?revision=²", 200),
        ("/kitchen/file?revision=77", 400),
        (f"/jobs?since={DIGITS}", 200),
        (f"/daybook?page={DIGITS}", 200),
        ("/daybook?from=0001-01-01&until=9999-12-31", 422),
        (f"/formulas/harbour-loaf?pieces={DIGITS}", 422),
        (f"/water?pieces={DIGITS}&formula=harbour-loaf", 422),
        (f"/formulas/harbour-loaf/what-if?wish=ripe&stage=Levain&hours={DIGITS}", 422),
        (f"/formulas/harbour-loaf/what-if?after={DIGITS}", 200),
        (f"/formulas/harbour-loaf/edit?revision={DIGITS}", 400),
        (f"/formulas/harbour-loaf/revisions?revision={DIGITS}", 200),
        (f"/larder/list?formula=harbour-loaf&pieces={DIGITS}", 422),
    ],
    ids=lambda each: str(each)[:60],
)
def test_a_page_asked_for_with_nonsense(desk: StoredDesk, path: str, status: int) -> None:
    assert _ask(desk, "GET", path).status_code == status


@pytest.mark.parametrize(
    ("path", "fields"),
    [
        ("/week/wish", {"formula": "harbour-loaf", "pieces": DIGITS, "day": "2026-12-05"}),
        ("/week/wish", {"formula": "harbour-loaf", "day": "9999-12-31", "clock": "23:59"}),
        ("/week/wish", {"formula": "harbour-loaf", "day": "0001-01-01", "clock": "00:00"}),
        ("/bench/poured", {"bake": ENTRY, "step": "mix", "pour": DIGITS, "display": "500"}),
        ("/daybook/told/note", {"text": "x", "happened": "0001-01-01T00:00+14:00"}),
        ("/bench/noted", {"bake": ENTRY, "step": "mix", "kind": "note", "text": "x",
                          "happened": "0001-01-01T00:00+14:00"}),
        ("/larder/buy", {"item": "salt", "mass": "1kg", "bought": "0001-01-01"}),
        ("/larder/buy", {"item": "salt", "mass": "1kg", "best_before": "9999-12-31"}),
        ("/kitchen/place/change", {"row": DIGITS, "name": "Hall", "revision": DIGITS}),
    ],
    ids=lambda each: str(each)[:60],
)  # fmt: skip
def test_a_form_sent_with_nonsense(desk: StoredDesk, path: str, fields: dict[str, str]) -> None:
    assert _ask(desk, "POST", path, data={"entry": ENTRY, **fields}).status_code < 500


@pytest.mark.parametrize("field", ["dates", "unit"])
def test_a_log_with_a_choice_that_is_none(desk: StoredDesk, field: str) -> None:
    log = ("hall.csv", b"time;temp C\n2026-11-25 09:00;19.5\n2026-11-25 10:00;19.6\n")
    answer = _ask(
        desk,
        "POST",
        "/kitchen/log?place=Hall",
        data={field: "nonsense", "revision": "1"},
        files={"log": log},
    )
    assert answer.status_code == 422
    assert "&#39;nonsense&#39; cannot be used; expected" in answer.text


@pytest.mark.parametrize("at", ["0001-01-01T00:00+14:00", "9999-12-31T23:59-14:00", 1e300])
def test_a_probe_at_the_end_of_the_calendar(desk: StoredDesk, at: object) -> None:
    name = f"Probe {at}"
    token = desk.sensors.add(name, "temperature", "Hall").token
    message = {"temperature": 21.5, "at": at}
    headers = {"Authorization": f"Bearer {token}"}
    answer = _ask(desk, "POST", "/probe", json=message, headers=headers)
    assert answer.status_code == 422


def _ask(desk: StoredDesk, method: str, path: str, **rest: object) -> httpx.Response:
    headers = {"Origin": ORIGIN} | dict(rest.pop("headers", {}) or {})  # type: ignore[call-overload]
    return ask(create_app(desk, lambda: NOW), method, ORIGIN + path, headers=headers, **rest)


def test_a_column_that_is_none_does_not_lengthen_a_draft_s_address(desk: StoredDesk) -> None:
    path = "/formulas/harbour-loaf/edit"
    for fields in ({"column": DIGITS}, {"do": f"column:{DIGITS}"}):
        answer = _ask(desk, "POST", path, data={"entry": ENTRY, **fields})
        assert answer.status_code == 303
        assert "column=total" in answer.headers["location"]


@pytest.mark.parametrize("text", ["#" + "x" * 200_000, "a." * 90_000 + "b = 1"])
def test_a_kitchen_s_file_without_end_is_refused_at_once(desk: StoredDesk, text: str) -> None:
    started = process_time()
    answer = _ask(desk, "POST", "/kitchen/file", data={"text": text, "revision": "1"})
    assert answer.status_code == 422
    assert process_time() - started < 2.0
