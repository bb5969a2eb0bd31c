"""Break the engine's science on purpose, one effect at a time, and see whether the tests notice.

    .venv/bin/python scripts/science_mutants.py
    .venv/bin/python scripts/science_mutants.py --only salt

Runs and prints as scripts/mutants.py does, in under ten minutes.
"""

from __future__ import annotations

from mutants import Mutant, main

DIRECTIONS = "tests/mixture/test_directions.py"
HOLD = "tests/mixture/test_hold.py"
OUTSIDE = "tests/outside/test_topics.py"
ENGINE = (OUTSIDE, HOLD, DIRECTIONS)

MUTANTS = (
    Mutant(
        "salt without effect",
        "mixture/hold.py",
        'kind: linear_stop(brine, kinetics[kind]["salt_stop"]) for kind in',
        "kind: 1.0 for kind in",
        ENGINE,
    ),
    Mutant(
        "yeast with the bacteria's salt stop",
        "mixture/hold.py",
        'linear_stop(brine, kinetics[kind]["salt_stop"])',
        'linear_stop(brine, kinetics["bacteria"]["salt_stop"])',
        ENGINE,
    ),
    Mutant(
        "water without effect",
        "mixture/hold.py",
        "hydration / (hydration + thick) * (USUAL_HYDRATION + thick) / USUAL_HYDRATION",
        "1.0",
        ENGINE,
    ),
    Mutant(
        "gas that seeps four times as fast",
        "data/parameters/kinetics.toml",
        "seep = 0.06 ",
        "seep = 0.24 ",
        ENGINE,
    ),
    Mutant(
        "gas that seeps as fast in the cold",
        "mixture/kernel.py",
        "SEEP * idle * idle + burst",
        "SEEP + burst",
        ENGINE,
    ),
    Mutant(
        "enzymes without temperature",
        "mixture/response.py",
        'dough["enzyme_q10"], ',
        "1.0, ",
        ENGINE,
    ),
    Mutant(
        "raw flour's bacteria that all make gas",
        "data/parameters/kinetics.toml",
        "gassing_raw = 0.08 ",
        "gassing_raw = 1.0 ",
        ENGINE,
    ),
    Mutant(
        "twice the gas of bacteria",
        "mixture/kernel.py",
        "        made = gas_yeast + gas_early + hetero\n"
        "        d[S.SUGAR, j] = freed - hetero - 0.5 * (gas_yeast + gas_early + homo)\n",
        "        made = gas_yeast + gas_early + 2.0 * hetero\n"
        "        d[S.SUGAR, j] = freed - 1.5 * hetero - 0.5 * (gas_yeast + gas_early + homo)\n",
        ENGINE,
    ),
    Mutant(
        "heat without death",
        "mixture/kernel.py",
        "HEAT_FROM_C = 35.0 ",
        "HEAT_FROM_C = 900.0 ",
        ENGINE,
    ),
    Mutant(
        "ripe on any gas",
        "mixture/course.py",
        "    return np.asarray(change[:, S.LEAVENED] >= BY_YEAST * made)\n",
        "    return np.asarray(made >= 0.0)\n",
        ENGINE,
    ),
    Mutant(
        "trusted without yeast",
        "culture/young.py",
        " & yeasts & (day.yeast >= BY_YEAST))\n",
        ")\n",
        ("tests/culture/test_young.py",),
    ),
    Mutant(
        "a quarter of the spread between cultures",
        "mixture/traits.py",
        'np.exp(prior["spread"] * normal(places))',
        'np.exp(prior["spread"] / 4 * normal(places))',
        ENGINE,
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
