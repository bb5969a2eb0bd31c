"""Every kind of fault, as it meets the Bench of a phone: CASES, by the harness' own kinds."""

from __future__ import annotations

import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import timedelta

import httpx
from playwright.sync_api import Page, expect
from tests.conftest import PostgreSQL
from tests.faults.injector import (
    HOUR,
    KILLED,
    STOPPED,
    begun,
    breaks_off_before_the_end,
    full_disk,
    read_only,
    stopped,
)
from tests.faults.phone import FOLDING, Bench, mixed
from tests.faults.served import MOMENTS
from tests.timetable.hall import NOW
from tests.web.browser.test_outbox_in_a_browser import try_again
from tests.whole.hall import Hall

from pointage.daybook.entry import Entry, EntryKind

PATIENCE_S = 60

Run = Callable[[Bench], None]
Fault = Callable[[Bench], AbstractContextManager[object]]


def through(fault: Fault) -> Run:
    """Pressed and looked for under the fault; it arrives when that is over."""

    def run(bench: Bench) -> None:
        with fault(bench):
            bench.say()
            bench.holds()
        bench.arrives()

    return run


def none(bench: Bench) -> None:
    bench.say()
    expect(bench.page.locator("#waiting")).to_be_hidden()
    bench.arrives()


@contextmanager
def lost(bench: Bench) -> Iterator[None]:
    bench.front.loses = True
    yield
    bench.front.loses = False


@contextmanager
def second_server(bench: Bench) -> Iterator[None]:
    with lost(bench):
        yield
    bench.front.hall = bench.stack.enter_context(Hall(bench.hall.url, FOLDING))


def clock(first: timedelta, then: timedelta) -> Fault:
    """The server's clock is off, and off by something else when it is sent again."""

    @contextmanager
    def fault(bench: Bench) -> Iterator[None]:
        bench.hall.now = FOLDING + first
        with lost(bench):
            yield
        bench.hall.now = FOLDING + then

    return fault


def phone_clock(first: timedelta, then: timedelta) -> Fault:
    """The phone's clock is off, and off by something else when it is sent again."""

    @contextmanager
    def fault(bench: Bench) -> Iterator[None]:
        bench.phone.clock.set_fixed_time(FOLDING + first)
        with lost(bench):
            yield
        bench.phone.clock.set_fixed_time(FOLDING + then)

    return fault


def reloaded_meanwhile(bench: Bench) -> None:
    """The server is slow, and the page is gone before the answer."""
    bench.front.holds = True
    bench.press_done()
    bench.holds()
    bench.read(1.3)
    bench.holds()
    bench.front.holds = False
    bench.arrives()


def pressed_twice(bench: Bench) -> None:
    """A finger that comes down twice says it once, also where the answer is lost."""
    with lost(bench):
        bench.read(1.3, taps=2)
        expect(bench.page.locator("#waiting")).to_contain_text("rise 1.3")
        bench.holds()
    bench.arrives()


def asked_first(bench: Bench) -> None:
    """What is asked about is kept when it is confirmed, and not before."""
    bench.read(7.5)
    yes = bench.page.get_by_role("button", name="Yes, save it")
    expect(yes).to_be_visible()
    assert bench.outbox(bench.page) == []
    with lost(bench):
        yes.click()
        expect(bench.page.locator("#waiting")).to_contain_text("rise 7.5")
        expect(yes).to_be_disabled()
        bench.holds()
    bench.arrives()


def two_tabs(bench: Bench) -> None:
    """Two tabs of one phone have one outbox, and both send it."""
    second = bench.open(bench.phone)
    with lost(bench):
        bench.say()
        bench.read(1.4, second)
        expect(second.locator("#waiting")).to_contain_text("rise 1.4")
        bench.holds(second, bench.page)
    bench.arrives(bench.page, second)


def refused_in_both(bench: Bench) -> Page:
    """A second tab: both show a reading as refused, for its name stands for something else."""
    bench.phone.set_offline(True)
    bench.read(1.3)
    expect(bench.page.locator("#waiting")).to_contain_text("rise 1.3")
    (entry,) = bench.outbox(bench.page)
    said = {"text": "A gale."}
    other = Entry(entry["id"], bench.hall.kitchen, EntryKind.NOTE, NOW, NOW, "baker", said)
    bench.hall.store.append(other)
    bench.before += 1
    bench.phone.set_offline(False)
    second = bench.open(bench.phone, deaf=True)
    for page in (bench.page, second):
        try_again(page)
        expect(page.locator("#waiting")).to_contain_text("This form was already sent")
    return second


def send_again(page: Page, rise: float) -> None:
    page.get_by_role("button", name="Correct it").click()
    page.locator("#waiting input").fill(f"{rise}")
    page.locator("#waiting").get_by_role("button", name="Send again").click()


def mended_and_thrown_away(bench: Bench) -> None:
    """What was mended in one tab is not thrown away by another that still shows it as refused."""
    second = refused_in_both(bench)
    with lost(bench):
        send_again(bench.page, 1.35)
        expect(bench.page.locator("#waiting")).to_contain_text("Waiting to be sent")
        bench.rises = [1.35]
        second.get_by_role("button", name="Delete").click()
        expect(second.locator("#waiting")).to_contain_text("Waiting to be sent")
        bench.holds(bench.page, second)
    bench.arrives(bench.page, second)


