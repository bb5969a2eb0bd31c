"""This machine as other devices reach it: where, with which certificate, and who may come in."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import uvicorn

from pointage.web.door.certificate import Certificate, certificate_for
from pointage.web.door.devices import Devices

log = logging.getLogger(__name__)


@dataclass(slots=True)
class Outside:
    """addresses: as they are typed, the likeliest first ("https://192.168.1.20:8317/"). names: all
    that it answers to, as a Host header has them. certificate: as it is by now."""

    addresses: tuple[str, ...]
    names: Sequence[str]
    folder: Path
    certificate: Certificate
    devices: Devices

    @staticmethod
    def of(
        folder: Path,
        port: int,
        hosts: Sequence[str],
        names: Sequence[str],
        now: Callable[[], datetime],
    ) -> Outside:
        """Raises OSError where nothing can be kept in `folder`; InputError for a spoiled file."""
        return Outside(
            tuple(f"https://{host}:{port}/" for host in hosts),
            names,
            folder,
            certificate_for(folder, names, now()),
            Devices(folder, now),
        )

    def renew(self, servers: Sequence[uvicorn.Server], now: datetime) -> None:
        """Answer with a new certificate where the one in use lapses before long."""
        try:
            found = certificate_for(self.folder, self.names, now)
            if found != self.certificate:
                for each in servers:
                    if each.config.ssl is not None:
                        each.config.ssl.load_cert_chain(found.chain, found.key)
                self.certificate = found
        except OSError:
            log.exception("the certificate could not be renewed")
