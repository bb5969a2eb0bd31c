"""Name the option that a person gave, where the desk names a field."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from pointage.errors import InputError

if TYPE_CHECKING:
    from pointage.kitchen.log.read import LogOptions


@contextmanager
def as_options(**given: object) -> Iterator[None]:
    """Errors inside that name a field of `given` name its option: "pieces" becomes "--pieces".

    A field whose value is None was not given, so it is not the option that will not do.
    """
    try:
        yield
    except InputError as error:
        known = {name for name, value in given.items() if value is not None}
        raise error.at(lambda it: f"--{it.field}" if it.field in known else it.field) from None


def as_log_options(
    column: str | None, unit: str | None, dates: str | None, *, skip_bad_rows: bool
) -> LogOptions:
    """What a person says of a log with --log-column, --log-unit and --log-dates."""
    from pointage.kitchen.log.clock import DateOrder
    from pointage.kitchen.log.read import LogOptions

    if unit is not None and unit.upper() not in ("C", "F"):
        raise InputError("--log-unit", repr(unit), "C or F")
    if dates is not None and dates not in list(DateOrder):
        raise InputError("--log-dates", repr(dates), f"one of {', '.join(DateOrder)}")
    return LogOptions(
        column=column,
        unit=unit and unit.upper(),
        order=None if dates is None else DateOrder(dates),
        skip_bad_rows=skip_bad_rows,
    )
