"""The first minutes: the kitchen's few things, then a culture, or a look round."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from pointage.daybook.errors import StaleRevisionError
from pointage.desk.kitchen.begin import OwnCulture, first_kitchen, is_unnamed, with_culture
from pointage.errors import InputError
from pointage.kitchen.file.merge import RowChangedError
from pointage.language import say
from pointage.web.forms.field import Choice
from pointage.web.forms.form import NOTHING
from pointage.web.screens.culture.names import free_name
from pointage.web.screens.first.forms import bring_form, first_form, own_culture, things
from pointage.web.screens.first.page import BringPage, FirstPage, RoundPage
from pointage.web.visit import Visit, reads, writes

PATH = "/begin"
RAISE, BRING, LATER = "raise", "bring", "later"
KEYS = {"mass": "grams", "seed": "new", "stood": "hours", "stood_in": "spot"}
"""Keys of the kitchen's file that the form of a culture calls otherwise."""
NEXT = {RAISE: "/cultures/raise", BRING: f"{PATH}/culture", LATER: "/"}


def first(visit: Visit) -> Response:
    """What a kitchen begins with; one that has begun is changed where kitchens are."""
    if not is_unnamed(visit.kitchen):
        return visit.go("/kitchen")
    return _first(visit)


def begin(visit: Visit) -> Response:
    """Begin it. Sent twice, the second finds it begun."""
    way = visit.fields.get("way", RAISE)
    if not is_unnamed(visit.kitchen):
        return visit.go(NEXT.get(way, "/"))
    file = visit.desk.kitchen_file
    try:
        text = first_kitchen(things(first_form(visit.country), visit))
        file.put_text(text, file.last.revision)
    except StaleRevisionError:
        pass  # another has begun it meanwhile
    except InputError as error:
        return _first(visit, visit.fields, error)
    return visit.go(NEXT.get(way, "/"))


def culture(visit: Visit) -> Response:
    """A culture that is brought along."""
    return _bring(visit)


def bring(visit: Visit) -> Response:
    """Keep it."""
    file = visit.desk.kitchen_file
    try:
        said = own_culture(bring_form(visit.kitchen).read(visit.fields))
        if said.fed > visit.now:
            raise InputError("fed", visit.clock.text(said.fed), say("a time in the past"))
        if with_culture(file.last.text, said) == file.last.text:  # sent again
            return visit.go(f"/cultures/{said.name}")
        try:
            free_name(visit, said.name, "name")
        except InputError as living:
            stale = visit.revision() != file.last.revision
            return _bring(visit, visit.fields, living, 409 if stale else 422)
        _check_after(visit, said)
        file.edit("culture", said.name, lambda text: with_culture(text, said), visit.revision())
    except RowChangedError:
        taken = InputError("name", repr(said.name), say("a name that no culture has"))
        return _bring(visit, visit.fields, taken, 409)
    except InputError as error:
        return _bring(visit, visit.fields, error)
    return visit.go(f"/cultures/{said.name}")


def _check_after(visit: Visit, said: OwnCulture) -> None:
    """One that has the name of a retired one was fed after that: what came before is of the other.
    Raises InputError."""
    for life in visit.desk.lives():
        if said.name.casefold() in (each.casefold() for each in life.names):
            gone = max((each.happened for each in visit.present.about_culture(life)), default=None)
            if gone is not None and said.fed <= gone:
                expected = say(
                    "another name, such as {other}: the {name} before it was retired only later",
                    other=f"{said.name} 2",
                    name=life.name,
                )
                raise InputError("name", repr(said.name), expected)


def look_round(visit: Visit) -> Response:
    """Skerry Hall, at an address of its own, so that nothing of it mixes with this kitchen."""
    tour = visit.request.app.state.tour
    if tour is None:
        return visit.go("/")
    address = tour.address(visit.request.url.scheme, visit.request.url.hostname or "")
    if address:
        return RedirectResponse(address, 303)
    return visit.show(RoundPage(visit.frame("bench"), tour.trouble))


def _first(
    visit: Visit, given: Mapping[str, str] = NOTHING, error: InputError | None = None
) -> Response:
    fields, above = first_form(visit.country).fields(given, error)
    ways = (
        Choice(RAISE, say("Raise a culture from flour and water")),
        Choice(BRING, say("Bring a culture that you have")),
        Choice(LATER, say("Neither yet")),
    )
    way = given.get("way", RAISE)
    page = FirstPage(visit.frame("bench"), fields, ways, way, above)
    return visit.show(page, 422 if error else 200)


def _bring(
    visit: Visit,
    given: Mapping[str, str] = NOTHING,
    error: InputError | None = None,
    status: int = 422,
) -> Response:
    form = bring_form(visit.kitchen)

    def named(fault: InputError) -> str:
        """A fault of the file's last table is of the field that it was made of."""
        last = fault.path[-1]
        return "name" if isinstance(last, int) else KEYS.get(last, last)

    fields, above = form.fields(given, error.at(named) if error else None)
    revision = visit.desk.kitchen_file.last.revision
    page = BringPage(visit.frame("cultures"), fields, revision, above)
    return visit.show(page, status if error else 200)


ROUTES = [
    Route(PATH, reads(first), methods=["GET"]),
    Route(PATH, writes(begin), methods=["POST"]),
    Route(f"{PATH}/culture", reads(culture), methods=["GET"]),
    Route(f"{PATH}/culture", writes(bring), methods=["POST"]),
    Route("/look-round", reads(look_round), methods=["GET"]),
]
