"""The Bench of every bake, or of one on its own page: all that is said of each, by one path."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import urlencode

from pointage.daybook.replay import Line
from pointage.desk.answers import Bake
from pointage.language import say
from pointage.timetable.plan import StepKind
from pointage.web.forms.field import Choice
from pointage.web.screens.bench.cultures import Needed
from pointage.web.screens.bench.gone import with_gone
from pointage.web.screens.bench.last import with_last
from pointage.web.screens.bench.noted import SINCE, with_noted
from pointage.web.screens.bench.page import BenchPage
from pointage.web.screens.bench.slip import Slip
from pointage.web.screens.bench.view import bench_page
from pointage.web.visit import Visit
from pointage.web.words.aside import entries_aside


def bench_of(
    visit: Visit,
    bakes: Sequence[Bake],
    slip: Slip | None = None,
    *,
    needed: Sequence[Needed] = (),
    out: Sequence[Bake] = (),
    alone: str = "",
) -> BenchPage:
    """alone: the one bake that it is of, by its key; every step of it is then listed."""
    page = bench_page(
        visit.kitchen, bakes, visit.clock, visit.frame("bench"), slip,
        needed=needed, out=out, whole=bool(alone),
        beside=[each for each in visit.desk.bakes() if each.key != alone] if alone else (),
    )  # fmt: skip
    if slip is not None and not _shows(page, slip):
        page = replace(page, error=slip.error)
    lines = _lines(visit, alone)
    page = with_noted(page, lines, visit.clock, visit.desk.records.lost_photos(lines))
    by_key = {each.key: each for each in bakes}
    page = with_last(page, lines, by_key, visit)
    if page.now is not None:
        links = _links(visit, by_key[page.now.bake], page.now.step, own=not alone)
        page = replace(page, now=replace(page.now, links=links))
    return with_gone(page, by_key, lambda bake: visit.desk.rescue.too_far(bake, visit.now))


def _links(visit: Visit, bake: Bake, key: str, *, own: bool) -> tuple[Choice, ...]:
    """What helps with a step and is on another screen. own: it is not the bake's own page."""
    kind = next((each.kind for each in bake.plan.steps if each.key == key), None)
    found = []
    if kind is StepKind.MIX:
        slug = next(
            (each.slug for each in visit.desk.formulas() if each.name == bake.plan.formula), ""
        )
        query = urlencode({"formula": slug, "pieces": bake.plan.pieces})
        found.append(Choice(f"/water?{query}", say("Water for other temperatures")))
    if kind is StepKind.BAKE:
        mass = urlencode({"mass": f"{float(bake.plan.piece_g):g}g"})
        found.append(Choice(f"/oven?{mass}", say("How long, and how hot inside")))
        found.append(Choice(baked_path(bake.key), say("Record how it baked")))
    if own:
        found.append(Choice(f"/daybook/bake/{bake.key}", say("All of this bake")))
    return tuple(found)


def baked_path(key: str) -> str:
    """Where oven, minutes and core of a bake are recorded, with the way back to the Bench."""
    return f"/daybook?{urlencode({'log': 'baked', 'bake': key})}"


def _lines(visit: Visit, alone: str) -> list[Line]:
    aside = entries_aside(visit.present)
    return [
        line
        for line in visit.desk.records.lines(since=visit.now - SINCE)
        if line.written.id not in aside
        if not alone or (line.now or line.written).body.get("bake") == alone
    ]


def _shows(page: BenchPage, slip: Slip) -> bool:
    if slip.field == "display":
        table = None if page.now is None else page.now.ladder
        keep = None if page.now is None or page.now.keep is None else page.now.keep.ladder
        return any(each is not None and bool(each.error) for each in (table, keep))
    return any(each.error for each in page.working)
