"""What is shared with other kitchens: how far its page is, and the page as a file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from urllib.parse import quote, urlencode

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.jobs import JobAnswer
from pointage.documents.page.write import size_words
from pointage.errors import InputError
from pointage.language import mark, say
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.screens.culture.routes import life_of
from pointage.web.screens.share.page import SharePage
from pointage.web.visit import Visit, writes

RIGHTS = Form((
    Asked("author", mark("From"), mark("your name, or the kitchen's"), needed=False),
    Asked("year", mark("Year"), kind="numeric", needed=False),
    Asked("licence", mark("Licence"), mark("such as CC BY 4.0"), needed=False),
))  # fmt: skip
Make = Callable[[Mapping[str, str]], JobAnswer[str]]


def formula(visit: Visit, file: bool = False) -> Response:
    slug = visit.request.path_params["slug"]
    name = visit.desk.formula(slug, None, None).summary.name
    page = SharePage(
        visit.frame("formulas"),
        say("Share {name}", name=name),
        say(
            "One file for any website or USB stick. Whoever opens it sets their own kitchen, and "
            "gets the water, times and bake of this formula there, without a network."
        ),
        Choice(f"/formulas/{slug}", say("Back to {name}", name=name)),
        f"/formulas/{slug}/share",
    )
    here = f"/formulas/{slug}"
    named = slug if file else ""
    return _answer(visit, page, lambda _: visit.desk.shares.page(slug), here, named, own=True)


def culture(visit: Visit, file: bool = False) -> Response:
    name = life_of(visit).name
    here = f"/cultures/{quote(name, safe='')}"
    page = SharePage(
        visit.frame("cultures"),
        say("Give away a piece of {name}", name=name),
        say(
            "One file for whoever gets a piece: they set their room, and it says how to refresh "
            "it, feed it day by day in the first week and keep it, without a network."
        ),
        Choice(here, say("Back to {name}", name=name)),
        f"{here}/share",
    )
    make = partial(visit.desk.shares.culture, name)
    return _answer(visit, page, make, here, name if file else "")


def raising(visit: Visit, file: bool = False) -> Response:
    page = SharePage(
        visit.frame("cultures"),
        say("A page for a class"),
        say(
            "One file for learners who each raise a culture of their own: they set their room, "
            "flour and jar, and follow its days. What they saw they save as a file; this page lays "
            "the files of a class over each other, by room, to fill a screen."
        ),
        Choice("/cultures/raise", say("Back to raising one")),
        "/cultures/raise/share",
    )
    named = "raise-a-culture" if file else ""
    return _answer(visit, page, visit.desk.shares.raising, "/cultures/raise", named)


def _answer(  # noqa: PLR0917
    visit: Visit, page: SharePage, make: Make, here: str, name: str, own: bool = False
) -> Response:
    """How far it is; with a file's `name` the page itself, which has its own script and style.

    own: a formula's file says whose it is; for the others that is asked for first.
    """
    sent = {key: text for key, text in visit.request.query_params.items() if key in RIGHTS}
    error: InputError | None = None
    if own or sent:
        try:
            found = make(sent)
            if name and found.fresh and found.found is not None:
                return _file(found.found, name)
            query = f"?{urlencode(sent)}" if sent else ""
            page = replace(
                page,
                file=f"{here}/page.html{query}" if found.fresh else "",
                waits=found.waits,
                stopped=not found.fresh and not found.waits,
                large=size_words(found.found) if found.fresh and found.found else "",
            )
        except InputError as wrong:
            error = wrong
    if name:
        return visit.go(page.path)
    if own:
        return visit.show(replace(page, refused=str(error or "")), 422 if error else 200)
    usual = {"author": visit.kitchen.name, "year": str(visit.clock.local(visit.now).year)}
    fields, above = RIGHTS.fields(sent or usual, error)
    return visit.show(replace(page, fields=fields, refused=above), 422 if error else 200)


def _file(content: str, name: str) -> Response:
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "page"
    headers = {
        "Content-Disposition": f'attachment; filename="{plain}.html"',
        "Cache-Control": "no-store",
    }
    return Response(content, media_type="text/html", headers=headers)


def _both(path: str, screen: Callable[..., Response]) -> tuple[Route, ...]:
    """Made anew each time it is asked for: work comes on while the store stays as it is."""
    return (
        Route(f"{path}/share", writes(screen), methods=["GET"]),
        Route(f"{path}/page.html", writes(partial(screen, file=True)), methods=["GET"]),
    )


ROUTES = [
    *_both("/formulas/{slug}", formula),
    *_both("/cultures/raise", raising),
    *_both("/cultures/{name}", culture),
]
