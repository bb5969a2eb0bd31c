"""Heat against published figures: water, ice, flour, bread, and the trade's worked examples."""

from __future__ import annotations

from functools import partial

from iapws import IAPWS97
from iapws._iapws import _Ice
from tests.outside.case import HELD_BACK, Case, Departure, Topic

from pointage.formula.warmth import heat_capacity
from pointage.science.composition import (
    Composition,
    component_conductivity,
    component_density,
    component_heat_capacity,
    food_conductivity,
    food_density,
    food_heat_capacity,
)
from pointage.science.conduction import (
    CYLINDER,
    SLAB,
    SPHERE,
    terms,
)
from pointage.science.factor_method import factor_water_temperature, rule_of_ice
from pointage.science.heat_balance import (
    HEAT_CAPACITY,
    LATENT_HEAT_OF_ICE,
    HeatPart,
    flour_heat_capacity,
    ice_needed,
    mix_temperature,
    water_temperature,
)
from pointage.science.mixing_work import mixing_heat
from pointage.science.wetting import heat_of_wetting

ATMOSPHERE_MPA = 0.101325
# Dry matter of white flour and of a lean white loaf, from memory of food tables.
WHITE_FLOUR = Composition(water=12.8, protein=10.3, fat=1.0, carbohydrate=72.7, fibre=2.7, ash=0.5)
WHITE_BREAD = Composition(water=44.5, protein=7.7, fat=1.3, carbohydrate=42.4, fibre=2.4, ash=1.7)
SKIM_MILK = Composition(water=90.5, protein=3.5, carbohydrate=5.1, fat=0.2, ash=0.7)
BUTTER = Composition(water=16.0, protein=0.9, fat=81.0, ash=2.1)
# Flour of 13.5 % water with 65 % of water, from memory of food tables.
LEAN_DOUGH = Composition(water=47.6, protein=6.7, fat=0.7, carbohydrate=43.0, fibre=1.6, ash=0.4)


def iapws_heat_capacity(celsius: float) -> float:
    return float(IAPWS97(T=celsius + 273.15, P=ATMOSPHERE_MPA).cp)


def iapws_latent_heat() -> float:
    """IAPWS-06 for ice and IF97 for water, kJ/kg."""
    water = IAPWS97(T=273.16, P=ATMOSPHERE_MPA).h
    return float(water - _Ice(273.15, ATMOSPHERE_MPA)["h"])


def first_term(power: float, biot: float, what: str) -> float:
    (first,) = terms(power, biot)
    return first.root if what == "root" else first.core


def mixed_c(water_c: float) -> float:
    """Flour at 20 °C and 62 % of water, with the heat capacities worked with by hand."""
    return mix_temperature([HeatPart(1.0, 1.85, 20.0), HeatPart(0.62, 4.18, water_c)])


def trade_friction_f(*spells: tuple[str, float]) -> float:
    """The trade's friction, 3 × the warming in °F, of a dough of 65 % hydration and flour at 14 %.

    By the factor method the friction counts in a mean of three.
    """
    work = 1.65 * sum(mixing_heat(*each) for each in spells) + heat_of_wetting(0.14)
    return 3 * 1.8 * work / (1.84 + 0.65 * 4.18)


def water_for_a_warm_start(mix_c: float) -> float:
    """Water for equal masses of flour and water, flour at 18 °C, in a glass jar of their mass."""
    flour, jar = HeatPart(0.1, HEAT_CAPACITY["flour"], 18.0), HeatPart(0.2, 0.84, 18.0)
    return water_temperature([flour, jar], 0.1, HEAT_CAPACITY["water"], mix_c)


