"""What there is to know of figures that a forecast or a bake was not made for, in words."""

from __future__ import annotations

import pytest
from tests.made_up import made_up

from pointage.desk.wording import flag_words
from pointage.heat.flag import Flag, FlagCode
from pointage.language import speaking
from pointage.shown import Shown, showing

FLAGS = {
    Flag(FlagCode.MASS, 30.0, 50.0, 2500.0): "mass 30 g is outside 50 to 2500 g, where",
    Flag(FlagCode.OVEN, 300.0, 160.0, 290.0): "oven 300 °C is outside 160 to 290 °C, where",
    Flag(FlagCode.ALTITUDE, 4500.0, -450.0, 4000.0): "altitude 4500 m is outside -450 to 4000 m",
    Flag(FlagCode.START, 40.0, 0.0, 35.0): "start 40 °C is outside 0 to 35 °C, where",
    Flag(FlagCode.RAW, 19.6): "a core 20 K below boiling is not baked through",
    Flag(FlagCode.DARK, 12.0, 200.0): "the crust is above 200 °C from minute 12 and will be dark",
    Flag(FlagCode.HYDRATION, 4.0, 0.5, 2.0): "hydration 400% is outside 50% to 200%, the range",
    Flag(FlagCode.SALT, 0.061, high=0.05): "salt 6.1% of flour is above 5%, the range",
    Flag(FlagCode.WARM_FOR_YEAST, 38.0, 33.0): "38 °C is above 33 °C, where the yeast of many",
    Flag(FlagCode.TEMPERATURE, 45.0, 2.0, 40.0): "45 °C is outside 2 to 40 °C, the range",
}


def test_every_code_has_its_sentence() -> None:
    assert {flag.code for flag in FLAGS} == set(FlagCode)
    for flag, words in FLAGS.items():
        assert flag_words(flag).startswith(words)


@pytest.mark.parametrize("flag", FLAGS)
def test_it_is_said_in_the_language_and_the_degrees_of_the_reader(flag: Flag) -> None:
    english = flag_words(flag)
    with speaking(made_up()):
        assert flag_words(flag) != english
    with showing(Shown(degrees="F")):
        warm = flag.code in (FlagCode.DARK, FlagCode.WARM_FOR_YEAST, FlagCode.TEMPERATURE)
        assert ("°F" in flag_words(flag)) == warm
