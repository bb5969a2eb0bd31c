"""The files that pages need: our own, and htmx and the typeface out of their installed packages.

A page names a file with a fingerprint of its bytes, so it may be kept for ever.
"""

from __future__ import annotations

import mimetypes
from functools import cache
from hashlib import sha256
from importlib.resources import files
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pointage.web.door.unchanged import is_known
from pointage.web.typeface import cut

FONTS = {
    "serif-regular.woff2": "SourceSerifPro-Regular.ttf",
    "serif-semibold.woff2": "SourceSerifPro-Semibold.ttf",
    "serif-italic.woff2": "SourceSerifPro-It.ttf",
}
"""Each font by its name on the web, and the file that it is cut from."""

WEB = Path(__file__).parent
SCREENS = sorted(folder for folder in (WEB / "screens").iterdir() if folder.is_dir())
"""A screen's template, style and script lie beside its routes; every name is there once."""

OURS = (".css", ".js", ".svg", ".json")

KEPT = "public, max-age=31536000, immutable"
FOR_A_WEEK = "public, max-age=604800"  # the stylesheet names its fonts without a fingerprint
ASKED_AGAIN = "no-cache"


@cache
def paths() -> dict[str, Path]:
    """Every file by its name on the web. Nothing else is ever served from the disk."""
    own = {
        each.name: each
        for folder in (WEB / "static", *SCREENS)
        for each in folder.iterdir()
        if each.suffix in OURS
    }
    fonts = files("font_source_serif_pro") / "files"
    htmx = files("js_lib_htmx") / "static" / "htmx" / "htmx.min.js"
    others = {name: fonts / whole for name, whole in FONTS.items()} | {"htmx.min.js": htmx}
    return own | {name: Path(str(path)) for name, path in others.items()}


@cache
def content(name: str) -> bytes:
    """What is served under a name. Raises KeyError for one that is not ours."""
    whole = paths()[name].read_bytes()
    return cut(whole) if name in FONTS else whole


def prepare_fonts() -> None:
    """Cut them now where that was never done, so that no page waits for it."""
    for name in FONTS:
        content(name)


@cache
def fingerprint(name: str) -> str:
    return sha256(content(name)).hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a file, fingerprint included. Raises KeyError for one that is not ours."""
    return f"/static/{name}?v={fingerprint(name)}"


def static(request: Request) -> Response:
    """One of the files."""
    name = request.path_params["name"]
    if name not in paths():
        raise HTTPException(404)
    if request.query_params.get("v") == fingerprint(name):
        return _file(request, name, KEPT)
    return _file(request, name, FOR_A_WEEK if name in FONTS else ASKED_AGAIN)


def worker(request: Request) -> Response:
    """The service worker, at the root, for it may only serve what lies below its own address."""
    return _file(request, "worker.js", ASKED_AGAIN)


def _file(request: Request, name: str, caching: str) -> Response:
    tag = f'W/"{fingerprint(name)}"'  # weak, for the bytes may be compressed or not
    headers = {"Cache-Control": caching, "ETag": tag}
    if is_known(request, tag):
        return Response(status_code=304, headers=headers)
    kind = "font/woff2" if name in FONTS else mimetypes.guess_type(name)[0]
    return Response(content(name), media_type=kind, headers=headers)
