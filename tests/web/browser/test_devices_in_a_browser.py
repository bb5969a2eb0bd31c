"""A phone joins at an address that is not the loopback's, is shut out, and joins again."""

from __future__ import annotations

import asyncio
import threading
import time
from base64 import b64encode
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Browser, Error, Page, expect
from tests.web import fixture_plan as fixture
from tests.web.browser.looks import assert_sound
from tests.web.browsers import PATIENCE_S, SIZES
from tests.web.conftest import FLAGS, chromium_here
from tests.web.stored_desk import friday_desk, news

from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app
from pointage.web.door.connections import server_of
from pointage.web.door.listening import own_addresses, sockets_at
from pointage.web.door.outside import Outside

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not own_addresses(), reason="this machine is in no network"),
]

OUTBOX = "async () => (await import('/static/outbox.js')).waiting()"
NO_PAGES = "async () => (await (await caches.open('pages')).keys()).length"


class House:
    """A kitchen's pages, served to this machine and over TLS to others."""

    def __init__(self, folder: Path) -> None:
        sockets = sockets_at("0.0.0.0", 0)
        names, self.desk = sockets.hosts, friday_desk(folder.parent)
        self.outside = Outside.of(folder, sockets.port, names, names, lambda: fixture.NOW)
        self.here, self.there = f"http://127.0.0.1:{sockets.port}/", self.outside.addresses[0]
        app = create_app(
            self.desk,
            lambda: fixture.NOW,
            allowed_hosts=("127.0.0.1", *names),
            outside=self.outside,
        )
        self.servers = [server_of(app), server_of(app, self.outside.certificate)]
        sockets.listen()
        for server, each in zip(self.servers, ([sockets.own], [*sockets.others]), strict=True):
            run = server.serve(sockets=each)
            threading.Thread(target=asyncio.run, args=(run,), daemon=True).start()

    def key(self, page: Page) -> str:
        """The link in the code on the kitchen's screen, as a camera reads it."""
        page.goto(f"{self.here}devices")
        page.get_by_role("button", name="Let another device in").click()
        key = page.locator(".door-key").inner_text()
        return f"{self.there}join?key={key}"


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    # TLS looks at the machine's clock, whatever the pages' says.
    made = House(tmp_path / "door")
    yield made
    for server in made.servers:
        server.should_exit = server.force_exit = True


@pytest.fixture
def phone(chromium: Browser, house: House, tmp_path: Path) -> Iterator[Page]:
    """A browser that trusts the certificate of the house by its key, and no other."""
    found = x509.load_pem_x509_certificates((tmp_path / "door" / "authority.pem").read_bytes())[0]
    key = found.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    trusted = b64encode(sha256(key).digest()).decode()
    context = chromium.browser_type.launch_persistent_context(
        str(tmp_path / "phone"),
        executable_path=chromium_here(),
        args=[*FLAGS, f"--ignore-certificate-errors-spki-list={trusted}"],
        viewport={"width": SIZES["phone"][0], "height": SIZES["phone"][1]},
    )
    context.set_default_timeout(PATIENCE_S * 1000)
    context.clock.set_fixed_time(fixture.NOW)
    yield context.pages[0]
    context.close()


def comes(page: Page, holds: Callable[[], bool]) -> None:
    until = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < until
        page.wait_for_timeout(50)


def is_done(desk: StoredDesk) -> bool:
    return news(desk, "mix").done is not None


def test_a_browser_that_does_not_know_the_certificate_warns(house: House, page: Page) -> None:
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(house.there)


@pytest.mark.long
def test_what_was_said_on_a_phone_that_was_shut_out_is_sent_when_it_has_joined_again(
    house: House, phone: Page, page: Page
) -> None:
    phone.goto(house.key(page))
    assert_sound(phone, *SIZES)
    assert_sound(page, *SIZES)
    phone.get_by_label("What to call this device").fill("Apron pocket")
    phone.get_by_role("button", name="Join").click()
    phone.wait_for_selector(".bench")
    expect(page.locator("#joined")).to_contain_text("Apron pocket")
    # It works with the network gone.
    comes(phone, lambda: bool(phone.evaluate("navigator.serviceWorker.controller !== null")))

    page.get_by_role("button", name="Shut out Apron pocket").click()
    phone.locator(".now").get_by_role("button", name="Done").click()
    expect(phone.locator("#waiting")).to_contain_text("Waiting to be sent")
    expect(phone.locator("#offline")).to_contain_text("shut out")
    assert_sound(phone)
    assert not is_done(house.desk)

    phone.get_by_role("link", name="Join again").click()
    expect(phone.locator("#waits")).to_contain_text("1 entry")
    phone.goto(house.there)
    expect(phone.locator("h1")).to_have_text("Join this kitchen")
    assert phone.evaluate(NO_PAGES) == 0
    assert len(phone.evaluate(OUTBOX)) == 1

    phone.goto(house.key(page))
    phone.get_by_role("button", name="Join").click()
    phone.wait_for_selector(".bench")
    comes(phone, lambda: is_done(house.desk) and not phone.evaluate(OUTBOX))
    comes(phone, lambda: bool(phone.evaluate(NO_PAGES)))
