"""The socket that the pages are served on."""

from __future__ import annotations

import asyncio
import os
import re
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path
from threading import Thread

import pytest

from pointage.errors import InputError
from pointage.web.door.listening import (
    LOOPBACK,
    listen_on,
    names_of,
    own_addresses,
    reached_at,
)


def test_an_answer_is_not_held_back_for_an_acknowledgement() -> None:
    """RFC 896 holds a small packet back while another is on its way; TCP_NODELAY turns that off."""
    held_back: list[bool] = []

    async def accept_one() -> None:
        accepted = asyncio.Event()

        class Answering(asyncio.Protocol):
            def connection_made(self, transport: asyncio.BaseTransport) -> None:
                taken = transport.get_extra_info("socket")
                held_back.append(taken.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY) == 0)
                transport.close()
                accepted.set()

        listening = listen_on(LOOPBACK, 0)
        server = await asyncio.get_running_loop().create_server(Answering, sock=listening)
        async with server:
            _, writer = await asyncio.open_connection(*listening.getsockname())
            await asyncio.wait_for(accepted.wait(), timeout=10)
            writer.close()

    running = Thread(target=asyncio.run, args=(accept_one(),))  # a browser's tests have one here
    running.start()
    running.join()
    assert held_back == [False]


def test_its_own_addresses_are_those_that_can_be_listened_on() -> None:
    """The system is the judge: it lets nobody bind an address that the machine has not."""
    own = own_addresses()
    for each in own:
        listen_on(str(each), 0).close()
        assert not each.is_loopback
    four, six = ([each for each in own if each.version == version] for version in (4, 6))
    assert reached_at("0.0.0.0") == tuple(str(each) for each in four)
    assert reached_at("::") == (*reached_at("0.0.0.0"), *(f"[{each}]" for each in six))


def test_one_address_is_reached_by_that_address() -> None:
    assert reached_at(LOOPBACK) == (LOOPBACK,)
    assert reached_at("::1") == ("[::1]",)


@pytest.mark.parametrize("address", ["192.0.2.1", "2001:db8::1"])  # RFC 5737, 3849: nobody's
def test_an_address_of_another_machine_is_refused(address: str) -> None:
    with pytest.raises(InputError, match="--listen"):
        listen_on(address, 0)


@pytest.mark.parametrize("name", ["", "kitchen.local:8317", "http://kitchen.local", "[::1].b"])
def test_a_name_is_only_a_name(name: str) -> None:
    with pytest.raises(InputError, match="--called"):
        names_of([name])
    assert names_of(["Kitchen.local", "[2001:DB8::0]"]) == ("kitchen.local", "[2001:db8::]")


@pytest.mark.skipif(not socket.has_dualstack_ipv6(), reason="this machine has no IPv6")
def test_every_address_of_ipv6_is_every_address_of_ipv4_too() -> None:
    with listen_on("::", 0) as listening:
        listening.listen()
        port = listening.getsockname()[1]
        for address in ("::1", LOOPBACK):
            socket.create_connection((address, port), timeout=5).close()


def test_what_is_printed_answers_and_nothing_else(tmp_path: Path) -> None:
    start = "from pointage.cli.app import main; main()"
    command = [sys.executable, "-c", start, "serve", "--listen", "0.0.0.0"]
    command += ["--port", "0", "--called", "kitchen.example"]
    around = os.environ | {"XDG_DATA_HOME": str(tmp_path)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=around) as serving:
        try:
            assert serving.stdout is not None
            line = next(line for line in serving.stdout if line.startswith("Pointage is at "))
            addresses = re.findall(r"http://(\S+):(\d+)/", line)
            own = [str(each) for each in own_addresses() if each.version == 4] or [LOOPBACK]
            assert [host for host, _ in addresses] == own
            assert "same network" in serving.stdout.readline()
            port = addresses[0][1]
            for host in (*own, "kitchen.example", LOOPBACK, "localhost"):
                assert _status(f"{host}:{port}", port) == 204
            for host in ("192.0.2.1", "0.0.0.0", "elsewhere.example"):
                assert _status(f"{host}:{port}", port) == 400
        finally:
            serving.terminate()


def _status(host: str, port: str) -> int:
    asked = urllib.request.Request(f"http://{LOOPBACK}:{port}/alive", headers={"Host": host})
    try:
        with urllib.request.urlopen(asked, timeout=10) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code
