"""Everything as one file to keep: GET /daybook/archive."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from starlette.background import BackgroundTask
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from pointage.web.visit import Visit, reads


def archive(visit: Visit) -> Response:
    """Written whole before the first byte is sent, so that a download is never half an archive."""
    folder = tempfile.TemporaryDirectory(prefix="pointage-")
    try:
        path = Path(folder.name) / "archive.zip"
        visit.desk.exchange.export_to(path)
    except BaseException:
        folder.cleanup()
        raise
    kitchen = re.sub(r"[^a-z0-9]+", "-", visit.kitchen.name.lower()).strip("-") or "kitchen"
    return FileResponse(
        path,
        media_type="application/zip",
        filename=f"{kitchen}-{visit.now.astimezone(visit.kitchen.zone).date()}.zip",
        headers={"Cache-Control": "no-store"},
        background=BackgroundTask(folder.cleanup),
    )


ROUTES = [Route("/daybook/archive", reads(archive))]
