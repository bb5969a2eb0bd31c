"""A plan as a document: written and read back the same, by its schema, with no sentence in it."""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from tests.faults.injector import begun
from tests.timetable.hall import DUBLIN, NOW, SATURDAY, SLUGS, kitchen, planned, step
from tests.whole.hall import Hall

from pointage import data
from pointage.culture.life import (
    Began,
    Fed,
    Moved,
    Taken,
    lived,
)
from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake, Wished
from pointage.desk.bakes.plan import plan_json
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.now.takings import takings
from pointage.desk.plans import read_plan, write_plan
from pointage.desk.wording import (
    cautions,
    conflict_name,
    conflict_words,
    note,
    pour_label,
    remark_words,
    title,
)
from pointage.errors import InputError
from pointage.formula import ingredients as book
from pointage.formula.ladder import PourKind
from pointage.kitchen.culture_state import REMEMBERED, remembered
from pointage.kitchen.file.read import read_kitchen
from pointage.timetable.pin import Pin
from pointage.timetable.plan import Plan, StepKind
from pointage.timetable.remark import (
    Argument,
    Conflict,
    ConflictName,
    Quantity,
    Remark,
    RemarkCode,
    Unit,
)

SCHEMA = Draft202012Validator(json.loads(data.schema("plan")))
SUNDAY = SATURDAY + timedelta(days=1, hours=2)
IMPOSSIBLE = ("harbour-loaf", NOW + timedelta(hours=5))

READ = EntryKind.READING


def wished(slug: str = "harbour-loaf", **more: Any) -> Wished:
    text = demonstration_formulas()[slug]
    return Wished(text, demonstration_text(), NOW, Fraction(1801, 2), **more)


def through(body: dict[str, Any]) -> dict[str, Any]:
    """As a store gives it back."""
    found: dict[str, Any] = json.loads(json.dumps(body))
    return found


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.soon(1)
def test_what_is_written_is_read_back_the_same(slug: str) -> None:
    held = Pin(StepKind.BUILD, SUNDAY, 2)
    plan, texts = planned(slug, SUNDAY), wished(slug, friction_k=2.3, held=held)
    body = through(write_plan(plan, texts))
    SCHEMA.validate(body)
    assert read_plan(body) == (plan, texts)
    assert write_plan(*read_plan(body)) == body


def test_a_plan_that_cannot_be_kept_is_read_back_with_its_reasons() -> None:
    plan = planned(*IMPOSSIBLE)
    body = through(write_plan(plan, wished()))
    SCHEMA.validate(body)
    again, _ = read_plan(body)
    assert again == plan
    assert {conflict_name(each) for each in again.conflicts} >= {"ready"}


instants = st.integers(0, 5_000_000_000).map(
    lambda seconds: NOW + timedelta(seconds=seconds - 800_000_000)
)
names = st.text(min_size=1, max_size=20)
arguments: st.SearchStrategy[Argument] = st.one_of(
    names,
    instants,
    st.builds(Quantity, st.floats(-1e6, 1e6), st.sampled_from(Unit)),
    st.lists(instants, max_size=4).map(tuple),
)
abouts = st.dictionaries(names, arguments, max_size=4)


@given(
    st.builds(Remark, st.sampled_from(RemarkCode), abouts, names),
    st.builds(Conflict, st.sampled_from(ConflictName), abouts),
)
def test_any_remark_and_conflict_is_read_back_the_same(remark: Remark, clash: Conflict) -> None:
    plan = planned("tinned-rye", SUNDAY)
    steps = (replace(plan.steps[0], remarks=(remark,)), *plan.steps[1:])
    told = replace(plan, steps=steps, conflicts=(clash,), cautions=(remark,))
    body = through(write_plan(told, wished()))
    SCHEMA.validate(body)
    assert read_plan(body)[0] == told


@given(abouts)
def test_every_code_has_words_whatever_it_is_about(about: dict[str, Argument]) -> None:
    """A remark whose argument is missing, or of another sort, is still said and never raises."""
    for code in RemarkCode:
        assert remark_words(Remark(code, about, "own"), DUBLIN)
    for name in ConflictName:
        assert all(conflict_words(Conflict(name, about), DUBLIN))


