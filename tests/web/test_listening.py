"""The socket that the pages are served on."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import socket
import ssl
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
    likeliest_first,
    listen_on,
    names_of,
    own_addresses,
    sockets_at,
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
    assert sorted(likeliest_first(own), key=own.index) == own


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


@pytest.mark.long
def test_what_is_printed_answers_and_nothing_else(tmp_path: Path) -> None:
    start = "from pointage.cli.app import main; main()"
    command = [sys.executable, "-c", start, "serve", "--listen", "0.0.0.0"]
    command += ["--port", "0", "--called", "kitchen.example"]
    around = os.environ | {"XDG_DATA_HOME": str(tmp_path)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=around) as serving:
        try:
            assert serving.stdout is not None
            line = next(line for line in serving.stdout if line.startswith("Pointage is at "))
            port = line.split(":")[2].partition("/")[0]
            assert f"http://{LOOPBACK}:{port}/ " in line
            own = [str(each) for each in own_addresses() if each.version == 4]
            lines = [serving.stdout.readline() for _ in own]
            found = [re.search(rf"https://(\S+):{port}/", line) for line in lines]
            assert sorted(each[1] for each in found if each) == sorted(own)
            ours = (*own, "kitchen.example", LOOPBACK, "localhost")
            others = ("192.0.2.1", "0.0.0.0", "elsewhere.example")
            for host in ours:
                assert _status(f"http://{LOOPBACK}:{port}", f"{host}:{port}") == 204
            trusting = ssl.create_default_context(cadata=_authority(tmp_path))
            for address in own:
                for host in ours:  # it has not joined
                    assert _status(f"https://{address}:{port}", f"{host}:{port}", trusting) == 401
                for host in others:
                    assert _status(f"https://{address}:{port}", f"{host}:{port}", trusting) == 400
                with pytest.raises(OSError, match=r".*"):
                    _status(f"http://{address}:{port}", f"{address}:{port}")
            for host in others:
                assert _status(f"http://{LOOPBACK}:{port}", f"{host}:{port}") == 400
            serving.send_signal(signal.SIGINT)
            serving.wait(timeout=30)
        finally:
            serving.kill()


def _authority(data: Path) -> str:
    return (data / "pointage" / "door" / "authority.pem").read_text()


def _status(url: str, host: str, trusting: ssl.SSLContext | None = None) -> int:
    asked = urllib.request.Request(f"{url}/alive", headers={"Host": host})
    try:
        with urllib.request.urlopen(asked, timeout=10, context=trusting) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code


@pytest.mark.skipif(not own_addresses(), reason="this machine is in no network")
def test_others_are_listened_for_at_the_port_of_this_machine() -> None:
    at_all, at_one = sockets_at("0.0.0.0", 0), sockets_at(str(own_addresses()[0]), 0)
    alone = sockets_at("127.0.0.2", 0)
    for each in (at_all, at_one):
        assert each.own.getsockname()[0] == LOOPBACK
        assert {one.getsockname()[1] for one in (each.own, *each.others)} == {each.port}
        assert LOOPBACK not in each.hosts
    assert len(at_one.others) == 1
    assert alone.others == ()
    at_one.listen()
    taken = at_one.port
    with pytest.raises(InputError, match="--port"):
        sockets_at("0.0.0.0", taken)
    for each in (at_all, at_one, alone):
        each.close()
