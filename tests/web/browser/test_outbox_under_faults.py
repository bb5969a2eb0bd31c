"""What is said on the phone, under every kind of fault: nothing is lost, nothing is there twice.

Under a fault all that was pressed is in the store, or waits in the outbox and is seen there, also
after a reload with a network and without. When the fault is over it is there once and in effect.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext
from tests.conftest import EVERYTHING
from tests.faults.front import Front
from tests.faults.injector import KINDS, STOPPED, begun, sqlite_url
from tests.faults.phone import CLEARED, FOLDING, Bench, mixed
from tests.faults.phone_faults import CASES, Run
from tests.web.browser.test_bench_in_a_browser import kept
from tests.web.browsers import PATIENCE_S
from tests.whole.hall import Hall

pytestmark = pytest.mark.browser

ROOT = Path(__file__).parents[3]
SOON = ("none", "answer lost")
"""What is tried in every run; the others where everything is."""

TRIED = [
    pytest.param(
        run,
        id=", ".join(filter(None, (kind, how))),
        marks=[
            *([pytest.mark.postgresql] if kind == STOPPED else []),
            *([] if kind in SOON and not how else [pytest.mark.long]),
        ],
    )
    for kind, cases in CASES.items()
    for how, run in cases.items()
]


def test_every_kind_of_fault_is_tried_in_a_browser() -> None:
    assert set(CASES) == {*KINDS, "two phones"}


@pytest.fixture(scope="module")
def folding(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store whose dough is mixed, to be copied."""
    folder = tmp_path_factory.mktemp("folding")
    mixed(begun(sqlite_url(folder, "folding")))
    return folder / "folding.sqlite3"


@pytest.fixture(scope="module")
def front(folding: Path) -> Iterator[Front]:
    with Hall(f"sqlite:///{folding}", FOLDING) as hall:
        front = Front(hall)
        yield front
        front.stop()


def _phone(chromium: Browser, front: Front) -> BrowserContext:
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    context.set_default_timeout(PATIENCE_S * 1000)
    context.clock.set_fixed_time(FOLDING)
    kept(context, front.url).close()
    return context


@pytest.fixture(scope="module")
def phone(chromium: Browser, front: Front) -> Iterator[BrowserContext]:
    """It keeps the Bench for use without a network."""
    with _phone(chromium, front) as found:
        yield found


@pytest.fixture(scope="module")
def other_phone(chromium: Browser, front: Front) -> Iterator[BrowserContext]:
    with _phone(chromium, front) as found:
        yield found


@pytest.fixture(scope="module", autouse=EVERYTHING)
def killed_servers(front: Front) -> Iterator[subprocess.Popen[str]]:
    """It has loaded all that it needs when its turn comes."""
    with subprocess.Popen(
        [sys.executable, "-m", "tests.faults.served", str(front.port), FOLDING.isoformat()],
        cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        start_new_session=True,
    ) as servers:  # fmt: skip
        yield servers
        os.killpg(servers.pid, signal.SIGKILL)  # with a server that nobody killed, if there is one


@pytest.fixture
def bench(
    request: pytest.FixtureRequest,
    folding: Path,
    front: Front,
    phone: BrowserContext,
    tmp_path: Path,
) -> Iterator[Bench]:
    file = shutil.copy(folding, tmp_path / "hall.sqlite3")
    with ExitStack() as stack:
        usual, front.hall = front.hall, stack.enter_context(Hall(f"sqlite:///{file}", FOLDING))
        phone.clock.set_fixed_time(FOLDING)
        found = Bench(front, front.hall, phone, stack, request)
        try:
            yield found
            phone.set_offline(False)
            found.page.evaluate(CLEARED)  # one fault's failure is not the next one's
        finally:
            front.hall, front.loses, front.holds = usual, False, False


@pytest.mark.parametrize("run", TRIED)
def test_what_is_pressed_is_kept_once_and_never_lost(bench: Bench, run: Run) -> None:
    run(bench)