TOPICS = (
    Topic(
        "Heat capacity of water",
        "IAPWS-IF97, calculated by another program, kJ/(kg·K)",
        "The curve's own standard error for water is 0.4 % (Choi & Okos, from memory): twice that. "
        "The constant is to be within 0.7 % wherever bakers use it.",
        (
            *(
                Case(
                    f"by composition at {t} °C",
                    iapws_heat_capacity(t),
                    partial(component_heat_capacity, "water", t),
                    0.008,
                    relative=True,
                )
                for t in (5, 10, 20, 30, 40, 50, 60)
            ),
            *(
                Case(
                    f"the constant, against {t} °C",
                    iapws_heat_capacity(t),
                    lambda: HEAT_CAPACITY["water"],
                    0.007,
                    relative=True,
                    sets="HEAT_CAPACITY",
                )
                for t in (5, 20, 40, 60)
            ),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Latent heat of ice",
        "IAPWS-06 for ice and IF97 for water, kJ/kg",
        "0.1 % covers the 333.4 to 333.6 that tables print.",
        (
            Case(
                "latent heat", iapws_latent_heat(), lambda: LATENT_HEAT_OF_ICE, 0.001, relative=True
            ),
        ),
        sets="LATENT_HEAT_OF_ICE",
    ),
    Topic(
        "Heat capacity of flour and bread",
        "Geankoplis, Transport Processes and Unit Operations, appendix A.4-1, kJ/(kg·K): flour of "
        "12 to 13.5 % water, white bread of 44 to 45 %",
        "The ranges as printed. Flour by composition comes out up to 8 % high, so that the engine "
        "takes the measured value.",
        (
            *(
                Case(
                    f"flour of {moisture:.1%} water, as the engine takes it",
                    (1.80, 1.88),
                    partial(flour_heat_capacity, moisture),
                    sets="HEAT_CAPACITY",
                )
                for moisture in (0.12, 0.135)
            ),
            Case(
                "flour, by composition at 20 °C",
                (1.80, 1.88),
                partial(food_heat_capacity, WHITE_FLOUR, 20.0),
                departure=Departure(0.15, "the engine takes the measured value instead"),
            ),
            Case(
                "white bread, by composition at 20 °C",
                (2.72, 2.85),
                partial(food_heat_capacity, WHITE_BREAD, 20.0),
            ),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Heat capacity of fats",
        "Geankoplis, Transport Processes and Unit Operations, appendix A.4-1, kJ/(kg·K)",
        "Butter comes out 4 % high, the oil within the table's last digit.",
        (
            Case("butter", 2.30, partial(heat_capacity, "butter", 20.0), 0.05, relative=True),
            Case("olive oil", 2.01, partial(heat_capacity, "olive-oil", 20.0), 0.005),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Density and conductivity of water",
        "IAPWS-IF97 and the IAPWS formulation of conductivity, by another program, kg/m³ "
        "and W/(m·K)",
        "A baker needs neither nearer than 2.5 %. The curve of conductivity runs high in the cold: "
        "2 % at 5 °C, 1 % at 20 °C. Density is within 0.6 %.",
        (
            *(
                Case(
                    f"density at {t} °C",
                    float(IAPWS97(T=t + 273.15, P=ATMOSPHERE_MPA).rho),
                    partial(component_density, "water", t),
                    0.006,
                    relative=True,
                )
                for t in (5, 20, 40, 60)
            ),
            *(
                Case(
                    f"conductivity at {t} °C",
                    float(IAPWS97(T=t + 273.15, P=ATMOSPHERE_MPA).k),
                    partial(component_conductivity, "water", t),
                    0.025,
                    relative=True,
                )
                for t in (5, 20, 40, 60)
            ),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Conductivity of foods",
        "Geankoplis, Transport Processes and Unit Operations, appendix A.4-2, from memory, "
        "W/(m·K); dough as Rask 1989, J Food Eng 9:167-193, gathers it for some 45 % water, from "
        "memory",
        "The parallel model is the most that components can conduct: 5 % for oil and milk, a "
        "quarter for butter, whose water is in drops. Dough within the range as gathered.",
        (
            Case(
                "olive oil at 20 °C",
                0.168,
                partial(food_conductivity, Composition(fat=1.0), 20.0),
                0.05,
                relative=True,
            ),
            Case(
                "skim milk at 1.5 °C",
                0.538,
                partial(food_conductivity, SKIM_MILK, 1.5),
                0.05,
                relative=True,
            ),
            Case(
                "butter at 4.4 °C",
                0.197,
                partial(food_conductivity, BUTTER, 4.4),
                0.25,
                relative=True,
            ),
            Case("dough", (0.38, 0.50), partial(food_conductivity, LEAN_DOUGH, 25.0)),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Density of foods",
        "Kitchen and dairy tables, from memory, kg/m³",
        "1.5 % for butter and milk, whose tables differ by as much.",
        (
            Case(
                "skim milk at 20 °C",
                1035,
                partial(food_density, SKIM_MILK, 20.0),
                0.015,
                relative=True,
            ),
            Case("butter at 15 °C", 945, partial(food_density, BUTTER, 15.0), 0.015, relative=True),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Conduction, first term of the series",
        "Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, table 5.1 (from memory), and "
        "Çengel, Heat and Mass Transfer, table 4-2 (seen): Biot number, root and coefficient",
        "Half of the last printed digit, and a hair for figures on the border.",
        tuple(
            Case(
                f"{shape}, Bi {biot:g}, {what}",
                printed,
                partial(first_term, power, biot, what),
                5.1e-5,
            )
            for shape, power, biot, root, core in (
                ("slab", SLAB, 0.1, 0.3111, 1.0161),
                ("slab", SLAB, 1.0, 0.8603, 1.1191),
                ("slab", SLAB, 10.0, 1.4289, 1.2620),
                ("cylinder", CYLINDER, 0.1, 0.4417, 1.0246),
                ("cylinder", CYLINDER, 1.0, 1.2558, 1.2071),
                ("cylinder", CYLINDER, 10.0, 2.1795, 1.5677),
                ("sphere", SPHERE, 0.1, 0.5423, 1.0298),
                ("sphere", SPHERE, 1.0, 1.5708, 1.2732),
                ("sphere", SPHERE, 10.0, 2.8363, 1.9249),
            )
            for what, printed in (("root", root), ("coefficient", core))
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Heat of wetting of flour",
        "A bakers' dictionary (Sosland Publishing): 6.5 Btu per pound of flour at 11 to 12 % "
        "moisture, 15.1 kJ/kg",
        "The curve is drawn through it, so that only slips are caught: 1 %.",
        (
            Case(
                "at 11.5 %, kJ/kg",
                6.5 * 1.05506 / 0.45359,
                partial(heat_of_wetting, 0.115),
                0.01,
                relative=True,
            ),
        ),
        sets="FALL",
    ),
    Topic(
        "Cold water against the heat of wetting",
        "Çengel & Boles, Thermodynamics: An Engineering Approach, 8th ed., problem 5-157: 2 kg of "
        "flour (1.76) and 1 kg of water (4.18 kJ/(kg·K)) at 15 °C with 15 kJ/kg of hydration; how "
        "cold must the water be that takes it all up? Taken per kg of flour, 15 − 30/4.18 = "
        "7.82 °C; taken per kg of dough, 15 − 45/4.18 = 4.23 °C",
        "Half of the last printed digit.",
        tuple(
            Case(
                f"{each}, °C",
                water,
                partial(
                    water_temperature,
                    [HeatPart(2.0, 1.76, 15.0)],
                    1.0,
                    4.18,
                    15.0,
                    heat / (2.0 * 1.76 + 4.18),
                ),
                0.005,
            )
            for each, heat, water in (
                ("per kg of flour", 30.0, 7.82),
                ("per kg of dough", 45.0, 4.23),
            )
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "Friction by the way of mixing",
        "Common practice, no source: frictions of 22 to 28 °F for a spiral or planetary mixer, by "
        "which the works per minute were set",
        "The range as it is said.",
        (
            Case(
                "spiral, 3 min slow and 4 fast, °F",
                (22.0, 28.0),
                partial(trade_friction_f, ("spiral-slow", 3.0), ("spiral-fast", 4.0)),
            ),
            Case(
                "planetary, 8 min, °F",
                (22.0, 28.0),
                partial(trade_friction_f, ("planetary", 8.0)),
            ),
        ),
        sets="MIXING_WORK",
        practice=True,
    ),
    Topic(
        "Water for a young culture",
        "Common practice, no source: in a kitchen at 18 °C, equal flour and water want water near "
        "34 to 35 °C to start a warm hold, and 31 to 32 °C once the culture is lively",
        "The mix these stand for: in a glass jar as heavy as what is in it, all at 18 °C, 26.7 to "
        "27.2 °C to start and 25.1 to 25.6 °C later; without a jar the same waters make 29.1 to "
        "29.8 and 27.0 to 27.7 °C. All lie in the warm place's 21 to 32 °C.",
        (
            Case("to start, for 27.0 °C", (34.0, 35.0), partial(water_for_a_warm_start, 27.0)),
            Case("once lively, for 25.3 °C", (31.0, 32.0), partial(water_for_a_warm_start, 25.3)),
        ),
        sets=HELD_BACK,
        practice=True,
    ),
    Topic(
        "Heat of a mix, by hand",
        "By hand: 0.62·4.18 / (0.62·4.18 + 1.85) = 0.583 of a change of the water's temperature at "
        "62 % hydration",
        "Three digits.",
        (
            Case(
                "dough warmer by, K, for water warmer by 5 K",
                5 * 0.583,
                lambda: mixed_c(25.0) - mixed_c(20.0),
                0.002,
                relative=True,
            ),
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "The factor method",
        "Worked examples: a trade magazine, June 2018 (°F); a baking school's course sheet, 2009 "
        "(°F); the others by hand",
        "Each is worked to the whole degree, so the answer is exact.",
        tuple(
            Case(what, water, partial(factor_water_temperature, *given), 1e-9)
            for what, water, given in (
                ("trade magazine, °F", 65, (80, 65, 75, 35, None)),
                ("course sheet, °F", 87, (75, 65, 65, 8, None)),
                ("72 − 53, °C", 19, (24, 20, 21, 12, None)),
                ("96 − 76, with a levain, °C", 20, (24, 20, 21, 12, 23)),
                ("234 − 171, °F", 63, (78, 72, 75, 24, None)),
            )
        ),
        sets=HELD_BACK,
    ),
    Topic(
        "The rule of ice",
        "By hand: 10 kg wanted at 10 °C from a tap at 18 °C, 10 × 8 / 98 = 0.816 kg; the 80 of the "
        "rule stands for 333.6/4.18 = 79.8",
        "Half of the last printed digit; rule and heat balance differ by no more than 0.3 %.",
        (
            Case("the rule, kg", 0.816, partial(rule_of_ice, 10.0, 18.0, 10.0), 0.0005),
            Case(
                "the rule in °F, kg",
                0.816,
                partial(rule_of_ice, 10.0, 64.4, 50.0, fahrenheit=True),
                0.0005,
            ),
            Case("no ice when the tap is colder, kg", 0.0, partial(rule_of_ice, 10.0, 8.0, 10.0)),
            Case(
                "the heat balance, kg",
                0.816,
                partial(ice_needed, 10.0, 18.0, 10.0, 4.18),
                0.003,
                relative=True,
            ),
        ),
        sets=HELD_BACK,
    ),
)
