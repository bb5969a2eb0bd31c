"""Read the [process] of a formula file: minutes, temperatures and rises."""

from __future__ import annotations

from pointage.errors import MISSING, Complaint, Faults, InputError
from pointage.formula.file.shape import ProcessTable
from pointage.formula.formula import Process
from pointage.language import say
from pointage.toml import place_of


def read_process(table: ProcessTable, source: str) -> Process:
    """The process that `table` describes. Raises InputError with `source`, the file's name."""
    here = place_of(source, "process")
    faults = Faults()
    if (table.retard_place is None) != (table.retard_rise is None):
        lacks = "retard_rise" if table.retard_rise is None else "retard_place"
        expected = say("both retard_place and retard_rise, or neither")
        faults.found.append(InputError(place_of(here, lacks), MISSING, expected))
    if table.folds and not table.fold_every:
        field = place_of(here, "fold_every")
        faults.found.append(
            InputError(field, Complaint(say("no time")), say("some time between folds"))
        )
    faults.check()
    return Process(
        mix_minutes=table.mix,
        dough_temperature=table.dough_temperature,
        bulk_place=table.bulk_place,
        bulk_rise=table.bulk_rise,
        folds=table.folds,
        fold_every_minutes=table.fold_every,
        fold_minutes=table.fold,
        divide_minutes=table.divide,
        bench_rest_minutes=table.bench_rest,
        shape_minutes=table.shaping,
        shape_keeps=table.shape_keeps,
        proof_place=table.proof_place,
        proof_rise=table.proof_rise,
        retard_place=table.retard_place,
        retard_rise=table.retard_rise,
        oven=table.oven,
        oven_name=table.oven_name or "",
        bake_minutes=table.bake,
        load_minutes=table.load,
        cool_minutes=table.cool,
        shape=table.shape,
        bake_note=table.bake_note,
    )
