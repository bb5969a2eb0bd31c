"""Name the option that a person gave, where the desk names a field."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from pointage.errors import Faults, InputError
from pointage.language import say


@contextmanager
def as_options(**given: object) -> Iterator[None]:
    """Errors inside that name a field of `given` name its option: "bowl-loss" "--bowl-loss".

    A field whose value is None was not given, so it is not the option at fault.
    """
    try:
        yield
    except InputError as error:
        known = {name.replace("_", "-") for name, value in given.items() if value is not None}
        raise error.at(lambda it: f"--{it.field}" if it.field in known else it.field) from None


def refuse_idle(needed: str, **options: object) -> None:
    """Refuse every option that was given and has no effect without `needed`, which was not.

    Raises InputError that names both, for each.
    """
    faults = Faults()
    for name, value in options.items():
        if value not in (None, False):
            field = f"--{name.replace('_', '-')}"
            said = say("it") if value is True else repr(value)
            expected = say("{needed} with it, because it has no effect alone", needed=needed)
            faults.found.append(InputError(field, said, expected))
    faults.check()
