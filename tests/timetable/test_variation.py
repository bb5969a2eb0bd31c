"""The one change to try next, as a change of the formula."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.timetable.hall import SLUGS, formula

from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.timetable.why.signs import CauseKind
from pointage.timetable.why.variation import VariedLine, variation

K = CauseKind


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.parametrize("cause", list(K))
def test_one_thing_is_changed_and_the_whole_formula_stays(slug: str, cause: CauseKind) -> None:
    before = formula(slug)
    found = variation(before, cause, 40.0)
    if found is None:
        things_to_do = (K.NO_STEAM, K.OLD_LEVAIN, K.COLD_DOUGH, K.WARM_DOUGH)
        assert cause in things_to_do or slug == "tinned-rye"
        return
    after = found.formula
    assert after.total == before.total
    assert found.was != found.now
    assert (after.stages == before.stages) is (found.line is not VariedLine.LEVAIN)
    assert before.process is not None
    assert after.process is not None
    fields = [
        name
        for name in before.process.__dataclass_fields__
        if getattr(before.process, name) != getattr(after.process, name)
    ]
    assert len(fields) == (found.line is not VariedLine.LEVAIN)
    named = replace(after, varies=before.name, because="It was dense: at 17 °C.")
    assert read_formula(write_formula(named)) == named


def test_opposite_causes_are_answered_the_opposite_way() -> None:
    for less, more in (
        (K.SHORT_BULK, K.LONG_BULK),
        (K.COLD_PLACE, K.WARM_PLACE),
        (K.SLOW_CULTURE, K.QUICK_CULTURE),
        (K.SHORT_PROOF, K.LONG_PROOF),
        (K.COOL_OVEN, K.HOT_OVEN),
        (K.SHORT_BAKE, K.LONG_BAKE),
    ):
        up, down = (variation(formula("harbour-loaf"), each, 40.0) for each in (less, more))
        assert up is not None
        assert down is not None
        assert up.now > up.was
        assert down.now < down.was


def test_a_temperature_that_was_missed_is_no_fault_of_the_formula() -> None:
    for missed in (K.COLD_DOUGH, K.WARM_DOUGH):
        assert variation(formula("harbour-loaf"), missed, 40.0) is None


def test_a_formula_without_a_process_has_nothing_to_change() -> None:
    assert variation(replace(formula("harbour-loaf"), process=None), K.SHORT_BULK, 40.0) is None
