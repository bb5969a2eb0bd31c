"""Connections that send nothing, or slowly: on the loopback only, bounded in number and time."""

from __future__ import annotations

import socket
import threading
import time
import urllib.request
from collections.abc import Iterator

import pytest
from tests.web import fixture_plan as fixture
from tests.web.stored_desk import friday_to_read

from pointage.web.app import create_app
from pointage.web.door import connections
from pointage.web.door.connections import MOST_CONNECTIONS, server_of
from pointage.web.door.listening import LOOPBACK, listen_on

MANY = 300
UNFINISHED = b"GET /alive HTTP/1.1\r\nHost: 127.0.0.1\r\n"
BODY_BEGUN = (
    b"POST /theme HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 90\r\n\r\ntheme="
)


@pytest.fixture
def port() -> Iterator[int]:
    with listen_on(LOOPBACK, 0) as listening:
        listening.listen()
        server = server_of(create_app(friday_to_read(), lambda: fixture.NOW))
        thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
        thread.start()
        yield listening.getsockname()[1]
        server.should_exit = True
        server.force_exit = True
        thread.join(10)


@pytest.fixture
def opened(port: int) -> Iterator[list[socket.socket]]:
    """Connections to the server, closed when the test ends."""
    found: list[socket.socket] = []
    yield found
    for each in found:
        each.close()


def page_s(port: int) -> float:
    """Seconds until a whole page is there, on a connection of its own."""
    began = time.monotonic()
    with urllib.request.urlopen(f"http://{LOOPBACK}:{port}/", timeout=60) as answer:
        assert answer.status == 200
        assert b"</html>" in answer.read()
    return time.monotonic() - began


def connect(port: int, sends: bytes) -> socket.socket:
    found = socket.create_connection((LOOPBACK, port), timeout=5)
    found.sendall(sends)
    return found


def drip_into(connection: socket.socket) -> None:
    """A letter now and then, for some four seconds."""
    for letter in UNFINISHED * 2:
        connection.sendall(bytes([letter]))
        time.sleep(0.05)


def is_closed(connection: socket.socket, within_s: float) -> bool:
    connection.settimeout(within_s)
    try:
        return connection.recv(1) == b""
    except ConnectionError:
        return True
    except TimeoutError:
        return False


@pytest.mark.parametrize("sends", [b"", UNFINISHED, BODY_BEGUN], ids=["idle", "headers", "body"])
@pytest.mark.long
def test_three_hundred_that_send_no_more_keep_no_page_waiting(
    port: int, opened: list[socket.socket], sends: bytes
) -> None:
    page_s(port)  # templates are read once
    opened += [connect(port, sends) for _ in range(MANY)]
    assert page_s(port) < connections.HEADERS_S  # they are held for longer than that
    gone = sum(is_closed(each, 0.001) for each in opened)
    assert gone >= MANY - MOST_CONNECTIONS  # the oldest made room


def test_headers_and_bodies_that_do_not_come_end_the_connection(
    port: int, opened: list[socket.socket], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "HEADERS_S", 0.5)
    monkeypatch.setattr(connections, "BODY_S", 0.5)
    opened += [connect(port, sends) for sends in (b"", UNFINISHED, BODY_BEGUN)]
    drip = connect(port, b"")
    opened.append(drip)
    with pytest.raises(ConnectionError):  # a letter now and then buys no more time
        drip_into(drip)
    assert all(is_closed(each, 10) for each in opened)


def test_one_that_is_kept_may_ask_again(port: int, opened: list[socket.socket]) -> None:
    kept = connect(port, b"")
    opened.append(kept)
    for _ in range(3):
        kept.sendall(UNFINISHED + b"\r\n")
        assert kept.recv(1000).startswith(b"HTTP/1.1 204")
        time.sleep(0.1)
