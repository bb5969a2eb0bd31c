"""How quantities and times are shown: rounded as people say them, in the reader's units."""

from __future__ import annotations

from datetime import date, time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.bounds import MIXTURE_C, OVEN_C, ROOM_C
from pointage.errors import InputError
from pointage.language import Language, speaking
from pointage.money import print_money
from pointage.quantities import GRAMS_PER, parse_temperature
from pointage.shown import (
    PLAIN,
    WORDS,
    apart,
    clock_text,
    dated_text,
    day_text,
    first_weekday,
    follow,
    hour_text,
    long_date_text,
    ounces_text,
    show_here,
    showing,
    shown,
    warmth,
    warmth_span,
)

AMERICAN = PLAIN.with_(
    {"degrees": "F", "clock": "12", "ounces": "yes", "dates": "month", "money": "before"}
)


@pytest.mark.parametrize(
    ("celsius", "in_c", "in_f"),
    [
        (25.0, "25 °C", "77 °F"),
        (24.44, "24.5 °C", "76 °F"),
        (34.3, "34.5 °C", "94 °F"),
        (0.2, "0 °C", "32 °F"),
        (-18.0, "−18 °C", "0 °F"),
        (240.0, "240 °C", "464 °F"),
    ],
)
def test_a_temperature_as_people_say_it(celsius: float, in_c: str, in_f: str) -> None:
    """25 °C is 77 °F and −18 °C about 0 °F: °F = 1.8 °C + 32, the definition of the scale."""
    assert warmth(celsius) == in_c
    with showing(AMERICAN):
        assert warmth(celsius) == in_f
    assert shown() == PLAIN


@given(st.integers(-400, 3000).map(lambda tenths: tenths / 10), st.sampled_from("CF"))
def test_what_was_read_to_tenths_is_read_back(celsius: float, degrees: str) -> None:
    with showing(PLAIN.with_({"degrees": degrees})):
        text = warmth(celsius, tenths=True).replace("−", "-")
    step = 0.1 if degrees == "C" else 0.1 / 1.8
    assert parse_temperature(text).celsius == pytest.approx(celsius, rel=1e-12, abs=step / 2)


def test_a_difference_has_no_zero_to_move() -> None:
    with showing(AMERICAN):
        assert apart(2.0) == "3.6 °F"
        assert warmth_span(24, 28) == "75 to 82 °F"


def test_times_and_dates() -> None:
    day = date(2026, 12, 5)
    said = [(time(0, 5), "12:05"), (time(9), "9:00"), (time(12), "12:00"), (time(15, 30), "3:30")]
    assert [clock_text(at) for at, _ in said] == ["00:05", "09:00", "12:00", "15:30"]
    assert (day_text(day), hour_text(15)) == ("Sat 5 Dec", "15")
    assert (dated_text(day), first_weekday()) == ("5 Dec 2026", 0)
    with showing(PLAIN.with_({"dates": "year", "week": "sunday"})):
        assert (dated_text(day), first_weekday()) == ("2026 Dec 5", 6)
    with showing(AMERICAN):
        for at, text in said:
            half = "am" if at.hour < 12 else "pm"
            assert clock_text(at) == f"{text}\u00a0{half}"
        assert (day_text(day), hour_text(0), hour_text(15)) == (
            "Sat Dec 5", "12\u00a0am", "3\u00a0pm",
        )  # fmt: skip


ITALIAN = Language("qps", locale="it")  # English texts, Italian names and numbers


@given(st.dates(date(1000, 1, 1)), st.sampled_from(WORDS["dates"]))
def test_days_and_months_are_those_of_the_language(day: date, order: str) -> None:
    """In English they are the calendar's own, and in another language every one of them is not."""
    with showing(PLAIN.with_({"dates": order})):
        plain, long = day_text(day), long_date_text(day)
        with speaking(ITALIAN):
            said, said_long = day_text(day), long_date_text(day)
    assert set(plain.split()) == {f"{day:%a}", str(day.day), f"{day:%b}"}
    assert f"{day:%B}" in long
    assert said.split()[0] in ITALIAN.days
    assert ITALIAN.months[day.month - 1] in said.split()
    assert ITALIAN.long_months[day.month - 1] in said_long
    assert f"{day:%B}" not in said_long


