"""Which devices may come in: by a key that is used once, until they are shut out."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest
from tests.web import fixture_plan as fixture
from tests.web.conftest import ask
from tests.web.stored_desk import friday_to_read

from pointage.desk.desk import StoredDesk
from pointage.errors import InputError
from pointage.web.app import create_app
from pointage.web.door import devices as door
from pointage.web.door.devices import Devices, NotLetInError
from pointage.web.door.gate import COOKIE
from pointage.web.door.outside import Outside

NOW = datetime(2026, 12, 4, 12, tzinfo=UTC)
ELSEWHERE, HERE = "https://kitchen.example:8317", "http://127.0.0.1:8317"
SECRETS = ("Skerry", "Harbour", "Gannet")
"""Of the kitchen: none of it may be on a page for those who have not joined."""


@dataclass
class House:
    """A kitchen's pages as this machine and as others reach them. A test may move `now`."""

    folder: Path
    now: datetime = NOW
    desk: StoredDesk = field(default_factory=friday_to_read)

    def __post_init__(self) -> None:
        names = ("kitchen.example", "192.0.2.7")
        self.outside = Outside.of(self.folder, 8317, names, names, lambda: self.now)
        self.devices = self.outside.devices
        allowed = ("127.0.0.1", *names)
        self.app = create_app(
            self.desk, lambda: fixture.NOW, allowed_hosts=allowed, outside=self.outside
        )

    def here(self, method: str, path: str, **fields: str) -> httpx.Response:
        return ask(self.app, method, HERE + path, data=fields or None, headers={"origin": HERE})

    def there(
        self, method: str, path: str, token: str = "", headers: Any = None, **fields: str
    ) -> httpx.Response:
        headers = {"origin": ELSEWHERE, **(headers or {})}
        if token:
            headers["cookie"] = f"{COOKIE}={token}"
        return ask(self.app, method, ELSEWHERE + path, data=fields or None, headers=headers)

    def join(self, key: str, once: str = "") -> httpx.Response:
        return self.there("POST", "/join", key=key, name="Phone", once=once or str(uuid4()))

    def joined(self) -> str:
        answer = self.join(self.devices.open_door())
        assert answer.status_code == 303
        return answer.cookies[COOKIE]


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(tmp_path / "door")


def test_a_device_that_has_not_joined_sees_how_to_join_and_nothing_else(house: House) -> None:
    before = house.desk.revision()
    paths = {getattr(each, "path", "") for each in house.app.routes}
    assert len(paths) > 40
    for path in sorted(paths):
        plain = path.replace("{name}", "page.js").replace("{slug}", "harbour-loaf")
        for method in ("GET", "POST", "HEAD", "DELETE"):
            if (plain, method) in {("/probe", "POST"), ("/join", "POST")}:
                continue
            answer = house.there(method, plain)
            reads = method in {"GET", "HEAD"}
            is_join = plain in {"/join", "/join/certificate"} and reads
            status = 404 if plain.startswith("/calendar/") and reads else 401  # by its own key
            assert answer.status_code == (200 if is_join else status), (method, plain)
            assert not any(each in answer.text for each in SECRETS), (method, plain)
    for fields in ({f"f{number}": "x" for number in range(50)}, {"key": "x" * 3_000_000}):
        answer = house.there("POST", "/join", **fields)
        assert answer.status_code in {400, 413}
        assert not any(each in answer.text for each in SECRETS)
    assert house.there("GET", "/static/manifest.json").status_code == 401
    assert house.there("GET", "/static/pointage.css").status_code == 200
    assert house.there("POST", "/probe").status_code == 401
    assert house.desk.revision() == before


def test_what_is_no_loopback_address_is_not_this_machine(house: House) -> None:
    for url in ("http://kitchen.example", "https://127.0.0.1", "http://192.0.2.7:8317"):
        assert ask(house.app, "GET", f"{url}/").status_code == 401, url
    said = {"x-forwarded-for": "127.0.0.1", "x-forwarded-proto": "http", "forwarded": "for=::1"}
    assert house.there("GET", "/", headers=said).status_code == 401
    assert house.here("GET", "/").status_code == 200


