"""A probe tells what it measured: what is kept, what is refused, and in which words."""

from __future__ import annotations

import json
import re
import socket
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall
from tests.whole.hall import command

from pointage.desk.answers import NotThere
from pointage.desk.desk import StoredDesk
from pointage.desk.records.sensors import MOST_AT_ONCE
from pointage.errors import InputError
from pointage.web.app import create_app

HOUR = timedelta(hours=1)


@dataclass
class Probe:
    desk: StoredDesk
    token: str
    name: str

    def post(self, told: Any, token: str | None = None, **rest: Any) -> httpx.Response:
        headers = {"Authorization": f"Bearer {self.token if token is None else token}"}
        sent = {"content": told} if isinstance(told, bytes) else {"json": told}
        return ask(
            create_app(self.desk, lambda: NOW),
            "POST",
            ORIGIN + "/probe",
            headers=headers | rest.pop("headers", {}),
            **(rest or sent),
        )

    def kept(self) -> list[float]:
        found = self.desk.sensors.samples(self.name, NOW - 1000 * HOUR, NOW + HOUR)
        return [round(row.mean, 6) for row in found.rows]


@pytest.fixture
def probe(tmp_path: Path) -> Probe:
    desk = hall(tmp_path)
    return Probe(desk, desk.sensors.add("By the tubs", "temperature", "hall").token, "By the tubs")


@pytest.fixture
def ruler(probe: Probe) -> Probe:
    made = probe.desk.sensors.add("Ruler", "height", "Hall")
    return Probe(probe.desk, made.token, "Ruler")


def test_a_number_is_kept_as_measured_now(probe: Probe) -> None:
    answer = probe.post({"temperature": 18.5})
    assert (answer.status_code, answer.content) == (204, b"")
    (row,) = probe.desk.sensors.samples(probe.name, NOW - HOUR, NOW + HOUR).rows
    assert (row.at, row.mean) == (NOW, 18.5)


def test_a_form_with_a_unit_and_an_instant(probe: Probe) -> None:
    at = (NOW - HOUR).isoformat()
    assert probe.post(None, data={"temperature": "77F", "at": at}).status_code == 204
    assert probe.kept() == [25.0]


def test_heights(ruler: Probe) -> None:
    assert ruler.post({"height": 62, "at": NOW.timestamp() - 60}).status_code == 204
    assert ruler.post({"height": "6.4cm"}).status_code == 204
    assert ruler.kept() == [62.0, 64.0]


def test_a_batch_sent_twice_is_kept_once(probe: Probe) -> None:
    told = {
        "samples": [
            {"temperature": 18 + i / 100, "at": (NOW - i * HOUR).isoformat()} for i in range(100)
        ]
    }
    assert probe.post(told).status_code == 204
    assert probe.post(told).status_code == 204
    assert len(probe.kept()) == 100


@pytest.mark.parametrize("token", ["", "guess", "é" * 9])
def test_without_its_token_nothing_is_kept(probe: Probe, token: str) -> None:
    sent = {"Authorization": f"Bearer {token}".encode()}
    answer = probe.post({"temperature": 18.5}, headers=sent)
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"] == "Bearer"
    assert "token" in answer.text
    assert probe.post({"temperature": 18.5}, headers={"Authorization": "Basic eA=="}).text
    assert probe.kept() == []


def test_a_renewed_token_makes_the_old_one_worthless(probe: Probe) -> None:
    new = probe.desk.sensors.renew("BY THE TUBS")
    assert probe.post({"temperature": 18.5}).status_code == 401
    assert probe.post({"temperature": 18.5}, new.token).status_code == 204


