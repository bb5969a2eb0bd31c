"""Who may ask, and what every answer carries."""

from __future__ import annotations

import pytest
from tests.web import fixture_plan as fixture
from tests.web.conftest import ORIGIN, Door, ask
from tests.web.fake_desk import friday_desk

from pointage.web.app import create_app
from pointage.web.guard import host_name


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.0.0.1:8317", "localhost:8317", "LOCALHOST", "[::1]:8317"]
)
def test_this_machines_own_names_are_answered(door: Door, host: str) -> None:
    assert door.get("/alive", {"Host": host}).status_code == 204


@pytest.mark.parametrize("host", ["kitchen.example", "127.0.0.1.kitchen.example", "10.0.0.7", ""])
def test_other_names_are_refused(door: Door, host: str) -> None:
    assert door.get("/", {"Host": host}).status_code == 400


def test_a_name_that_was_allowed_is_answered() -> None:
    app = create_app(friday_desk(), lambda: fixture.NOW, allowed_hosts=("Kitchen.example",))
    assert ask(app, "GET", "http://kitchen.example/alive").status_code == 204


@pytest.mark.parametrize(
    "origin",
    [
        "http://elsewhere.example",
        "http://127.0.0.1:9999",
        "http://127.0.0.1.elsewhere.example",
        "file://127.0.0.1",
        "null",
        "",
    ],
)
def test_a_form_from_elsewhere_is_refused_and_changes_nothing(door: Door, origin: str) -> None:
    answer = door.tell("/bench/done", {"Origin": origin})
    assert answer.status_code == 403
    assert ("harbour", "mix") not in door.desk.news


def test_a_form_of_our_own_is_taken(door: Door) -> None:
    assert door.tell("/bench/done", {"Origin": ORIGIN}).status_code == 303


@pytest.mark.parametrize("path", ["/", "/static/pointage.css", "/worker.js", "/nowhere", "/alive"])
def test_every_answer_carries_the_policy(door: Door, path: str) -> None:
    headers = door.get(path).headers
    policy = headers["Content-Security-Policy"].split("; ")
    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"


def test_refusals_carry_the_policy_too(door: Door) -> None:
    assert "Content-Security-Policy" in door.get("/", {"Host": "kitchen.example"}).headers


@pytest.mark.parametrize(
    ("host", "name"),
    [("localhost:80", "localhost"), ("[::1]:8317", "[::1]"), ("[::1]", "[::1]"), ("A.b", "a.b")],
)
def test_the_name_of_a_host_is_without_its_port(host: str, name: str) -> None:
    assert host_name(host) == name
