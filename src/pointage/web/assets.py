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
from starlette.responses import FileResponse, Response

FONTS = ("SourceSerifPro-Regular.ttf", "SourceSerifPro-Semibold.ttf", "SourceSerifPro-It.ttf")

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
    others = {name: fonts / name for name in FONTS} | {"htmx.min.js": htmx}
    return own | {name: Path(str(path)) for name, path in others.items()}


@cache
def fingerprint(name: str) -> str:
    return sha256(paths()[name].read_bytes()).hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a file, fingerprint included. Raises KeyError for one that is not ours."""
    return f"/static/{name}?v={fingerprint(name)}"


def static(request: Request) -> Response:
    """One of the files."""
    name = request.path_params["name"]
    path = paths().get(name)
    if path is None:
        raise HTTPException(404)
    if request.query_params.get("v") == fingerprint(name):
        return _file(path, KEPT)
    return _file(path, FOR_A_WEEK if name in FONTS else ASKED_AGAIN)


def worker(request: Request) -> Response:
    """The service worker, at the root, for it may only serve what lies below its own address."""
    return _file(paths()["worker.js"], ASKED_AGAIN)


def _file(path: Path, caching: str) -> Response:
    kind = "font/ttf" if path.suffix == ".ttf" else mimetypes.guess_type(path.name)[0]
    return FileResponse(path, media_type=kind, headers={"Cache-Control": caching})
