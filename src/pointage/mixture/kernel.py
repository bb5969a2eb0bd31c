"""The compiled heart: rates of change of a held mixture, and their integration.

`rates` says what happens in an instant; `hold_members` carries many members through a row of
surrounding temperatures by the classical fourth-order Runge-Kutta method. The science functions are
compiled as they stand in pointage.science. Carbon leaves the sugar only into lactic and acetic acid,
ethanol and carbon dioxide, so its sum is kept by construction; what cells are built of is left out.

    yeast      hexose → 2 ethanol + 2 CO2
    bacteria   hexose → lactic acid + CO2 + (acetic acid or ethanol)      (heterofermentative)
"""

# mypy: disable-error-code="untyped-decorator"

from __future__ import annotations

from math import exp

import numpy as np
from numba import njit, prange

from pointage.data import load
from pointage.mixture.compiled import prepare_cache
from pointage.mixture.response import COLDEST_C, STEP_K
from pointage.mixture.state import STATE_SIZE
from pointage.science import acid_base, carbon_dioxide, ph_response

prepare_cache()

QUICK = {"error_model": "numpy", "fastmath": True}
compiled = njit(**QUICK)

_cardinal_ph = compiled(ph_response.cardinal_ph)
_linear_stop = compiled(ph_response.linear_stop)
_ramp = compiled(ph_response.ramp)
_ph_by_charge = compiled(acid_base.ph_by_charge)
_dissociated = compiled(acid_base.dissociated)
_bubbles = compiled(carbon_dioxide.in_bubbles)

_Y, _B, _E, _D = (
    load("parameters/kinetics.toml")[k] for k in ("yeast", "bacteria", "early", "dough")
)

# Constants are module globals because the compiler folds those into the code.
Y_HALF, Y_ACETIC, Y_PH_LOW, Y_PH_FREE, Y_SOUR = (
    _Y["sugar_half"], _Y["acetic_stop"], _Y["ph_low"], _Y["ph_free"], _Y["die_sour"]
)  # fmt: skip
B_HALF, B_STOP, B_BEST, B_TOP = _B["sugar_half"], _B["ph_stop"], _B["ph_best"], _B["ph_top"]
B_ACID_STOP, B_ACID_FREE, B_ACETIC = _B["acid_stop"], _B["acid_free"], _B["acetic_per_lactic"]
B_DIE, B_SOUR = _B["die"], _B["die_sour"]
E_GAS, E_ACID, E_STOP, E_BEST, E_TOP, E_SOUR = (
    _E["gas_growing"], _E["acid_growing"], _E["ph_stop"], _E["ph_best"], _E["ph_top"], _E["die_sour"]
)  # fmt: skip
NEUTRAL, SEEP, BURST = _D["neutral_ph"], _D["seep"], _D["burst"]
AIR, WEAKEN, WEAKEN_SOUR, SOUR_PH = _D["air"], _D["weaken"], _D["weaken_sour"], _D["sour_ph"]
MOLAR = carbon_dioxide.molar_volume(0.0) / 273.15  # L/(mol·K)
PER_KG = 1000.0  # counts are per gram


@compiled
def _look_up(table, row, celsius):
    """The tabulated rate at a temperature, straight lines between; the ends hold beyond."""
    place = (celsius - COLDEST_C) / STEP_K
    last = table.shape[1] - 1
    if place <= 0.0:
        return table[row, 0]
    if place >= last:
        return table[row, last]
    k = int(place)
    part = place - k
    return table[row, k] * (1.0 - part) + table[row, k + 1] * part


