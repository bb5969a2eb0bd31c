"""Lines of recipes, and recipes as text, read with what is doubtful about them."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction
from pathlib import Path
from time import process_time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.errors import InputError
from pointage.formula.formula import StageKind
from pointage.formula.names import COUNTRIES
from pointage.formula.reading.draft import draft_of
from pointage.formula.reading.headings import read_heading
from pointage.formula.reading.line import read_line
from pointage.formula.reading.linked import linked_text
from pointage.formula.reading.recipe import LONGEST_RECIPE, read_recipe

LINES = [
    line
    for line in (Path(__file__).parent / "lines.txt").read_text("utf-8").splitlines()
    if line and not line.startswith("#")
]


@pytest.mark.parametrize("row", LINES)
def test_a_line_is_read_as_it_is_meant(row: str) -> None:
    country, _, rest = row.partition("|")
    typed, name, grams, doubts = (part.strip() for part in rest.rsplit("|", 3))
    line = read_line(typed, country.strip())
    assert line.typed == typed
    assert ("-" if line.outside or line.name is None else line.name) == name
    assert " ".join(each.what for each in line.doubts) == (doubts if doubts != "-" else "")
    if grams == "-":
        assert line.grams is None
    else:
        assert line.grams is not None
        assert float(line.grams) == pytest.approx(float(grams), abs=0.005)


def test_there_are_a_hundred_lines() -> None:
    assert len(LINES) >= 100


def test_grams_are_the_very_grams() -> None:
    for text in ("0.1", "333.333", "1234.5"):
        assert read_line(f"{text} g water").grams == Fraction(text)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("350 g water at 80F", 26.67), ("350 g water, 27 °C", 27), ("water (100°F) 2 cups", 37.78)],
)
def test_a_temperature_is_kept(text: str, celsius: float) -> None:
    found = read_line(text, "us").temperature
    assert found is not None
    assert found.celsius == pytest.approx(celsius, abs=0.01)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Levain", StageKind.LEVAIN),
        ("For the levain:", StageKind.LEVAIN),
        ("## Rye starter", StageKind.LEVAIN),
        ("Second build", StageKind.LEVAIN),
        ("Overnight levain (100 g)", StageKind.LEVAIN),
        ("For the soaker", StageKind.SOAKER),
        ("Brühstück", StageKind.SCALD),
        ("Old dough", StageKind.OLD_DOUGH),
        ("FINAL DOUGH", StageKind.DOUGH),
        ("Hauptteig:", StageKind.DOUGH),
        ("Impasto finale", StageKind.DOUGH),
        ("Add-ins:", StageKind.ADDITION),
        ("Method", "method"),
        ("Ingredients", "ingredients"),
        ("Egg wash:", "outside"),
    ],
)
def test_a_heading_is_known(text: str, kind: str) -> None:
    found = read_heading(text)
    assert found is not None
    assert found.over == kind


@pytest.mark.parametrize("text", ["500 g flour", "Sunday sourdough", "Mix well and rest.", ""])
def test_what_is_no_heading(text: str) -> None:
    assert read_heading(text) is None


def test_the_method_is_kept_as_it_is() -> None:
    text = "Loaf\n500 g bread flour\n350 g water\nMethod\n1. Mix 500 g flour with care.\nBake."
    found = read_recipe(text)
    assert found.title == "Loaf"
    assert [each.typed for block in found.blocks for each in block.lines] == [
        "500 g bread flour", "350 g water",
    ]  # fmt: skip
    assert found.method == ["1. Mix 500 g flour with care.", "Bake."]


def test_a_method_without_a_heading_is_no_ingredient() -> None:
    text = "500 g bread flour\n350 g water\nMix the flour and 300 g of the water.\n30 minutes rest."
    assert len(read_recipe(text).method) == 2


def test_pieces_are_read() -> None:
    for text, pieces in (("Makes 2 loaves", 2), ("Yield: 12 rolls", 12), ("Für 2 Brote", 2)):
        assert read_recipe(f"{text}\n500 g bread flour\n350 g water").pieces == pieces


NOVEL = "It was a bright cold morning and the kitchen smelled of rye. " * 900


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no flour"),
        (NOVEL, "no flour"),
        ("x" * (LONGEST_RECIPE + 1), "characters"),
        ("500 g flour\x00\x01", "not text"),
        ("350 g water\n10 g salt", "no flour"),
        ("500 גרם קמח\n350 גרם מים", "no flour"),
        ("500 g bread flour\n10 g salt", "no water in the final dough"),
        ("Bread flour 60%\nWater 70%", "flours of 60 %"),
        ("\n".join(["5 g salt"] * 300), "more than 200 lines"),
        ("Levain\n50 g flour\n50 g water\nLevain 2:\n1 kg all of levain 2", "no dough"),
    ],
)
def test_what_is_no_recipe_is_refused_in_a_line(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        draft_of(read_recipe(text), "x")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text",
    ["{}", "[", '{"@type": "Recipe"', "[" * 5000, "<html></html>",
     "<html><script type='application/ld+json'>{</script>", '{"@type": "Person", "name": "x"}'],
)  # fmt: skip
def test_data_without_a_recipe_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="no recipe in this data"):
        linked_text(text)


PIECES = st.sampled_from(
    ["500 g", "1/2", "½", "1,200", "(", ")", "%", "2", "flour", "levain", "all of the", "water",
     ":", "\n", "\n\n", "Levain", "Dough", "at 80F", "-", "0", "/", "cups", "starter", "salt",
     "1 000 g",      "100% hydration", "Method", "| ", "\t", "’", "soaker", "1/0 g", "99999999999"]
)  # fmt: skip


@settings(max_examples=some(60), deadline=None)
@given(
    st.lists(PIECES | st.text(max_size=12), max_size=40).map(" ".join),
    st.sampled_from(("", *COUNTRIES)),
)
@example("Levain\n10 g levain\nDough\n10 g dough", "us")
def test_any_text_is_read_or_refused_soon(text: str, country: str) -> None:
    start = process_time()
    with suppress(InputError):
        draft_of(read_recipe(text, country), "x").table()
    assert process_time() - start < 2


@pytest.mark.parametrize(
    ("text", "name", "doubts"),
    [
        ("440 g Hilltop best bread flour", "wheat-white", ["rest"]),
        ("22 g sel de Bréhaut", "salt", ["rest"]),
        ("440 g gluten-free bread flour", None, ["unknown"]),
        ("100 g coconut milk", None, ["unknown"]),
        ("100 g lait de coco", None, ["unknown"]),
        ("100 g sweet potato", None, ["unknown"]),
    ],
)
def test_a_maker_s_name_is_left_out_but_no_word_that_changes_the_thing(
    text: str, name: str | None, doubts: list[str]
) -> None:
    line = read_line(text)
    assert line.name == name
    assert [each.what for each in line.doubts] == doubts


def test_the_first_line_is_a_name_though_it_names_a_starter() -> None:
    found = read_recipe("My sourdough\nMakes one boule\n500 g bread flour\n350 g water")
    assert found.title == "My sourdough"
    assert found.pieces == 1
    assert len(found.blocks) == 1