def mended_in_both(bench: Bench) -> None:
    """What one tab has sent again, another sends no more under one more name."""
    second = refused_in_both(bench)
    for page in (bench.page, second):
        send_again(page, 1.3)
        expect(page.locator("#waiting")).to_be_hidden()
    bench.arrives(bench.page, second)


def tabs_for_the_same(bench: Bench) -> None:
    """One fold is said to be done in two tabs, without a network: both are kept, as two entries."""
    second = bench.open(bench.phone)
    bench.phone.set_offline(True)
    for page in (bench.page, second):
        bench.press_done(page)
        expect(page.locator("#waiting")).to_contain_text("Waiting to be sent")
    bench.phone.set_offline(False)
    bench.arrives(bench.page, second)


def tabs_at_once(bench: Bench) -> None:
    second = bench.open(bench.phone)
    bench.front.holds = True
    for page in (bench.page, second):
        bench.press_done(page)
    bench.front.holds = False
    for page in (bench.page, second):
        expect(page.locator("#now-head")).to_have_text("Fold, 2 of 3")
    bench.arrives(bench.page, second)


def two_phones(bench: Bench) -> None:
    """Two phones on one kitchen, each with an outbox of its own."""
    second = bench.open(bench.other)
    with lost(bench):
        bench.say()
        bench.say(second, 1.4)
        bench.holds(bench.page, second)
    bench.arrives(bench.page, second)


def killed(moment: str) -> Run:
    """Killed in the form that the page sends, and again, at the same address, in the outbox's."""

    def run(bench: Bench) -> None:
        servers: subprocess.Popen[str] = bench.request.getfixturevalue("killed_servers")
        assert servers.stdin is not None
        assert servers.stdout is not None
        bench.front.stop()
        try:
            presses: list[Callable[[], None]] = [bench.press_done, lambda: try_again(bench.page)]
            for press in presses:
                print(moment, bench.hall.url, sep="\t", file=servers.stdin, flush=True)
                _wait_for(bench.front.url)
                press()
                assert servers.stdout.readline() == "killed\n"
                expect(bench.page.locator("#waiting > div").first).to_be_visible()
                if not bench.rises:
                    bench.read(1.3)
                    expect(bench.page.locator("#waiting")).to_contain_text("rise 1.3")
                    bench.holds()
            bench.nothing_is_lost()
        finally:
            bench.front.start()
        bench.arrives()

    return run


def _wait_for(url: str) -> None:
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            httpx.get(f"{url}/alive")
            return
        except httpx.TransportError:
            assert time.monotonic() < until, "the server did not start"
            time.sleep(0.05)


def database_away(bench: Bench) -> None:
    """PostgreSQL is stopped, and comes back."""
    server: PostgreSQL = bench.request.getfixturevalue("own_postgresql")
    hall = bench.stack.enter_context(Hall(mixed(begun(server.new_database())), FOLDING))
    bench.front.hall = bench.hall = hall
    bench.before = bench.count()
    bench.page.reload()
    with stopped(server):
        bench.say()
        bench.holds(store=False)
        bench.page.reload()
        words = "The server cannot show this page just now. This page was made"
        expect(bench.page.locator("#offline")).to_contain_text(words)
    bench.arrives()


SECOND, MINUTE, NO = timedelta(seconds=1), timedelta(minutes=1), timedelta()
CASES: dict[str, dict[str, Run]] = {
    "none": {"": none, "reloaded meanwhile": reloaded_meanwhile},
    "answer lost": {"": through(lost), "pressed twice": pressed_twice, "asked first": asked_first},
    "two servers": {"": through(second_server)},
    "two tabs": {"": two_tabs, "mended and thrown away": mended_and_thrown_away},
    "two tabs for the same": {"": tabs_for_the_same, "mended in both": mended_in_both},
    "two tabs at once": {"": tabs_at_once},
    "server an hour back": {"": through(clock(-HOUR, -HOUR))},
    "server stepped back between": {"": through(clock(NO, -HOUR))},
    "server stepped on between": {"": through(clock(NO, HOUR))},
    "phone ahead": {
        "a second": through(phone_clock(1.5 * SECOND, 1.5 * SECOND)),
        "a minute": through(phone_clock(MINUTE, MINUTE)),
        "an hour, put right": through(phone_clock(HOUR, NO)),
    },
    "phone behind": {
        "a minute": through(phone_clock(-MINUTE, -MINUTE)),
        "an hour, put right": through(phone_clock(-HOUR, NO)),
    },
    "read only": {"": through(lambda bench: read_only(bench.hall))},
    "broken off before the end": {"": through(lambda bench: breaks_off_before_the_end(bench.hall))},
    "full disk": {"": through(lambda bench: full_disk(bench.hall))},
    KILLED: {moment: killed(moment) for moment in MOMENTS},
    STOPPED: {"": database_away},
    "two phones": {"": two_phones},
}
