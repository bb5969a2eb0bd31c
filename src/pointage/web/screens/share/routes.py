"""A formula to share: how far its page is, and the page as a file."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.errors import InputError
from pointage.web.screens.share.page import SharePage
from pointage.web.visit import Visit, writes


def share(visit: Visit) -> Response:
    slug = visit.request.path_params["slug"]
    name = visit.desk.formula(slug, None, None).summary.name
    page = SharePage(visit.frame("formulas"), name, slug)
    try:
        found = visit.desk.shares.page(slug)
    except InputError as error:
        return visit.show(SharePage(page.frame, name, slug, refused=str(error)), 422)
    return visit.show(SharePage(page.frame, name, slug, made=found.fresh, waits=found.waits))


def file(visit: Visit) -> Response:
    """The page itself, which is not shown from here: it has its own script and style."""
    slug = visit.request.path_params["slug"]
    found = visit.desk.shares.page(slug)
    if not found.fresh:
        return visit.go(f"/formulas/{slug}/share")
    headers = {
        "Content-Disposition": f'attachment; filename="{slug}.html"',
        "Cache-Control": "no-store",
    }
    return Response(found.found, media_type="text/html", headers=headers)


ROUTES = [
    # Made anew each time it is asked for: work comes on while the store stays as it is.
    Route("/formulas/{slug}/share", writes(share), methods=["GET"]),
    Route("/formulas/{slug}/page.html", writes(file), methods=["GET"]),
]
