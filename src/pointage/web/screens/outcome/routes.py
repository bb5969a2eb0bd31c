"""One bake: what is to do and what stands, how it came out, and why it may be so."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.answers import Bake, Report
from pointage.desk.past.variation import keep_variation, varied
from pointage.desk.wording.outcome.variation import change_sentence
from pointage.desk.wording.outcome.why import SIGNS
from pointage.errors import MISSING, Faults, InputError
from pointage.language import say
from pointage.web.screens.bench.slip import Slip
from pointage.web.screens.bench.whole import bench_of
from pointage.web.screens.outcome.view import ASKED, outcome_page
from pointage.web.visit import Visit, reads, writes
from pointage.web.words import asked

BLOCK = "outcome"


def shown(visit: Visit) -> Response:
    return bake_shown(visit, visit.request.path_params["key"])


def said(visit: Visit) -> Response:
    """What the bread showed, and its marks."""
    key = visit.request.path_params["key"]
    visit.desk.past.outcome(key)  # there must be such a bake
    try:
        faults = Faults()
        body: dict[str, Any] = faults.take(_body, visit) or {}
        faults.check()
        report = Report(visit.entry(), key, "", visit.now, visit.sure)
        visit.desk.records.tasted(report, body)
    except InputError as error:
        return bake_shown(visit, key, error)
    return visit.go(f"/daybook/bake/{key}")


def variation(visit: Visit) -> Response:
    """The one change to try next, kept as a formula beside its parent."""
    found = visit.desk.past.outcome(visit.request.path_params["key"])
    named = [each for each in found.causes if each.kind.value == visit.field("cause")]
    if not named:  # what the record says of it may have changed since the page was shown
        return visit.go(f"/daybook/bake/{found.bake.key}")
    return visit.go(f"/formulas/{keep_variation(visit.desk.book, found.bake, named[0])}")


def _body(visit: Visit) -> dict[str, Any]:
    body = asked.read(ASKED, visit.fields)
    signs = _ticked(visit)
    if signs:
        body["signs"] = signs
    if not body:
        raise InputError("signs", MISSING, say("at least one sign, mark or word"))
    return body


def _ticked(visit: Visit) -> list[str]:
    return [each.value for each in SIGNS if visit.fields.get(f"sign-{each.value}")]


def bake_shown(
    visit: Visit, key: str, error: InputError | None = None, slip: Slip | None = None
) -> Response:
    """The page of one bake. error: what is wrong with how it is said to have been; slip: with what
    was recorded as on the Bench. Raises NotThere."""
    found = visit.desk.past.outcome(key)
    change = None
    if found.causes:
        change = varied(found.bake, found.causes[0], visit.desk.book.latest())
    in_hand = [each for each in visit.desk.bakes() if each.key == found.bake.key]
    page = outcome_page(
        found, _before(visit, found.bake), visit.fields, _ticked(visit), error,
        clock=visit.clock, frame=visit.frame("daybook"),
        varied="" if change is None else change_sentence(change),
        bench=bench_of(visit, in_hand, slip, alone=found.bake.key) if in_hand else None,
    )  # fmt: skip
    return visit.show(page, 422 if error or slip else 200, BLOCK)


def _before(visit: Visit, bake: Bake) -> Bake | None:
    """The last bake of its formula before it of which something was done."""
    earlier = [
        each
        for each in visit.desk.past.bakes().values()
        if each.plan.formula == bake.plan.formula
        and each.plan.ready < bake.plan.ready
        and any(news.done for news in each.news.values())
    ]
    return max(earlier, key=lambda each: each.plan.ready, default=None)


ROUTES = [
    Route("/daybook/bake/{key}", reads(shown), methods=["GET"]),
    Route("/daybook/bake/{key}", writes(said), methods=["POST"]),
    Route("/daybook/bake/{key}/variation", writes(variation), methods=["POST"]),
]