def test_the_key_on_the_screen_lets_one_device_in_once(house: House) -> None:
    page = house.here("POST", "/devices/open")
    assert "<svg" in page.text
    assert "no-store" in page.headers["cache-control"]
    key = page.text.partition('class="door-key">')[2].partition("<")[0]
    assert house.outside.certificate.authority_print in page.text.replace("<wbr>", "")
    answer = house.join(f" {key.lower().replace('0', 'o')} ")
    assert answer.status_code == 303
    cookie = answer.headers["set-cookie"].lower()
    assert all(each in cookie for each in ("secure", "httponly", "samesite=lax", "path=/"))
    assert "domain" not in cookie
    token = answer.cookies[COOKIE]
    assert house.there("GET", "/", token).status_code == 200
    assert "Phone" in house.here("GET", "/devices").text
    again = house.join(key)
    assert again.status_code == 422
    assert "used already" in again.text
    assert len(house.devices.listed()) == 1


def test_an_answer_that_was_lost_can_be_had_again_and_lets_in_one_device(house: House) -> None:
    key, once = house.devices.open_door(), str(uuid4())
    lost, had = (house.join(key, once).cookies[COOKIE] for _ in range(2))
    assert [each.name for each in house.devices.listed()] == ["Phone"]
    assert house.there("GET", "/", had).status_code == 200
    assert house.there("GET", "/", lost).status_code == 401
    house.here("POST", "/devices/shut-out", device="all")
    assert house.join(key, once).status_code == 422


def test_a_key_expires_and_a_new_one_ends_the_one_before(house: House) -> None:
    key = house.devices.open_door()
    house.now += door.OPEN_FOR
    refused = house.join(key)
    assert refused.status_code == 422
    assert "expired" in refused.text
    assert house.devices.open_until is None
    old, new = house.devices.open_door(), house.devices.open_door()
    assert "does not fit" in house.join(old).text
    house.here("POST", "/devices/close")
    assert "does not fit" in house.join(new).text
    assert house.devices.listed() == ()


def test_looking_at_a_link_uses_nothing_up(house: House) -> None:
    key = house.devices.open_door()
    page = house.there("GET", f"/join?key={key}")
    assert page.status_code == 200
    assert f'value="{key}"' in page.text
    assert house.join(key).status_code == 303


def test_one_that_is_shut_out_must_join_again(house: House) -> None:
    first, second = house.joined(), house.joined()
    gone = next(each for each in house.devices.listed() if each.proof == door._proof(first))
    assert house.here("POST", "/devices/shut-out", device=gone.id).status_code == 303
    assert house.there("GET", "/", first).status_code == 401
    assert house.there("GET", "/alive", first).status_code == 401
    assert house.there("GET", "/", second).status_code == 200
    house.here("POST", "/devices/shut-out", device="all")
    assert house.there("GET", "/", second).status_code == 401


def test_only_the_machine_itself_lets_in_and_shuts_out(house: House) -> None:
    token = house.joined()
    for method, path in (
        ("GET", "/devices"),
        ("POST", "/devices/open"),
        ("POST", "/devices/close"),
        ("POST", "/devices/shut-out"),
    ):
        answer = house.there(method, path, token, device="all")
        assert answer.status_code == 403, path
        assert "at the machine" in answer.text
    assert len(house.devices.listed()) == 1
    assert house.devices.open_until is None


def test_guessing_is_slowed_for_who_guesses_alone(house: House) -> None:
    key = house.devices.open_door()

    def guess(typed: str, address: str) -> str:
        try:
            return house.devices.join(typed, "", str(uuid4()), address)
        except NotLetInError as error:
            return "later" if error.later else "no"

    said = [guess("0" * 16, "192.0.2.1") for _ in range(door.MOST_TRIES + 3)]
    assert said == ["no"] * door.MOST_TRIES + ["later"] * 3
    assert guess(key, "192.0.2.1") == "later", "not even the right one, for a minute"
    for number in range(2 * door.MOST_ADDRESSES):
        guess("0" * 16, f"2001:db8::{number:x}")
    assert len(house.devices._tries) <= door.MOST_ADDRESSES
    assert guess(key, "192.0.2.2") not in {"no", "later"}
    too_many = [house.join("1" * 16).status_code for _ in range(door.MOST_TRIES + 1)]
    assert too_many == [422] * door.MOST_TRIES + [429]
    house.now += timedelta(minutes=1, seconds=1)
    assert house.join("1" * 16).status_code == 422


