"""Break the engine's science on purpose, one effect at a time, and see whether the tests notice.

    .venv/bin/python scripts/science_mutants.py
    .venv/bin/python scripts/science_mutants.py --only salt

Runs and prints as scripts/mutants.py does, in under ten minutes: first the test that is made for a
mutant, and the others only where that lets it live.
"""

from __future__ import annotations

from mutants import Mutant, main

DIRECTIONS = "tests/mixture/test_directions.py::test_"
HOLD = "tests/mixture/test_hold.py::test_"
YOUNG = "tests/culture/test_young.py"
OUTSIDE = "tests/outside/test_topics.py"
ENGINE = (OUTSIDE, "tests/mixture/test_hold.py", "tests/mixture/test_directions.py")

MUTANTS = (
    Mutant(
        "salt without effect",
        "mixture/hold.py",
        'kind: linear_stop(brine, kinetics[kind]["salt_stop"]) for kind in',
        "kind: 1.0 for kind in",
        (DIRECTIONS + "salt_slows_the_peak_of_a_dough_by_ten_to_thirty_percent", *ENGINE),
    ),
    Mutant(
        "yeast with the bacteria's salt stop",
        "mixture/hold.py",
        'linear_stop(brine, kinetics[kind]["salt_stop"])',
        'linear_stop(brine, kinetics["bacteria"]["salt_stop"])',
        (DIRECTIONS + "yeast_works_in_salt_that_stops_the_bacteria", *ENGINE),
    ),
    Mutant(
        "water without effect",
        "mixture/hold.py",
        "hydration / (hydration + thick) * (USUAL_HYDRATION + thick) / USUAL_HYDRATION",
        "1.0",
        (DIRECTIONS + "more_water_quickens_the_cells", *ENGINE),
    ),
    Mutant(
        "gas that seeps four times as fast",
        "data/parameters/kinetics.toml",
        "seep = 0.06 ",
        "seep = 0.24 ",
        (DIRECTIONS + "the_fridge_holds_what_gas_there_is", *ENGINE),
    ),
    Mutant(
        "gas that seeps as fast in the cold",
        "mixture/kernel.py",
        "SEEP * idle * idle + burst",
        "SEEP + burst",
        (DIRECTIONS + "the_fridge_holds_what_gas_there_is", *ENGINE),
    ),
    Mutant(
        "enzymes without temperature",
        "mixture/response.py",
        'dough["enzyme_q10"], ',
        "1.0, ",
        (DIRECTIONS + "enzymes_free_sugar_quicker_in_the_warm", *ENGINE),
    ),
    Mutant(
        "raw flour's bacteria that all make gas",
        "data/parameters/kinetics.toml",
        "gassing_raw = 0.08 ",
        "gassing_raw = 1.0 ",
        (HOLD + "bacteria_make_gas_and_vinegar_as_far_as_they_are_of_that_kind", *ENGINE),
    ),
    Mutant(
        "twice the gas of bacteria",
        "mixture/kernel.py",
        "        made = gas_yeast + gas_early + hetero\n"
        "        d[S.SUGAR, j] = freed - hetero - 0.5 * (gas_yeast + gas_early + homo)\n",
        "        made = gas_yeast + gas_early + 2.0 * hetero\n"
        "        d[S.SUGAR, j] = freed - 1.5 * hetero - 0.5 * (gas_yeast + gas_early + homo)\n",
        (DIRECTIONS + "gas_of_bacteria_alone_raises_little", *ENGINE),
    ),
    Mutant(
        "heat without death",
        "mixture/kernel.py",
        "HEAT_FROM_C = 35.0 ",
        "HEAT_FROM_C = 900.0 ",
        (HOLD + "six_hours_at_fifty_five_degrees_kill", *ENGINE),
    ),
    Mutant(
        "ripe on any gas",
        "mixture/course.py",
        "    return np.asarray(change[:, S.LEAVENED] >= BY_YEAST * made)\n",
        "    return np.asarray(made >= 0.0)\n",
        (HOLD + "ripe_is_only_said_of_what_yeast_has_raised", *ENGINE),
    ),
    Mutant(
        "trusted without yeast",
        "culture/young.py",
        " & yeasts & (day.yeast >= MOSTLY_YEAST))\n",
        ")\n",
        (YOUNG + "::test_trust_asks_for_yeast_besides_rise_and_acid", YOUNG),
    ),
    Mutant(
        "a quarter of the spread between cultures",
        "mixture/traits.py",
        'np.exp(prior["spread"] * normal(places))',
        'np.exp(prior["spread"] / 4 * normal(places))',
        (DIRECTIONS + "unknown_cultures_differ_by_two_to_one", *ENGINE),
    ),
    Mutant(
        "half as much convection again in the oven",
        "data/parameters/baking.toml",
        "convection = 8.0 ",
        "convection = 12.0 ",
        (OUTSIDE,),
    ),
)


if __name__ == "__main__":
    main(MUTANTS)
