"""The licences of what is served and is not ours, as their packages have them: GET /licences.

The SIL Open Font License asks that its text goes with every copy of the typeface (condition 2), and
that what is cut from it has another name (condition 3); htmx's, 0BSD, asks nothing.
"""

from __future__ import annotations

from functools import cache
from importlib.metadata import distribution

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from pointage.language import best, mark, say, speak
from pointage.web.typeface import NAME

SERVED = {
    mark("{name}, the typeface, cut from Source Serif Pro to what pages need"): (
        "font-source-serif-pro",
        "SIL Open Font License 1.1",
    ),
    mark("htmx, in every page"): ("django-js-lib-htmx", "Zero-Clause BSD (0BSD)"),
}
"""What is served from which package, under which licence."""
TEXTS = ("LICENSE", "LICENSE.txt")


@cache
def text_of(package: str) -> str:
    """The text of an installed package's licence. Raises LookupError where it has none."""
    for each in distribution(package).files or ():
        if each.name in TEXTS:
            return each.locate().read_text(encoding="utf-8")  # type: ignore[attr-defined, no-any-return]
    raise LookupError(f"{package} came without its licence")


def licences(request: Request) -> Response:
    """What is served, the licence of each, and then their texts."""
    speak(best(request.headers.get("accept-language", "")))
    served = [(say(what, name=NAME), *which) for what, which in SERVED.items()]
    first = "".join(f"{what}: {licence}\n" for what, _, licence in served)
    texts = (f"\n\n{what}\n\n{text_of(package)}" for what, package, _ in served)
    headers = {"Cache-Control": "no-cache", "Vary": "Accept-Language"}
    return PlainTextResponse(first + "".join(texts), headers=headers)


ROUTES = [Route("/licences", licences, methods=["GET"])]