@given(st.integers(-400, 3000).map(lambda tenths: tenths / 10), st.booleans())
def test_a_temperature_has_the_decimals_of_the_language(celsius: float, tenths: bool) -> None:
    plain = warmth(celsius, tenths=tenths)
    with speaking(ITALIAN):
        assert warmth(celsius, tenths=tenths) == plain.replace(".", ",")
    with speaking(ITALIAN), showing(AMERICAN):
        assert "." not in apart(celsius / 3)
        assert "." not in ounces_text(abs(celsius))


def test_money_stands_on_its_side() -> None:
    assert print_money(Fraction("9.5"), "EUR") == "9.50\u00a0€"
    with showing(AMERICAN):
        assert print_money(Fraction("9.5"), "USD") == "$9.50"
        assert print_money(Fraction("-9.5"), "CHF") == "−CHF\u00a09.50"


@given(st.integers(1, 50_000))
def test_ounces_stand_beside_grams(grams: int) -> None:
    assert ounces_text(grams) == ""
    with showing(AMERICAN):
        text = ounces_text(grams)
    if text.startswith("under"):
        assert grams < float(GRAMS_PER["oz"]) * 0.05 + 1e-9
        return
    words = text.replace("\u00a0", " ").split(" ")
    pairs = zip(words[::2], words[1::2], strict=True)
    found = sum(float(number) * float(GRAMS_PER[unit]) for number, unit in pairs)
    half_a_step = 0.5 if "lb" in words else 0.05  # whole ounces from a pound on
    assert found == pytest.approx(grams, abs=float(GRAMS_PER["oz"]) * half_a_step + 1e-9)


def test_bounds_speak_in_the_reader_s_degrees() -> None:
    with showing(AMERICAN), pytest.raises(InputError) as caught:
        MIXTURE_C.read("300F", "dough")
    assert "from 14 to 140 °F, such as 76F" in str(caught.value)
    assert MIXTURE_C.expected == "a temperature of a mixture from −10 to 60 °C"


def test_a_number_of_the_other_scale_is_asked_about() -> None:
    """475 °C is no oven a baker has; 475 °F is a usual one. 65 °C is no room; 65 °F is."""
    doubt = OVEN_C.doubt(475.0)
    assert doubt is not None
    assert doubt.endswith("or was it 475 °F?")
    with pytest.raises(InputError, match="or was it 65 °F"):
        ROOM_C.read("65", "room")
    with showing(AMERICAN):
        with pytest.raises(InputError, match="or was it 5 °C"):
            MIXTURE_C.read("5F", "dough")
        assert str(MIXTURE_C.doubt((24 - 32) * 5 / 9)).endswith("or was it 24 °C?")
    assert OVEN_C.doubt(240.0) is None


def test_what_a_kitchen_says_holds_unless_it_was_settled() -> None:
    with showing(PLAIN):
        show_here(PLAIN)
        follow({"degrees": "F"})
        assert shown().degrees == "F"
        show_here(PLAIN, whatever_the_kitchen=True)
        follow({"degrees": "F"})
        assert shown().degrees == "C"
        show_here(PLAIN, whatever_the_kitchen=True)


@given(st.dictionaries(st.sampled_from([*WORDS, "colour"]), st.text(max_size=6)))
def test_a_word_that_is_none_changes_nothing(said: dict[str, str]) -> None:
    known = {name: word for name, word in said.items() if word in WORDS.get(name, ())}
    assert PLAIN.with_(said) == PLAIN.with_(known)
