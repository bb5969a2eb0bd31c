"""What the bread of a formula contains, on a page that prints."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.errors import InputError
from pointage.web.forms.form import LONGEST_FIELD
from pointage.web.screens.label.view import FORM, label_page
from pointage.web.visit import (
    Visit,
    reads,
)

BLOCK = "label"


def label(visit: Visit) -> Response:
    """The label as asked for; the usual one, with the errors, when that cannot be used."""
    slug = visit.request.path_params["slug"]
    query = visit.request.query_params
    typed = {name: query[name].strip()[:LONGEST_FIELD] for name in query if name in FORM}
    words = [word.strip() for word in typed.get("may-contain", "").split(",")]
    try:
        found = visit.desk.labels.label(
            slug,
            style=typed.get("style") or "us",
            serving=typed.get("serving") or None,
            loss=typed.get("loss") or None,
            may_contain=[word for word in words if word],
        )
    except InputError as error:
        usual = visit.desk.labels.label(slug, style="us", serving=None, loss=None, may_contain=())
        return visit.show(label_page(usual, typed, error, visit.frame("formulas")), 422, BLOCK)
    return visit.show(label_page(found, typed, None, visit.frame("formulas")), 200, BLOCK)


ROUTES = [Route("/formulas/{slug}/label", reads(label))]