def strings(value: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Every string of a document with the key that it stands under."""
    if isinstance(value, str):
        yield key, value
    elif isinstance(value, dict):
        for name, each in value.items():
            yield "", name
            yield from strings(each, name)
    elif isinstance(value, list):
        for each in value:
            yield from strings(each, key)


@pytest.mark.parametrize("slug", [*SLUGS, "12 harbour loaves"])
def test_no_sentence_is_in_it_but_the_author_s(slug: str) -> None:
    """Each string is without a space, or one of the names that the kitchen and formula give."""
    plan = planned(slug, SUNDAY) if slug in SLUGS else planned("harbour-loaf", pieces=12)
    hall = kitchen()
    named = {hall.oven.name, *(each.name for each in hall.places)}
    named |= {each.name for each in hall.vessels} | {each.name for each in hall.cultures}
    formulas = (names_in(text) for text in demonstration_formulas().values())
    named |= {name for names in formulas for name in names}
    own = demonstration_formulas().values()
    body = write_plan(plan, wished())
    found = list(strings(body))
    assert len(found) > 100
    for key, text in found:
        if key in ("formula", "kitchen") and "\n" in text:
            continue
        if key == "text":
            assert any(text in formula for formula in own)
        else:
            assert " " not in text or text in named, (key, text)


def names_in(text: str) -> list[str]:
    read = tomllib.loads(text)
    return [read["name"], *(stage["name"] for stage in read["stage"])]


def test_a_renamed_ingredient_changes_only_what_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    plan, texts = planned("harbour-loaf", SUNDAY), wished()
    body = write_plan(plan, texts)
    was = takings(Bake("x", plan), None)
    shown = [pour_label(pour) for pour in mix(plan)]
    assert "White wheat flour" in shown

    renamed = dict(book.ingredients())
    renamed["wheat-white"] = replace(renamed["wheat-white"], label="Strong flour")
    monkeypatch.setattr("pointage.desk.wording.pours.ingredients", lambda: renamed)
    monkeypatch.setattr(book, "ingredients", lambda: renamed)
    again, _ = read_plan(body)
    assert again == plan
    assert write_plan(again, texts) == body
    assert takings(Bake("x", again), None) == was
    now = [pour_label(pour) for pour in mix(again)]
    changed = [(a, b) for a, b in zip(shown, now, strict=True) if a != b]
    assert changed == [("White wheat flour", "Strong flour")]


def test_an_old_plan_does_not_mind_a_renamed_ingredient(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.desk.test_plans_of_version_1 import FILES, written

    body = written(FILES[0])["body"]
    was, _ = read_plan(body)
    renamed = {key: replace(each, label="Other") for key, each in book.ingredients().items()}
    monkeypatch.setattr(book, "ingredients", lambda: renamed)
    assert read_plan(body)[0] == was


def mix(plan: Plan) -> Any:
    ladder = step(plan, "mix").ladder
    assert ladder is not None
    return ladder.pours


def test_json_of_a_plan_has_identifiers_beside_the_names() -> None:
    plan = planned("harbour-loaf", SUNDAY)
    pours = next(each for each in plan_json(plan)["steps"] if each["key"] == "mix")["ladder"]
    found = [(pour["name"], pour["kind"], pour["ingredient"]) for pour in pours["pours"]]
    assert found[:2] == [("Water", "ingredient", "water"), ("Levain, ripe", "stage", None)]


def test_clock_times_are_said_in_the_zone_that_is_asked_for() -> None:
    """A brim passed at 14:02 in UTC: 15:02 in a Dublin summer."""
    at = datetime(2026, 6, 5, 14, 2, tzinfo=UTC)
    odds = Quantity(0.8, Unit.ONE)
    about: dict[str, Argument] = {"vessel": "Tub 2", "at": at, "odds": odds, "larger": "Tub 3"}
    said = remark_words(Remark(RemarkCode.BRIM, about), DUBLIN)
    expected = "It may overflow Tub 2 at about 15:02: likely (78 in 100); Tub 3"
    assert said.startswith(expected)


def culture_of(feeds: int) -> Any:
    hall = read_kitchen(demonstration_text(), NOW)
    plover = hall.culture("Plover")
    events: list[Any] = [Began(NOW - timedelta(days=100), "Plover", None, 0.0, plover.flours, 0.6)]
    for n in range(feeds, 0, -1):
        at = NOW - timedelta(days=2 * n)
        flours = {"wheat-white": 56.25}
        events += [
            Fed(at, 30.0 if n < feeds else 0.0, flours, 33.75, 24.0, "Boiler cupboard"),
            Taken(at + timedelta(hours=1), 500.0, "Harbour loaf"),
            Moved(at + timedelta(hours=3), "Fridge"),
        ]
    return replace(plover, life=lived(events))


@pytest.mark.parametrize("feeds", [1, 5, 40])
def test_a_culture_is_kept_as_far_as_its_state_follows_from_it(feeds: int) -> None:
    """Its feeds that still tell, however long it has lived; what was taken of it is not."""
    culture = culture_of(feeds)
    assert culture.life.oddities
    body = through(write_plan(planned("harbour-loaf", SUNDAY), wished(culture=culture)))
    SCHEMA.validate(body)
    _, again = read_plan(body)
    assert again.culture is not None
    assert tuple(remembered(again.culture)) == tuple(remembered(culture))
    for each in fields(culture):
        if each.name != "life":
            assert getattr(again.culture, each.name) == getattr(culture, each.name)
    assert len(body["wished"]["culture"]["stands"]) <= 2 * REMEMBERED
    assert through(write_plan(*read_plan(body))) == body


def test_a_document_is_smaller_than_that_of_version_1() -> None:
    """The fixtures written anew, all their digits kept; a new one has fewer digits to keep."""
    from tests.desk.test_plans_of_version_1 import FILES, written

    for path in FILES:
        body = written(path)["body"]
        texts = sum(len(body["wished"][name]) for name in ("formula", "kitchen"))
        was = len(json.dumps(body)) - texts
        now = len(json.dumps(write_plan(*read_plan(body)))) - texts
        assert now < 0.7 * was
    plan = planned("harbour-loaf", SUNDAY)
    assert len(json.dumps(write_plan(plan, wished())["plan"])) < 20_000


BODY = through(write_plan(planned("tinned-rye", SUNDAY), wished("tinned-rye")))


def changed(path: tuple[Any, ...], value: Any) -> dict[str, Any]:
    body = copy.deepcopy(BODY)
    at: Any = body
    for each in path[:-1]:
        at = at[each]
    at[path[-1]] = value
    return body


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (changed(("version",), 3), "plan, version: 3 "),
        (changed(("version",), "2"), "plan, version: '2' "),
        (changed(("version",), True), "plan, version: True "),
        (changed(("format",), "other"), "plan, format: 'other' "),
        (changed(("plan", "ready"), "soon"), "plan, ready: 'soon' "),
        (changed(("plan", "ready"), "2026-11-28T09:00:00"), "plan, ready: "),
        (changed(("plan", "ready"), "0001-01-01T00:00:00+05:00"), "plan, ready: "),
        (changed(("plan", "zone"), "Atlantis/Nowhere"), "plan, zone: 'Atlantis/Nowhere' "),
        (changed(("plan", "zone"), "../etc"), "plan, zone: "),
        (changed(("plan", "steps", 0, "kind"), "knead"), "plan, steps, 1, kind: 'knead' "),
        (changed(("plan", "steps", 1, "key"), "build-1"), "plan, steps: 'build-1' "),
        (changed(("plan", "steps"), "none"), "plan, steps: 'none' "),
        (changed(("plan", "more"), 1), "plan, more: 1 "),
        (changed(("plan", "thread", "feeds"), []), "plan, thread, feeds: "),
        (changed(("plan", "thread", "feeds"), BODY["plan"]["thread"]["feeds"] * 2), "plan, thread"),
        (changed(("plan", "steps", 0, "ladder", "pours"), []), "plan, steps, 1, ladder, pours: "),
        (changed(("plan", "steps", 0, "standing", "course", "ph"), [5.0]), "plan, steps, 1, stand"),
        (changed(("plan", "piece_g"), float("nan")), "plan, piece_g: nan "),
        (changed(("plan", "piece_g"), 1e300), "plan, piece_g: "),
        (changed(("plan", "pieces"), 10**9), "plan, pieces: "),
        (changed(("wished", "piece_g"), "0"), "wished, piece_g: "),
        (changed(("wished", "piece_g"), "1" + 300 * "0"), "wished, piece_g: "),
        (changed(("wished", "piece_g"), "1/0"), "wished, piece_g: "),
        (changed(("wished",), None), "wished: None "),
        ({}, "plan: this "),
        ({"plan": {"steps": 3}, "wished": {}}, "plan: this "),
        ({"plan": None, "wished": None}, "plan: this "),
    ],
)
def test_what_cannot_be_read_is_one_line(body: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError) as error:
        read_plan(body)
    assert str(error.value).startswith(says), str(error.value)
    assert "\n" not in str(error.value)


def test_titles_and_notes_are_as_the_plan_has_them() -> None:
    plan = planned("sunday-spelt", SUNDAY)
    assert title(step(plan, "fold-1")) == "Fold, 1 of 3, with the salt and held-back water"
    assert note(step(plan, "divide"), DUBLIN) == "6 pieces of 850 g."
    assert title(step(plan, "soak-1")) == "Pour boiling water on the scald"
    assert len(cautions(plan)) == 2
    assert {pour.kind for pour in mix(plan)} == {PourKind.INGREDIENT, PourKind.STAGE}


def test_a_bake_whose_formula_of_then_cannot_be_read_stands_as_it_was_planned(url: str) -> None:
    """What was read off it moves nothing and teaches nothing; what is stored shuts no screen."""
    body = changed(("wished", "formula"), 'name = "Half a')
    with Hall(begun(url), NOW) as hall:
        key, build = str(uuid4()), next(s for s in read_plan(body)[0].steps if s.standing)
        rise = {"bake": key, "step": build.key, "reading": "rise", "value": 1.5}
        for name, kind, said in ((key, EntryKind.PLAN, body), (str(uuid4()), READ, rise)):
            hall.store.append(Entry(name, hall.kitchen, kind, NOW, NOW, "baker", said))
        (bake,) = [each for each in hall.desk.bakes() if each.key == key]
    assert bake.plan.steps == read_plan(BODY)[0].steps
    assert bake.step_news(build.key).readings