@pytest.mark.parametrize("token", ["", "x", "é" * 20, "0" * 5000])
def test_a_cookie_that_is_none_of_ours_is_nobody(house: House, token: str) -> None:
    house.joined()
    assert house.devices.known(token) is None


def test_nothing_that_is_kept_lets_anybody_in(house: House) -> None:
    key = house.devices.open_door()
    token = house.join(key).cookies[COOKIE]
    for each in house.folder.iterdir():
        assert each.stat().st_mode & 0o077 == 0, each
        assert key.encode() not in each.read_bytes()
        assert token.encode() not in each.read_bytes()
    assert house.folder.stat().st_mode & 0o077 == 0
    kept = json.loads((house.folder / door.FILE).read_text())["devices"][0]
    assert house.there("GET", "/", kept["proof"]).status_code == 401


def test_who_has_joined_outlasts_the_server_and_another_server_hears_of_it(house: House) -> None:
    token, other = house.joined(), Devices(house.folder, lambda: house.now)
    device = other.known(token)
    assert device is not None
    house.now += timedelta(hours=1)
    assert house.there("GET", "/", token).status_code == 200
    assert other.listed()[0].seen == house.now
    other.shut_out(device.id)
    assert house.there("GET", "/", token).status_code == 401


def test_where_it_cannot_be_kept_nobody_joins_and_the_key_is_not_used_up(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    key, once, token = house.devices.open_door(), str(uuid4()), ""
    with monkeypatch.context() as patch:
        patch.setattr(door, "write_private", full)
        answer = house.join(key, once)
        assert (answer.status_code, answer.headers["retry-after"]) == (503, "60")
        assert "set-cookie" not in answer.headers
        assert house.devices.listed() == ()
    token = house.join(key, once).cookies[COOKIE]
    with monkeypatch.context() as patch:
        patch.setattr(door, "write_private", full)
        house.now += timedelta(days=1)
        assert house.there("GET", "/", token).status_code == 200, "a full disk keeps nobody out"


def test_a_spoiled_list_is_named_lets_nobody_in_and_can_be_begun_again(house: House) -> None:
    token = house.joined()
    (house.folder / door.FILE).write_text('{"devices": [{"id": 1}]}')
    with pytest.raises(InputError, match=r"devices\.json"):
        Devices(house.folder, lambda: NOW)
    assert house.there("GET", "/", token).status_code == 401
    key = house.devices.open_door()
    assert house.join(key).status_code == 503
    assert "cannot be read" in house.here("GET", "/devices").text
    assert house.here("POST", "/devices/shut-out", device="all").status_code == 303
    assert "No device yet" in house.here("GET", "/devices").text
    assert house.there("GET", "/", token).status_code == 401
    assert house.there("GET", "/", house.joined()).status_code == 200


def test_a_name_is_shown_as_it_is_typed_and_no_further(house: House) -> None:
    key = house.devices.open_door()
    name = "<b>\x1b[31m" + "long " * 20
    house.there("POST", "/join", key=key, name=name, once="x")
    page = house.here("GET", "/devices").text
    assert "&lt;b&gt;[31mlong" in page
    assert len(house.devices.listed()[0].name) <= door.LONGEST_NAME


def test_without_listening_to_others_the_page_says_how(house: House) -> None:
    app = create_app(house.desk, lambda: fixture.NOW)
    for method, path in (("GET", "/devices"), ("POST", "/devices/open")):
        answer = ask(app, method, HERE + path, headers={"origin": HERE})
        assert "pointage serve --listen 0.0.0.0" in answer.text
    for path in ("/join", "/join/certificate"):
        assert ask(app, "GET", HERE + path).status_code == 404


def test_the_cookie_lasts_from_the_last_page_on(house: House) -> None:
    token = house.joined()
    answer = house.there("GET", "/", token)
    assert f"Max-Age={400 * 24 * 3600}" in answer.headers["set-cookie"]
    assert "set-cookie" not in house.there("GET", "/alive", token).headers
