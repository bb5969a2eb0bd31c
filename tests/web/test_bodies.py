"""Bodies that are too long, by what they say of their length and by what comes."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest
from tests.web import fixture_plan as fixture
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import friday_to_read

from pointage.web.app import create_app
from pointage.web.door.bodies import MOST

BOUNDARY = {"Content-Type": "multipart/form-data; boundary=b", "Origin": ORIGIN}
HEAD = b'--b\r\nContent-Disposition: form-data; name="log"; filename="a.csv"\r\n\r\n'
PATHS = {
    "/kitchen/log": "at most 100 MB",
    "/daybook/photo": "at most 8 MB",
    "/bench/done": "at most 2 MB",
    "/formulas/import": "at most 2 MB",
    "/probe": "at most 100 kB",
}


async def endless(megabytes: int) -> AsyncIterator[bytes]:
    yield HEAD
    for _ in range(megabytes * 16):
        yield bytes(1 << 16)


def send(path: str, content: Any, headers: dict[str, str]) -> httpx.Response:
    app = create_app(friday_to_read(), lambda: fixture.NOW)
    told = BOUNDARY | {"Authorization": "Bearer x"} | headers
    return ask(app, "POST", ORIGIN + path, content=content, headers=told)


@pytest.mark.parametrize("path", PATHS)
def test_a_length_that_is_too_much_is_refused_before_any_of_it(path: str) -> None:
    answer = send(path, HEAD, {"Content-Length": str(500_000_000)})
    assert answer.status_code == 413
    assert f"{PATHS[path]}; this one has 500" in answer.text


@pytest.mark.parametrize("path", sorted(PATHS.keys() - {"/bench/done"}))  # no files: a shorter end
@pytest.mark.soon(2)
def test_what_says_no_length_is_counted(path: str) -> None:
    answer = send(path, endless(120), {})
    assert answer.status_code == 413
    assert PATHS[path] in answer.text


def test_every_exception_is_an_address() -> None:
    assert all(any(path.startswith(start) for path in PATHS) for start in MOST)


RUN = """
import json, resource
from tests.web.test_bodies import endless, send
def peak(): return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
send("/bench/done", endless(3), {})
before = peak()
status = send("/kitchen/log", endless(500), {}).status_code
print(json.dumps([status, peak() - before]))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="ru_maxrss is in kB on Linux only")
@pytest.mark.long
def test_half_a_gigabyte_takes_no_memory() -> None:
    run = subprocess.run(
        [sys.executable, "-c", RUN], capture_output=True, text=True, check=True, timeout=120
    )
    status, grown_mb = json.loads(run.stdout)
    assert status == 413
    assert grown_mb < 60
