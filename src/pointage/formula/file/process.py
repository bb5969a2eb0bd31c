"""Read the [process] of a formula file: minutes, temperatures and rises."""

from __future__ import annotations

from collections.abc import Sequence

from pointage.bounds import MIX_WANTED_C, OVEN_C, Bound
from pointage.errors import InputError
from pointage.formula.file.shape import ProcessTable
from pointage.formula.formula import Process, Rise
from pointage.quantities import Temperature, parse_duration, parse_temperature
from pointage.toml import place_of

# Common practice, no source: outside these, and the usual temperatures, a unit was mistaken.
MOST_RISE = 5.0
MOST_MINUTES = 24 * 60


def read_process(table: ProcessTable, source: str) -> Process:
    """The process that `table` describes. Raises InputError with `source`, the file's name."""
    here = place_of(source, "process")
    if (table.retard_place is None) != (table.retard_rise is None):
        lacks = "retard_rise" if table.retard_rise is None else "retard_place"
        raise InputError(
            place_of(here, lacks), "nothing", "both retard_place and retard_rise, or neither"
        )

    def minutes(key: str) -> float:
        text: str = getattr(table, key)
        found = parse_duration(text, place_of(here, key), bare="min").total_seconds() / 60
        if found > MOST_MINUTES:
            raise InputError(place_of(here, key), repr(text), "a duration of a day at most")
        return found

    def degrees(key: str, bound: Bound) -> Temperature:
        text: str = getattr(table, key)
        found = parse_temperature(text, place_of(here, key))
        low, high = bound.usual_low, bound.usual_high
        if not low <= found.celsius <= high:
            expected = f"a temperature of {low:g} to {high:g} °C"
            raise InputError(place_of(here, key), repr(text), expected)
        return found

    if table.folds and not minutes("fold_every"):
        raise InputError(place_of(here, "fold_every"), table.fold_every, "some time between folds")
    retard_rise = None
    if table.retard_rise is not None:
        retard_rise = _rise(table.retard_rise, place_of(here, "retard_rise"))
    return Process(
        mix_minutes=minutes("mix"),
        dough_temperature=degrees("dough_temperature", MIX_WANTED_C),
        bulk_place=table.bulk_place,
        bulk_rise=_rise(table.bulk_rise, place_of(here, "bulk_rise")),
        folds=table.folds,
        fold_every_minutes=minutes("fold_every"),
        fold_minutes=minutes("fold"),
        divide_minutes=minutes("divide"),
        bench_rest_minutes=minutes("bench_rest"),
        shape_minutes=minutes("shaping"),
        shape_keeps=table.shape_keeps,
        proof_place=table.proof_place,
        proof_rise=_rise(table.proof_rise, place_of(here, "proof_rise")),
        retard_place=table.retard_place,
        retard_rise=retard_rise,
        oven=degrees("oven", OVEN_C),
        oven_name=table.oven_name or "",
        bake_minutes=None if table.bake is None else minutes("bake"),
        load_minutes=minutes("load"),
        cool_minutes=minutes("cool"),
        shape=table.shape,
        bake_note=table.bake_note,
    )


def _rise(numbers: Sequence[float], field: str) -> Rise:
    least, wanted, most = numbers
    if not 1.0 <= least <= wanted <= most <= MOST_RISE:
        raise InputError(
            field,
            repr(list(numbers)),
            f"least, wanted and most in that order, between 1 and {MOST_RISE:g}",
        )
    return least, wanted, most