@pytest.mark.parametrize(
    ("told", "line"),
    [
        (
            {"temperature": 300},
            "temperature, sample 1: 300 °C cannot be used; expected a temperature from",
        ),
        ({"temperature": 1e9}, "temperature: "),
        ({"temperature": "64mm"}, "temperature: "),
        ({"temperature": True}, "temperature: True cannot be used"),
        ({"temperature": [18]}, "temperature: "),
        ({"temperature": None}, "temperature: "),
        ({"height": 60}, "height: this field cannot be used; expected temperature"),
        ({"at": 0}, "temperature: missing"),
        ({"temperature": 18, "at": (NOW + HOUR).isoformat()}, "not in the future"),
        ({"temperature": 18, "at": "2026-12-03T12:00"}, "at: '2026-12-03T12:00' cannot be used"),
        ({"temperature": 18, "at": 10**30}, "at: "),
        ({"temperature": 18, "at": -5.0}, "a time since 1970"),
        (
            {"samples": []},
            f"samples: what was sent cannot be used; expected a list of 1 to {MOST_AT_ONCE}",
        ),
        ({"samples": [{"temperature": 18, "at": 1}, {"temperature": 99}]}, "sample 2: 99"),
        ([18], "sample: what was sent cannot be used"),
        (b"", "body: what was sent cannot be used; expected JSON"),
        (b"{", "body: what was sent cannot be used; expected JSON"),
        (b'{"temperature": NaN}', "temperature: "),
        (b'{"temperature": 1' + b"0" * 400 + b"}", "temperature: "),
        (b"[" * 90_000, "body: what was sent cannot be used; expected JSON"),
        (b"\xff\xfe", "body: what was sent cannot be used; expected JSON"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line_and_nothing_of_it_kept(
    probe: Probe, told: Any, line: str
) -> None:
    answer = probe.post(told)
    assert answer.status_code == 422
    assert line in answer.text
    assert answer.text.count("\n") == 1
    assert len(answer.text) < 250
    assert probe.kept() == []


def test_a_body_without_end_is_refused(probe: Probe) -> None:
    answer = probe.post(b" " * 100_001)
    assert answer.status_code == 413
    assert answer.text == "A probe's message may have at most 100 kB; this one has 100001 bytes\n"


def test_only_the_probe_may_post_without_a_page(probe: Probe) -> None:
    app = create_app(probe.desk, lambda: NOW)
    assert ask(app, "POST", ORIGIN + "/bench/done").status_code == 403
    assert ask(app, "POST", ORIGIN + "/probe").status_code == 401
    assert ask(app, "POST", "http://kitchen.example/probe").status_code == 400
    assert ask(app, "GET", ORIGIN + "/probe").status_code == 405


@pytest.mark.parametrize(
    ("name", "kind", "place", "field"),
    [
        ("", "temperature", "Hall", "name"),
        ("x" * 81, "temperature", "Hall", "name"),
        ("By the tubs", "temperature", "Hall", "sensor"),
        ("Other", "weight", "Hall", "kind"),
        ("Other", "temperature", "Attic", "place"),
    ],
)
def test_a_sensor_that_cannot_be(
    probe: Probe, name: str, kind: str, place: str, field: str
) -> None:
    with pytest.raises(InputError) as caught:
        probe.desk.sensors.add(name, kind, place)
    assert caught.value.field == field
    with pytest.raises(NotThere):
        probe.desk.sensors.renew("Other")


def test_the_command_shows_a_token_once(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/d.sqlite3"
    made = command(url, "sensor", "add", "Tubs", "--place", "Counter", "--json")
    token = json.loads(made.out)["token"]
    assert re.fullmatch(r"[\w-]{43}", token)
    listed = command(url, "sensor", "list", "--json").out
    assert json.loads(listed) == {
        "sensors": [{"name": "Tubs", "kind": "temperature", "place": "Counter"}]
    }
    kept = b"".join(path.read_bytes() for path in tmp_path.glob("d.sqlite3*"))
    assert b"Tubs" in kept
    assert token.encode() not in kept
    refused = command(url, "sensor", "add", "Oven", "--place", "Attic")
    assert refused.status == 2
    assert refused.err.startswith("pointage: --place: 'Attic' cannot be used; expected a place of")


@pytest.mark.parametrize("address", ["192.0.2.1", "", "no such host"])
def test_another_address_must_be_one_of_this_machine(
    tmp_path: Path, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("uvicorn.Server.run", lambda *_, **__: pytest.fail("it is served"))
    url = f"sqlite:///{tmp_path}/d.sqlite3"
    refused = command(url, "serve", "--listen", address, "--port", "0")
    assert refused.status == 2
    assert "--listen:" in refused.err
    assert refused.err.count("\n") == 1


def test_unless_told_the_server_is_on_the_loopback_address_alone() -> None:
    from pointage.web.door.listening import LOOPBACK, listen_on

    listening = listen_on(LOOPBACK, 0)
    assert listening.getsockname()[0] == "127.0.0.1"
    with socket.socket() as other:
        other.settimeout(1)
        assert other.connect_ex(("127.0.0.2", listening.getsockname()[1])) != 0
    listening.close()
