"""Names for cultures."""

from __future__ import annotations

from pointage.errors import InputError
from pointage.language import say
from pointage.web.visit import Visit


def free_name(visit: Visit, name: str, field: str) -> str:
    """A name for another culture: one that none has or had, but one that is retired. Raises
    InputError."""
    known = [life for life in visit.desk.lives() if life.state != "retired"]
    if "/" in name or name.casefold() in {each.casefold() for it in known for each in it.names}:
        raise InputError(field, repr(name), say("a name without a slash that no other culture has"))
    return name
