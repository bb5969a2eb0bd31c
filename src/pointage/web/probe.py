"""A probe sends what it measured: POST /probe with the sensor's own token. There is no page."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from pointage.desk.records.sensors import UnknownTokenError
from pointage.errors import InputError
from pointage.web.door.guard import PROBE
from pointage.web.port import Desk

FORM = "application/x-www-form-urlencoded"


async def probe(request: Request) -> Response:
    """204 when it is kept; 401 without a token of ours; 413 and 422 for what cannot be used."""
    desk: Desk = request.app.state.desk
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    if scheme.lower() != "bearer":
        return _unknown(UnknownTokenError())
    try:
        body = await request.body()
    except HTTPException as error:
        return _line(error.status_code, error.detail)
    try:
        sent = _sent(request.headers.get("content-type", ""), body)
        await run_in_threadpool(desk.sensors.received, token.strip(), sent)
    except UnknownTokenError as error:
        return _unknown(error)
    except InputError as error:
        return _line(422, str(error))
    return Response(status_code=204, headers={"Cache-Control": "no-store"})


def _sent(content_type: str, body: bytes) -> Any:
    try:
        if content_type.partition(";")[0].strip().lower() == FORM:
            return dict(parse_qsl(body.decode(), keep_blank_values=True, max_num_fields=10))
        return json.loads(body)
    except (ValueError, RecursionError):
        expected = 'JSON such as {"temperature": 21.5}, or a form'
        raise InputError("body", "what was sent", expected) from None


def _unknown(error: UnknownTokenError) -> Response:
    answer = _line(401, str(error))
    answer.headers["WWW-Authenticate"] = "Bearer"
    return answer


def _line(status: int, line: str) -> Response:
    return PlainTextResponse(" ".join(line.split()) + "\n", status)


ROUTES = [Route(PROBE, probe, methods=["POST"])]
