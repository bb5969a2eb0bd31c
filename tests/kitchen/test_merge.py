"""Rows of the kitchen's file by their names, and a change of one made on what others have kept."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.errors import InputError
from pointage.kitchen.file.edit import changed, table, values, without
from pointage.kitchen.file.merge import RowChangedError, on_latest

BASE = demonstration_text()
NAMES = [each["name"] for each in values(BASE, "vessel")]
FEW = ("Bowl", "Jar", "Tin", "Tray")
ROW = '[[vessel]]\nname = "{}"\ntare = "1kg"\n'
SMALL = 'name = "Shed"\n\n' + "".join(map(ROW.format, FEW))
"""Few rows are read quickly, and two people often change the same one."""
SHELF = {"name": "Shelf", "step": "1g", "capacity": "5kg"}


def with_tare(text: str, name: str, tare: str) -> str:
    said = next(each for each in values(text, "vessel") if each["name"] == name)
    return changed(text, "vessel", name, said | {"tare": tare})


def tares(text: str) -> dict[str, str]:
    return {each["name"]: each["tare"] for each in values(text, "vessel")}


def test_changes_of_two_rows_are_both_there() -> None:
    first, second = NAMES[:2]
    latest = with_tare(BASE, first, "901g")
    found = on_latest(BASE, latest, "vessel", second, lambda text: with_tare(text, second, "902g"))
    assert tares(found) == tares(BASE) | {first: "901g", second: "902g"}


def test_the_row_that_is_taken_out_is_the_one_that_was_named() -> None:
    """By its place, the next one would have gone."""
    latest = without(BASE, "vessel", NAMES[0])
    found = on_latest(BASE, latest, "vessel", NAMES[1], lambda it: without(it, "vessel", NAMES[1]))
    assert list(tares(found)) == NAMES[2:]


def test_a_row_that_another_changed_is_refused_with_what_it_says_now() -> None:
    name = NAMES[0]
    latest = with_tare(BASE, name, "901g")
    for change in (lambda it: with_tare(it, name, "902g"), lambda it: without(it, "vessel", name)):
        with pytest.raises(RowChangedError) as refused:
            on_latest(BASE, latest, "vessel", name, change)
        assert refused.value.now == table(latest, "vessel", name)
    gone = without(BASE, "vessel", name)
    with pytest.raises(RowChangedError) as refused:
        on_latest(BASE, gone, "vessel", name, lambda it: with_tare(it, name, "902g"))
    assert refused.value.now is None


def test_a_change_that_is_made_already_is_not_made_twice() -> None:
    name = NAMES[0]
    said = values(BASE, "vessel")[0] | {"name": "Renamed"}
    changes: list[tuple[Callable[[str], str], str | None]] = [
        (lambda it: with_tare(it, name, "902g"), None),
        (lambda it: without(it, "vessel", name), None),
        (lambda it: changed(it, "vessel", name, said), "Renamed"),
    ]
    for change, renamed in changes:
        latest = change(BASE)
        assert on_latest(BASE, latest, "vessel", name, change, renamed=renamed) == latest
    latest = changed(BASE, "scale", None, SHELF)
    again = on_latest(BASE, latest, "scale", "Shelf", lambda it: changed(it, "scale", None, SHELF))
    assert again == latest


def test_a_new_row_under_a_name_that_another_took_is_refused() -> None:
    latest = changed(BASE, "scale", None, SHELF | {"step": "5g"})
    with pytest.raises(RowChangedError) as refused:
        on_latest(BASE, latest, "scale", "Shelf", lambda it: changed(it, "scale", None, SHELF))
    assert refused.value.now == SHELF | {"step": "5g"}


def test_tables_that_stand_alone_are_each_their_own() -> None:
    top = values(BASE, "kitchen")[0]
    latest = changed(BASE, "kitchen", "", top | {"tap": "9C"})
    found = on_latest(
        BASE, latest, "hours", "", lambda it: changed(it, "hours", "", {"sleep": "21:00-05:00"})
    )
    assert tomllib.loads(found)["tap"] == "9C"
    assert tomllib.loads(found)["hours"]["sleep"] == "21:00-05:00"
    with pytest.raises(RowChangedError):
        on_latest(
            BASE, latest, "kitchen", "", lambda it: changed(it, "kitchen", "", top | {"tap": "8C"})
        )


def test_a_name_that_two_have_is_refused() -> None:
    twice = BASE + '\n[[scale]]\nname = "Twin"\nstep = "1g"\ncapacity = "1kg"\n' * 2
    for use in (
        lambda: table(twice, "scale", "Twin"),
        lambda: without(twice, "scale", "Twin"),
        lambda: changed(twice, "scale", "Twin", SHELF),
    ):
        with pytest.raises(InputError, match=r"scale: 'Twin'.*only one has"):
            use()
    for use in (lambda: without(BASE, "scale", "None"), lambda: changed(BASE, "scale", "0", SHELF)):
        with pytest.raises(InputError, match="the name of one in the file"):
            use()


@given(name=st.text(min_size=1).filter(str.strip))
def test_any_name_is_found_again(name: str) -> None:
    name = name.strip()
    if name in FEW:
        return
    try:
        text = changed(SMALL, "vessel", None, values(SMALL, "vessel")[0] | {"name": name})
        found = table(text, "vessel", name)
    except InputError:
        return  # TOML has no such letter, and that is said
    assert found is not None
    assert found["name"] == name
    assert tomllib.loads(without(text, "vessel", name)) == tomllib.loads(SMALL)


TARE = st.integers(1, 999).map(lambda grams: f"{grams}g")
EDITS = st.lists(
    st.tuples(st.sampled_from(FEW), st.one_of(st.none(), TARE)),
    max_size=6,
    unique_by=lambda e: e[0],
)


@given(theirs=EDITS, mine=EDITS)
def test_nothing_of_either_is_lost(
    theirs: list[tuple[str, str | None]], mine: list[tuple[str, str | None]]
) -> None:
    """Whatever both did from one text, each row has what was done of it, or a refusal names it."""

    def made(name: str, tare: str | None, text: str) -> str:
        return without(text, "vessel", name) if tare is None else with_tare(text, name, tare)

    latest, wanted = SMALL, tares(SMALL)
    for name, tare in theirs:
        latest = made(name, tare, latest)
        wanted = {**wanted, name: tare or ""}
    for name, tare in mine:
        try:
            latest = on_latest(SMALL, latest, "vessel", name, partial(made, name, tare))
            wanted[name] = tare or ""
        except RowChangedError:
            assert name in dict(theirs)
    assert tares(latest) == {name: tare for name, tare in wanted.items() if tare}
