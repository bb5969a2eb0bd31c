"""The socket that the pages are served on."""

from __future__ import annotations

import asyncio
import socket

from pointage.web.serve import LOOPBACK, listen_on


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

    asyncio.run(accept_one())
    assert held_back == [False]
