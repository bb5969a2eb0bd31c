"""What a body may say, and the one clear line for what it may not."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest

from pointage.daybook.bodies import BODIES, checked, doubts_of
from pointage.daybook.entry import EntryKind
from pointage.errors import InputError

LOT = str(uuid4())
FLOUR = {"grams": 600, "ingredient": "wheat-white", "temperature_c": 18.5, "lot": LOT}

SOUR = {"value": "4.1", "unit": ""}
WARM = {"temperature_c": {"value": "76", "unit": "F"}}

GOOD: list[tuple[EntryKind, dict[str, Any]]] = [
    (EntryKind.MIXED, {"parts": [FLOUR, {"grams": 99.5, "culture": "Plover"}], "into": "bowl"}),
    (EntryKind.HELD, {"place": "Boiler cupboard", "until": "2026-11-25T18:00:00+00:00"}),
    (EntryKind.FED, {"culture": "Gannet", "seed_g": 10, "parts": [FLOUR], "temperature_c": 26}),
    (EntryKind.POURED_OFF, {"grams": 120, "to": "kitchen", "culture": "Gannet"}),
    (EntryKind.MEASURED, {"rise": 1.6, "temperature_c": 24, "ph": 4.1, "tta_ml": 9.5}),
    (EntryKind.MEASURED, {"mm": 96, "band_mm": 60, "room_c": 17}),
    (EntryKind.MEASURED, {"temperature_c": 24.44, "typed": WARM}),
    (EntryKind.WEIGHED, {"grams": 453.59237, "typed": {"grams": {"value": "1", "unit": "lb"}}}),
    (EntryKind.SEEN, {"signs": ["bubbles through the glass", "domed"]}),
    (EntryKind.CONFIRMED, {"reading": LOT, "culture": "Plover"}),
    (EntryKind.SMELLED, {"signs": ["apple"], "remark": "clean"}),
    (EntryKind.BAKED, {"pieces": 8, "minutes": 42, "oven_c": 240, "core_c": 97, "steam": True}),
    (EntryKind.WEIGHED, {"grams": 6320, "pieces": 8, "when": "cooled"}),
    (EntryKind.TASTED, {"crust": 4, "sour": 2, "words": "mild, a little salt short"}),
    (EntryKind.PHOTO, {"sha256": "0" * 64, "caption": "crumb"}),
    (EntryKind.NOTE, {"text": "The hall was colder than the thermometer says."}),
    (EntryKind.BOUGHT, {"item": "rye-whole", "grams": 25000, "price": 31.5, "currency": "EUR"}),
    (EntryKind.COUNTED, {"item": "salt", "grams": 0, "lot": LOT}),
    (EntryKind.USED, {"item": "wheat-white", "grams": 200, "remark": "spilt"}),
    (
        EntryKind.INGREDIENT,
        {
            "ingredient": "meal-1",
            "name": "Meal",
            "like": "barley",
            "ash": 1.9,
            "allergens": ["barley"],
            "price": 2.5,
            "currency": "EUR",
        },
    ),
    (
        EntryKind.RESCUED,
        {
            "bake": LOT,
            "step": "mix",
            "way": "more levain",
            "formula": "name = 'Loaf'",
            "pieces": 6,
            "pours": [400.0, 600.0],
            "water_c": 24.5,
        },
    ),
    (EntryKind.CULTURE, {"event": "split", "culture": "Tern", "origin": "Gannet"}),
    (EntryKind.CORRECTED, {"entry": LOT, "body": {"rise": 1.7}, "why": "read in a mirror"}),
    (EntryKind.WITHDRAWN, {"entry": LOT}),
]


@pytest.mark.parametrize(("kind", "body"), GOOD)
def test_a_good_body_is_kept_as_it_was_told(kind: EntryKind, body: dict[str, Any]) -> None:
    kept = checked(kind, body)
    assert {key: kept[key] for key in body} == body
    assert checked(kind, kept) == kept


def test_every_kind_has_an_example() -> None:
    assert {kind for kind, _ in GOOD} == set(BODIES)


BAD: list[tuple[EntryKind, dict[str, Any], str, str]] = [
    (EntryKind.MEASURED, {"rise": 40}, "rise", "40 cannot be used; expected a rise from 0.3 to 10"),
    (EntryKind.MEASURED, {"ph": 12}, "ph", "12 cannot be used; expected a pH from 2.5 to 8"),
    (EntryKind.MEASURED, {"temperature_c": 300}, "temperature_c", "a mixture from −10 to 60 °C"),
    (EntryKind.MEASURED, {"rise": "1.6"}, "rise", "a rise from 0.3"),
    (EntryKind.MEASURED, {"rise": True}, "rise", "a rise from 0.3"),
    (EntryKind.MEASURED, {"rise": float("nan")}, "rise", "a rise from 0.3"),
    (EntryKind.MEASURED, {}, "body", "at least one of rise, mm"),
    (EntryKind.MEASURED, {"mm": 96}, "body", "mm and band_mm together"),
    (EntryKind.MEASURED, {"ml": 9000, "mixed_ml": 200}, "body", "ml and mixed_ml that make a rise"),
    (EntryKind.MEASURED, {"mm": 5, "band_mm": 0}, "body", "mm and band_mm that make a rise"),
    (EntryKind.MEASURED, {"rise": 1.6, "height": 3}, "height", "only the fields of"),
    (EntryKind.MIXED, {"parts": [FLOUR], "tare_g": 1e23}, "tare_g", "a tare from 0 to 100 kg"),
    (EntryKind.WEIGHED, {"grams": 1e23}, "grams", "a mass from 0 to 1000 kg"),
    (EntryKind.WEIGHED, {"grams": 850, "pieces": 0}, "pieces", "pieces above 0"),
    (EntryKind.MEASURED, {"rise": 1.6, "typed": {"ph": SOUR}}, "body", "agrees with the value"),
    (EntryKind.MEASURED, {"ph": 4.2, "typed": {"ph": SOUR}}, "body", "agrees with the value"),
    (EntryKind.MEASURED, {"ph": 4.1, "typed": {"step": SOUR}}, "body", "not 'step'"),
    (EntryKind.MEASURED, {"ph": 4.1, "typed": {"ph": {"value": "4.1"}}}, "body", "a value and"),
    (EntryKind.MEASURED, {"ph": 4.1, "typed": {"ph": "4.1"}}, "typed, ph", "dictionary"),
    (EntryKind.MIXED, {"parts": []}, "parts", "at least 1 item"),
    (EntryKind.MIXED, {"parts": [{"grams": -5, "ingredient": "salt"}]}, "parts, 1, grams", "grams"),
    (EntryKind.MIXED, {"parts": [{"grams": 5}]}, "parts, 1", "one of ingredient, culture"),
    (EntryKind.FED, {"culture": "Gannet", "parts": [FLOUR]}, "seed_g", "missing"),
    (EntryKind.HELD, {"place": "Hall", "until": "2026-11-25T18:00"}, "until", "its offset"),
    (EntryKind.HELD, {"place": "  "}, "place", "a name of 1 to 200"),
    (EntryKind.BAKED, {"core_c": 300}, "core_c", "inside a loaf from −10 to 105 °C"),
    (EntryKind.TASTED, {"crust": 6}, "crust", "a mark from 1 to 5"),
    (EntryKind.PHOTO, {"sha256": "../../etc/passwd"}, "sha256", "pattern"),
    (EntryKind.NOTE, {"text": "x" * 5000}, "text", "1 to 4000 characters"),
    (EntryKind.NOTE, {"text": "bell\a"}, "text", "1 to 4000 characters"),
    (EntryKind.CULTURE, {"event": "split", "culture": "Tern"}, "body", "origin"),
    (EntryKind.WITHDRAWN, {"entry": "12"}, "entry", "a UUID"),
    (EntryKind.PLAN, {}, "kind", "mixed"),
]


@pytest.mark.parametrize(("kind", "body", "field", "line"), BAD)
def test_a_bad_body_is_refused_in_one_line_that_names_the_field(
    kind: EntryKind, body: dict[str, Any], field: str, line: str
) -> None:
    with pytest.raises(InputError) as caught:
        checked(kind, body)
    assert caught.value.field == field
    assert line in str(caught.value)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


def test_what_is_possible_but_rare_is_asked_about() -> None:
    usual = {"rise": 1.6, "ph": 4.1, "temperature_c": 24.0, "mm": 96.0, "band_mm": 60.0}
    assert doubts_of(EntryKind.MEASURED, usual) == []
    assert doubts_of(EntryKind.MEASURED, {"rise": 7.5, "ph": 3.0}) == [
        "a rise of 7.5 is rare",
        "pH 3 is rare in a mixture that lives",
    ]
    assert doubts_of(EntryKind.MEASURED, {"mm": 70, "band_mm": 10}) == ["a rise of 7 is rare"]
    assert doubts_of(EntryKind.BAKED, {"oven_c": 90, "core_c": 40}) == [
        "90 °C is unusual for an oven",
        "40 °C is unusual inside a loaf that is done",
    ]
    assert doubts_of(EntryKind.WEIGHED, {"grams": 2e5}) == [
        "200000 g at once is more than is usual"
    ]
    assert doubts_of(EntryKind.NOTE, {"text": "all well"}) == []


def test_a_correction_nested_without_end_is_one_line() -> None:
    deep: object = 1
    for _ in range(900):
        deep = {"a": [deep]}
    told = {"entry": str(UUID(int=1)), "body": {"grams": deep}}
    with pytest.raises(InputError, match="body: brackets nested too deep"):
        checked(EntryKind.CORRECTED, told)
