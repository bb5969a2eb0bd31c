"""Photographs: taken in with a limit, and shown with nothing that a browser might run."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.answers import NotThere
from pointage.web.visit import Visit, reads

SAFE = {
    # It can neither run nor fetch anything, even opened by itself.
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cache-Control": "private, max-age=31536000, immutable",
    "Content-Disposition": "inline",
}


def photo(visit: Visit) -> Response:
    """A photograph by its SHA-256."""
    name = visit.request.path_params["sha256"]
    found = visit.desk.records.photo(name) if re.fullmatch("[0-9a-f]{64}", name) else None
    if found is None:
        raise NotThere("photograph", name)
    content, kind = found
    return Response(content, media_type=kind, headers=SAFE)


def photographed(
    screen: Callable[[Visit, bytes], Response],
) -> Callable[[Request], Awaitable[Response]]:
    """A form with a photograph, read here and answered in a thread."""

    async def endpoint(request: Request) -> Response:
        content = b""
        fields: dict[str, str] = {}
        async with request.form(max_files=1, max_fields=20) as form:
            for key, value in form.items():
                if isinstance(value, UploadFile):
                    content = await value.read()
                else:
                    fields[key] = value
        return await run_in_threadpool(lambda: screen(Visit.of(request, fields), content))

    return endpoint


ROUTES = [Route("/photos/{sha256}", reads(photo), methods=["GET"])]
