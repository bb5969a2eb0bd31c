"""The numbers that stand for a mixture: names and places in the kernel's arrays.

A state is per kilogram of mixture; a setting is what does not change while it is held. Both are
plain rows of floats, one row a member of the ensemble, for the compiled kernel.
"""

from __future__ import annotations

from enum import IntEnum


class S(IntEnum):
    """Columns of a state."""

    TEMPERATURE = 0  # °C
    YEAST = 1  # cells per g
    YEAST_READY = 2  # q of Baranyi and Roberts
    BACTERIA = 3  # cells per g
    BACTERIA_READY = 4
    EARLY = 5  # early flora, cells per g
    SUGAR = 6  # fermentable, mol hexose per kg
    MALTOSE = 7  # still to be set free, mol hexose per kg
    LACTIC = 8  # mol per kg
    ACETIC = 9  # mol per kg
    ETHANOL = 10  # mol per kg
    GAS = 11  # CO2 in water and bubbles together, mol per kg
    BUBBLES = 12  # the part of it in the bubbles; follows from GAS and temperature
    ESCAPED = 13  # CO2 gone, mol per kg
    STRENGTH = 14  # 1 fresh, 0 none
    PH = 15  # follows from the acids; kept as the next guess
    AT_MIX = 16  # CO2 in the bubbles just after mixing, from which rise counts; constant
    GASSING = 17  # share of the bacteria that make gas (heterofermentative), 0 to 1
    LEAVENED = 18  # CO2 that yeast has made, mol per kg


class P(IntEnum):
    """Columns of a setting."""

    YEAST_RATE = 0  # 1/h at 25 °C, salt included
    BACTERIA_RATE = 1
    EARLY_RATE = 2
    YEAST_MOST = 3  # cells per g
    BACTERIA_MOST = 4
    EARLY_MOST = 5
    YEAST_GAS = 6  # mol per cell and gram basis, trait included
    YEAST_GAS_IDLE = 7
    ACID = 8
    ACID_IDLE = 9
    READY_MOST = 10
    DROWSE_YEAST = 11  # 1/h at 25 °C
    DROWSE_BACTERIA = 12
    DIE_YEAST = 13  # 1/h, idle, whatever the warmth
    ENZYMES = 14  # 1/h at 25 °C
    WATER = 15  # kg per kg
    BUFFER = 16  # mol per kg and pH unit
    VOLUME = 17  # L per kg just after mixing
    HOLD = 18  # rise above 1 that full strength can hold
    WEAKEN = 19  # trait
    FOLLOW = 20  # h, time constant toward the surroundings
    BEARING = 21  # share of the yeast that answers to heat as the heat-bearing kind does
    STARVE = 22  # how fast idle cells are lost in this water, against 100 % hydration


class C(IntEnum):
    """Rows of a climate: first the rows of the table, then what follows from them or is fixed."""

    YEAST = 0
    BACTERIA = 1
    EARLY = 2
    WEAKEN = 3
    ENZYMES = 4
    IDLE = 5
    BEARING = 6  # yeast of the heat-bearing kind
    HELD = 7  # CO2 the mixture's water holds, mol per kg
    YEAST_BUSY = 8  # how far warmth lets cells be busy, 0 to 1
    BACTERIA_BUSY = 9
    SWELL = 10  # volumes of the fresh mixture in a mol of gas per kg
    AIR = 11  # mol per kg
    PER_YEAST_MOST = 12  # one over the setting of that name
    PER_BACTERIA_MOST = 13
    PER_EARLY_MOST = 14
    PER_READY_MOST = 15
    PER_WATER = 16
    PER_VOLUME = 17


STATE_SIZE = len(S)
SETTING_SIZE = len(P)
CLIMATE_SIZE = len(C)
FROM_TABLE = int(C.HELD) + 1
SUMS = 5
"""Of what does not add up in a mix: heat, strength, yeast's and bacteria's readiness, gassing."""
LANES = 4
"""Members to a block: as many as common processors take in one instruction."""

STATE_SPAN = STATE_SIZE * LANES
SETTINGS_FROM = 4 * STATE_SIZE
CLIMATE_FROM = SETTINGS_FROM + SETTING_SIZE
OUTSIDE = CLIMATE_FROM + CLIMATE_SIZE
SCRATCH_ROWS = OUTSIDE + 3
"""Rows of the scratch: state, the state ahead, its slope and the sum of slopes; settings; climate;
and of the surroundings the temperature, and how a step follows it (two)."""