@compiled
def rates(s, p, around, table, d):
    """Write into `d` the rates of change, per hour, of the state `s` with the setting `p`."""
    celsius = s[0]
    yeast, bacteria, early = s[1], s[3], s[5]
    sugar = max(s[6], 0.0)
    ph = _ph_by_charge(s[8], s[9], p[16], NEUTRAL, s[15])
    s[15] = ph

    idle = _look_up(table, 5, celsius)
    fed_yeast = sugar / (sugar + Y_HALF)
    fed_bacteria = sugar / (sugar + B_HALF)

    # Yeast: temperature, pH, undissociated acetic acid, sugar; then readiness and the ceiling.
    warm_yeast = _look_up(table, 0, celsius)
    vinegar = s[9] * (1.0 - _dissociated(ph, acid_base.PKA_ACETIC)) / p[15]
    free = _ramp(ph, Y_PH_LOW, Y_PH_FREE) * _linear_stop(vinegar, Y_ACETIC)
    rate = p[0] * warm_yeast * free * fed_yeast
    room = max(1.0 - yeast / p[3], 0.0)
    growth = rate * s[2] / (1.0 + s[2]) * room
    busy = free * fed_yeast * room * warm_yeast / (warm_yeast + 0.1)
    dying = (p[13] + Y_SOUR * idle * (1.0 - _ramp(ph, 3.4, 3.9))) * (1.0 - busy)
    d[1] = yeast * (growth - dying)
    d[2] = s[2] * (rate * room * (1.0 - s[2] / p[10]) - p[11] * idle * (1.0 - busy))
    gas_yeast = PER_KG * yeast * (p[6] * growth + p[7] * warm_yeast * fed_yeast * free)

    # Lactic acid bacteria: growth stops before the making of acid does.
    warm_bacteria = _look_up(table, 1, celsius)
    good = _cardinal_ph(ph, B_STOP, B_BEST, B_TOP)
    rate = p[1] * warm_bacteria * good * fed_bacteria
    room = max(1.0 - bacteria / p[4], 0.0)
    growth = rate * s[4] / (1.0 + s[4]) * room
    busy = min(good * 2.0, 1.0) * fed_bacteria * room * warm_bacteria / (warm_bacteria + 0.1)
    d[3] = bacteria * (
        growth - (B_DIE + B_SOUR * idle * (1.0 - _ramp(ph, 3.4, 3.9))) * (1.0 - busy)
    )
    d[4] = s[4] * (rate * room * (1.0 - s[4] / p[10]) - p[12] * idle * (1.0 - busy))
    sour_free = _ramp(ph, B_ACID_STOP, B_ACID_FREE)
    lactic = PER_KG * bacteria * fed_bacteria * (p[8] * growth + p[9] * warm_bacteria * sour_free)

    # The early flora of raw flour gases while the mixture is not yet sour, then dies back.
    good = _cardinal_ph(ph, E_STOP, E_BEST, E_TOP)
    growth = p[2] * _look_up(table, 2, celsius) * good * fed_bacteria * max(1.0 - early / p[5], 0.0)
    d[5] = early * (growth - E_SOUR * idle * (1.0 - _ramp(ph, E_STOP - 0.3, E_STOP + 0.1)))
    lactic_early = PER_KG * early * growth * E_ACID
    gas_early = PER_KG * early * growth * E_GAS

    # Sugar and its products. Early gas is reckoned as hexose → 2 CO2 + 2 ethanol.
    freed = p[14] * _look_up(table, 4, celsius) * s[7]
    hetero = lactic + lactic_early
    d[6] = freed - hetero - 0.5 * (gas_yeast + gas_early)
    d[7] = -freed
    d[8] = hetero
    d[9] = hetero * B_ACETIC
    d[10] = hetero * (1.0 - B_ACETIC) + gas_yeast + gas_early
    made = gas_yeast + gas_early + hetero

    # Gas: some in the water, some in the bubbles (at once in balance), the rest gone. A share of
    # what comes to the bubbles is lost, more the nearer they are to what the structure holds.
    molar = MOLAR * (celsius + 273.15)
    air = AIR * p[17] / molar
    held = _look_up(table, 6, celsius) * p[15]
    bubbles = _bubbles(s[11], held, air)
    s[12] = bubbles
    reach = (bubbles + air) * (bubbles + air)
    arriving = made * reach / (reach + held * air)
    full = bubbles * molar / p[17] / max(p[18] * s[14], 1e-6)
    strain = full * full * full * full
    lost = arriving * strain / (1.0 + strain) + SEEP * bubbles
    if full > 1.0:
        lost += BURST * min(full - 1.0, 3.0) * bubbles
    d[11] = made - lost
    d[12] = 0.0
    d[13] = lost

    sour = 1.0 / (1.0 + exp(2.0 * acid_base.LN_10 * (ph - SOUR_PH)))
    d[14] = -s[14] * p[19] * _look_up(table, 3, celsius) * (WEAKEN + WEAKEN_SOUR * sour)
    d[0] = (around - celsius) / p[20]
    d[15] = 0.0
    d[16] = 0.0


@compiled
def _settle(s, p, table):
    """Bring the columns that follow from others (pH, bubbles) up to date."""
    s[15] = _ph_by_charge(s[8], s[9], p[16], NEUTRAL, s[15])
    air = AIR * p[17] / (MOLAR * (s[0] + 273.15))
    s[12] = _bubbles(s[11], _look_up(table, 6, s[0]) * p[15], air)


@compiled
def hold_one(s, p, around, table, dt, every, course):
    """Carry one member through len(around) − 1 steps of dt hours, writing every `every`th."""
    slope = np.zeros((4, STATE_SIZE))
    at = np.empty(STATE_SIZE)
    _settle(s, p, table)
    course[0] = s
    for step in range(around.shape[0] - 1):
        first, last = around[step], around[step + 1]
        middle = 0.5 * (first + last)
        rates(s, p, first, table, slope[0])
        for i in range(STATE_SIZE):
            at[i] = s[i] + 0.5 * dt * slope[0, i]
        rates(at, p, middle, table, slope[1])
        for i in range(STATE_SIZE):
            at[i] = s[i] + 0.5 * dt * slope[1, i]
        rates(at, p, middle, table, slope[2])
        for i in range(STATE_SIZE):
            at[i] = s[i] + dt * slope[2, i]
        rates(at, p, last, table, slope[3])
        for i in range(STATE_SIZE):
            s[i] += dt / 6.0 * (slope[0, i] + 2.0 * (slope[1, i] + slope[2, i]) + slope[3, i])
        s[15] = at[15]
        if (step + 1) % every == 0:
            _settle(s, p, table)
            course[(step + 1) // every] = s


@njit(cache=True, **QUICK)
def hold_few(states, settings, around, table, dt, every):
    """`hold_many` on one core, for a handful of members."""
    steps = around.shape[1] - 1
    courses = np.empty((states.shape[0], steps // every + 1, STATE_SIZE))
    for m in range(states.shape[0]):
        hold_one(states[m], settings[m], around[m % around.shape[0]], table, dt, every, courses[m])
    return courses


@njit(cache=True, parallel=True, **QUICK)
def hold_many(states, settings, around, table, dt, every):
    """Carry every member through its surroundings; `states` is changed in place.

    states (n, STATE_SIZE), settings (n, SETTING_SIZE), around (1 or n, steps + 1) in °C, dt in h.
    Returns courses (n, steps // every + 1, STATE_SIZE).
    """
    steps = around.shape[1] - 1
    courses = np.empty((states.shape[0], steps // every + 1, STATE_SIZE))
    for m in prange(states.shape[0]):
        hold_one(states[m], settings[m], around[m % around.shape[0]], table, dt, every, courses[m])
    return courses
