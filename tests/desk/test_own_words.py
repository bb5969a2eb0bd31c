"""The method in its author's words, and the lines as they were typed, kept with the formula."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some
from tests.web.stored_desk import NOW, hall

from pointage.desk.formulas.changes import settled
from pointage.desk.formulas.draft import Draft, TypedCells
from pointage.desk.formulas.read import read_text_of_recipe
from pointage.desk.sheets.linked_data import linked_data_text
from pointage.desk.sheets.parts.process import worked
from pointage.documents.page.plain import plain_recipe
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.formula import ALL, WORDS, StageKind
from pointage.formula.reading.method import LONGEST_METHOD, by_step
from pointage.formula.reading.typed import LineDoubt, TypedLine
from pointage.timetable.remark import RemarkCode

RECIPE = """Pier loaf
Levain
50 g bread flour
50 g water
10 g starter

Dough
1 1/2 cups bread flour
250 g strong bread flour
all of the levain
300 g water
a pinch of salt
10 g salt
20 g puffin feathers

Method
Feed the starter the evening before.
1. Mix everything but the salt, and wait.
Add the salt and knead until it is smooth.
Stretch and fold four times.
It should look alive.
Let it rise until it has nearly doubled.
Divide in two and shape gently.
Let rise again for an hour.
Or put it in the fridge overnight.
Preheat the oven and bake until brown.
Cool on a rack.
"""


def test_each_line_of_a_method_stands_beside_its_step() -> None:
    formula = read_text_of_recipe(RECIPE, "us").formula
    assert formula.stage("Levain").words == "Feed the starter the evening before."
    assert formula.words == {
        "mix": "1. Mix everything but the salt, and wait.\n"
        "Add the salt and knead until it is smooth.",
        "fold": "Stretch and fold four times.\nIt should look alive.",
        "bulk": "Let it rise until it has nearly doubled.",
        "divide": "Divide in two and shape gently.",
        "proof": "Let rise again for an hour.",
        "retard": "Or put it in the fridge overnight.",
        "bake": "Preheat the oven and bake until brown.",
        "cool": "Cool on a rack.",
    }


# Ours: a line, the step before it, and what it is about.
@pytest.mark.parametrize(
    ("line", "about"),
    [
        ("Whisk the yolks into the milk.", "mix"),
        ("Autolyse for an hour", "mix"),
        ("Alles verkneten", "mix"),
        ("Laisser en pointage 2 h", "bulk"),
        ("Bulk ferment at room temperature", "bulk"),
        ("First rise: four hours", "bulk"),
        ("After the bulk, divide", "bulk"),
        ("Cut into eight and round", "divide"),
        ("Preshape as rounds", "divide"),
        ("Form into a log", "shape"),
        ("Final rise in baskets", "proof"),
        ("Retard for 12 h", "retard"),
        ("Score with a razor", "bake"),
        ("Backen bei 230 °C", "bake"),
        ("Let cool before cutting", "cool"),
        ("My grandmother made this.", ALL),
        ("", ALL),
    ],
)
def test_a_line_is_about_what_its_first_verb_names(line: str, about: str) -> None:
    assert by_step([line or "–"], []).steps == {about: line or "–"}


def test_no_word_of_a_method_is_lost_and_an_endless_one_is_said_to_be_cut() -> None:
    lines = ["Mix.", "The sea.", "Bake.", "Feed the levain."]
    found = by_step(lines, [("Levain", StageKind.LEVAIN)])
    kept = "\n".join((*found.steps.values(), *found.stages.values())).splitlines()
    assert sorted(kept) == sorted(lines)
    assert not found.cut
    novel = read_text_of_recipe("A\n500 g flour\n300 g water\nMethod\n" + "Mix it. " * 99 * 9)
    assert any("longer than" in each for each in novel.doubts)
    assert sum(map(len, novel.formula.words.values())) <= LONGEST_METHOD


def test_what_was_typed_is_kept_with_its_doubts_until_they_are_settled() -> None:
    formula = read_text_of_recipe(RECIPE, "us").formula
    lines = {each.line: each for each in formula.typed}
    assert lines["1 1/2 cups bread flour"].taken == "wheat-white"
    assert [each.what for each in lines["1 1/2 cups bread flour"].doubts] == ["volume"]
    assert (lines["20 g puffin feathers"].taken, lines["10 g salt"].doubts) == ("", ())
    at = [*lines].index("1 1/2 cups bread flour")
    after = settled(formula, at)
    assert after.typed[at] == TypedLine("1 1/2 cups bread flour", "wheat-white")
    assert read_formula(write_formula(after)) == after


@pytest.mark.parametrize("side", TypedCells)
def test_a_draft_that_nobody_touches_keeps_both(side: TypedCells) -> None:
    formula = read_text_of_recipe(RECIPE, "us").formula
    assert Draft(formula, side).read({}) == formula


def test_words_are_typed_beside_a_step_and_cleared() -> None:
    formula = read_text_of_recipe(RECIPE, "us").formula
    typed = {"words-mix": "By hand,\r\nin the tub.", "words-bake": "", "stage-0-words": "Warm."}
    found = Draft(formula, TypedCells.TOTAL).read(typed)
    assert found.words["mix"] == "By hand,\nin the tub."
    assert "bake" not in found.words
    assert found.stages[0].words == "Warm."


WORDS_TYPED = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=40)
DOUBTS = st.builds(
    LineDoubt,
    st.sampled_from(("volume", "bare", "made up")),
    st.dictionaries(
        st.sampled_from(("said", "off", "each")),
        st.text(max_size=9) | st.integers(-9999, 9999).map(lambda each: each / 8),
        max_size=3,
    ),
)


@settings(max_examples=some(40))
@given(
    st.dictionaries(st.sampled_from(WORDS), WORDS_TYPED.filter(bool)),
    st.lists(
        st.builds(TypedLine, WORDS_TYPED, WORDS_TYPED, st.lists(DOUBTS, max_size=3).map(tuple)),
        max_size=4,
    ),
    WORDS_TYPED,
)
def test_written_and_read_they_are_the_same(
    words: dict[str, str], typed: list[TypedLine], of_stage: str
) -> None:
    plain = read_text_of_recipe("A\n500 g flour\n300 g water").formula
    stages = tuple(replace(each, words=of_stage) for each in plain.stages)
    formula = replace(plain, words=words, typed=tuple(typed), stages=stages)
    again = read_formula(write_formula(formula))
    assert again == formula
    assert write_formula(again) == write_formula(formula)


def test_the_words_reach_plan_handout_linked_data_and_the_shared_page(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    loaf = desk.book.formula("harbour-loaf")
    said = {key: f"Words on the {key}." for key in WORDS}
    stages = tuple(replace(each, words=f"Words on {each.name}.") for each in loaf.stages)
    formula = replace(loaf, words=said, stages=stages)
    levain = "Words on Levain." if any(s.name == "Levain" for s in stages) else stages[0].words
    every = [*said.values(), levain]
    handout = "\n".join(each.text for each in worked(formula))
    shared = "\n".join(plain_recipe(formula).steps)
    assert "at 240 °C (464 °F) for" in shared
    linked = linked_data_text(formula, desk.kitchen())
    for words in every:
        assert words in shared
        if words != said["retard"] or "Or retard" in handout:
            assert words in handout
            assert words in linked
    desk.book.keep(write_formula(formula), "harbour-loaf", after=1)
    plan = desk.wish("8e9de54c-0d79-4bb2-b3e7-2a2bd0dd1e01", "harbour-loaf", 4,
                     NOW + timedelta(hours=40), NOW)  # fmt: skip
    author = {
        step.kind.value: [r.text for r in step.remarks if r.code is RemarkCode.AUTHOR]
        for step in plan.steps
    }
    assert said["mix"] in author["mix"]
    assert said["shape"] in author["shape"]
    assert stages[0].words in author["build"]
