"""Several faults as one error: collected, placed and named again, and none lost."""

from __future__ import annotations

import pickle

import pytest

from pointage.errors import MOST_FAULTS, At, Faults, InputError, InputErrors, RangeError, UnitError
from pointage.quantities import parse_mass


def test_faults_are_raised_together_in_their_order() -> None:
    faults = Faults()
    assert faults.take(parse_mass, "20g", "salt") == 20
    wrong = faults.take(parse_mass, "much", "flour")
    assert faults.take(lambda grams: 2 * grams, wrong) is wrong  # what was at fault is not read on
    with faults:
        raise InputErrors([InputError("a", "x", "y"), InputError("b", "x", "y")])
    with pytest.raises(InputError) as caught:
        faults.check()
    assert [each.field for each in caught.value.faults] == ["flour", "a", "b"]
    assert caught.value.field == "flour"
    assert str(caught.value).splitlines() == [str(each) for each in caught.value.faults]


def test_of_very_many_faults_the_first_are_said_and_how_many_more_there_are() -> None:
    faults = Faults()
    faults.found = [InputError(f"a{i}", "x", "y") for i in range(MOST_FAULTS + 7)]
    faults.besides = 5
    with pytest.raises(InputError) as caught:
        faults.check()
    *first, rest = caught.value.faults
    assert [each.field for each in first] == [f"a{i}" for i in range(MOST_FAULTS)]
    assert str(rest) == "the rest: 12 more faults; expected those above mended first"


def test_one_fault_is_raised_as_itself_and_none_not_at_all() -> None:
    faults = Faults()
    faults.check()
    faults.take(parse_mass, "much", "flour")
    with pytest.raises(UnitError):
        faults.check()


def test_what_is_no_fault_of_the_input_goes_through() -> None:
    with pytest.raises(ZeroDivisionError), Faults():
        _ = 1 / 0


def test_a_path_goes_with_its_field_and_each_fault_is_named_anew() -> None:
    place = At("kitchen.toml, place 'Hall', temperature", ("place", 0, "temperature"))
    error = InputErrors([UnitError(place, "x", "y"), InputError("zone", "x", "y")])
    assert [each.path for each in error.faults] == [("place", 0, "temperature"), ("zone",)]
    again = error.at(lambda fault: str(fault.path[-1]))
    assert [each.field for each in again.faults] == ["temperature", "zone"]
    assert isinstance(again.faults[0], UnitError)


def test_a_field_with_its_path_is_copied_whole() -> None:
    field = At("the third place’s temperature", ("place", 2, "temperature"))
    again = pickle.loads(pickle.dumps(field))
    assert (again, again.path) == (field, field.path)


def test_a_copy_says_the_same() -> None:
    out = RangeError("temperature", 80.0, 0.0, 50.0, "°C")
    two = InputErrors([InputError("a", 3, "y"), InputError("b", "x", "y")], besides=1)
    for error in (out, two):
        copy = pickle.loads(pickle.dumps(error))
        assert type(copy) is type(error)
        assert str(copy) == str(error)
        assert vars(copy).keys() == vars(error).keys()
