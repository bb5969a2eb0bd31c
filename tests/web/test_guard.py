"""Who may ask, and what every answer carries."""

from __future__ import annotations

import pytest
from tests.web import fixture_plan as fixture
from tests.web.conftest import ORIGIN, Door, ask
from tests.web.stored_desk import friday_to_read, news

from pointage.web.app import create_app
from pointage.web.door.guard import host_of


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.0.0.1:8317", "localhost:8317", "LOCALHOST", "[::1]:8317", "[0:0::1]"]
)
def test_this_machines_own_names_are_answered(door: Door, host: str) -> None:
    assert door.get("/alive", {"Host": host}).status_code == 204


@pytest.mark.parametrize(
    "host",
    [
        "kitchen.example",
        "127.0.0.1.kitchen.example",
        "10.0.0.7",
        "",
        "[::1].evil.example",
        "[::1]evil:8317",
        "localhost:evil",
        "localhost:99999",
        "localhost:8317:8317",
        "localhost:8317@evil.example",
        "evil.example/localhost",
        "localhost evil.example",
        "[::1",
        "::1",
        "[::1::]",
        "[127.0.0.1]",
    ],
)
def test_other_names_are_refused(door: Door, host: str) -> None:
    assert door.get("/", {"Host": host}).status_code == 400


def test_a_name_that_was_allowed_is_answered() -> None:
    app = create_app(friday_to_read(), lambda: fixture.NOW, allowed_hosts=("Kitchen.example",))
    assert ask(app, "GET", "http://kitchen.example/alive").status_code == 204


@pytest.mark.parametrize(
    "origin",
    [
        "http://elsewhere.example",
        "http://127.0.0.1:9999",
        "http://127.0.0.1.elsewhere.example",
        "file://127.0.0.1",
        "http://127.0.0.1:evil",
        "http://127.0.0.1@elsewhere.example",
        "http://127.0.0.1/",
        "https://127.0.0.1:80443",
        "null",
        "",
    ],
)
def test_a_form_from_elsewhere_is_refused_and_changes_nothing(door: Door, origin: str) -> None:
    answer = door.tell("/bench/done", {"Origin": origin})
    assert answer.status_code == 403
    assert news(door.desk, "mix").done is None


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
    ("host", "origin"),
    [
        ("127.0.0.1:8317", "http://127.0.0.1:8317"),
        ("127.0.0.1:80", "http://127.0.0.1"),  # the port that the scheme has anyway
        ("127.0.0.1", "https://127.0.0.1:443"),
        ("[::1]:8317", "http://[::1]:8317"),
    ],
)
def test_an_origin_is_ours_by_name_and_port(door: Door, host: str, origin: str) -> None:
    assert door.tell("/bench/done", {"Host": host, "Origin": origin}).status_code == 303


@pytest.mark.parametrize(
    ("host", "found"),
    [
        ("localhost:80", ("localhost", 80)),
        ("localhost:", ("localhost", None)),  # RFC 3986: port = *DIGIT
        ("[::1]:8317", ("[::1]", 8317)),
        ("[::1]", ("[::1]", None)),
        ("[2001:DB8:0:0::7]", ("[2001:db8::7]", None)),
        ("A.b", ("a.b", None)),
        ("[::1].b", None),
        ("[v1.x]", None),
        ("b:6553６", None),
    ],
)
def test_a_host_is_a_name_and_perhaps_a_port(host: str, found: tuple[str, int] | None) -> None:
    assert host_of(host) == found
