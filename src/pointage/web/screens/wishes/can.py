"""What can be baked: each formula with when, how sure, and what it asks of the night."""

from __future__ import annotations

from datetime import datetime
from urllib.parse import urlencode

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.week.can_be import CanBe
from pointage.desk.wording import is_likely, odds_words, title
from pointage.errors import InputError
from pointage.language import mark, say
from pointage.quantities import parse_instant
from pointage.web.forms.faults import under_field
from pointage.web.forms.form import Asked
from pointage.web.screens.wishes.page import CanBeLine, CanBePage
from pointage.web.visit import Visit, made_anew
from pointage.web.words.asked import ingredient_label
from pointage.web.words.clock import Clock
from pointage.web.words.words import count, lower_first, mass

_BY = Asked("by", mark("Out of the oven by"), mark("left empty: as soon as possible"))


def can(visit: Visit) -> Response:
    """The page; with a day and a time, what can be by then."""
    query = visit.request.query_params
    day, clock = query.get("day", "")[:20], query.get("clock", "")[:20]
    frame = visit.frame("week")
    try:
        by = _by(visit, f"{day}T{clock}") if day or clock else None
    except InputError as error:
        wrong = _BY.field("", under_field(error))
        return visit.show(CanBePage(frame, (), False, wrong, day, clock), 422)
    if "again" in query:  # asked for once: the page looks again by itself
        visit.desk.week.can_be(by, visit.now, again=True)
        asked = urlencode({name: text for name, text in (("day", day), ("clock", clock)) if text})
        return visit.go(f"/week/can?{asked}" if asked else "/week/can")
    answer = visit.desk.week.can_be(by, visit.now)
    found = answer.found if answer.fresh and answer.found else ()
    hidden = {each.slug for each in visit.desk.formulas() if each.put_away}
    lines = tuple(_line(each, visit.clock) for each in found if each.slug not in hidden)
    stopped = not answer.waits and not answer.fresh
    return visit.show(CanBePage(frame, lines, answer.waits, _BY.field(""), day, clock, stopped))


def _by(visit: Visit, text: str) -> datetime:
    by = parse_instant(text, visit.kitchen.zone, "by")
    if by <= visit.now:
        raise InputError("by", visit.clock.text(by), say("a time still to come"))
    return by


def _line(each: CanBe, clock: Clock) -> CanBeLine:
    name = f"{each.name}, {count(each.pieces, 'piece')}"
    facts = [
        say("short of {ingredient}: {mass} more", ingredient=ingredient_label(what), mass=mass(g))
        for what, g in each.lacking
    ]
    if each.why is not None:
        return CanBeLine(name, None, "", False, (str(each.why),), "")
    if each.ready is None or each.first is None:
        return CanBeLine(name, None, "", False, (say("there is no time left for it"), *facts), "")
    facts.insert(0, say("begins {time}", time=clock.text(each.first)))
    night = [
        say("{step} {time}", step=lower_first(title(step)), time=clock.text(step.start))
        for step in each.night
    ]
    if night:
        facts.append(say("just before or after your sleep: {steps}", steps=", ".join(night)))
    local = clock.local(each.ready)
    query = {"formula": each.slug, "pieces": each.pieces}
    query |= {"day": local.date().isoformat(), "clock": f"{local:%H:%M}"}
    odds = say("on time and good: {odds}", odds=odds_words(each.odds))
    path = f"/week/wish?{urlencode(query)}"
    when = clock.dated(each.ready)
    return CanBeLine(name, when, odds, is_likely(each.odds), tuple(facts), path)


ROUTES = [Route("/week/can", made_anew(can), methods=["GET"])]
