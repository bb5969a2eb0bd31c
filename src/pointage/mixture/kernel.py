"""The compiled heart: rates of change of held mixtures, and their integration.

Only to compile it is this file loaded; `compiled.py` has the result. `rates` says what happens in
an instant; `hold_block` carries a few members through a row of
surrounding temperatures by the classical fourth-order Runge-Kutta method. The science functions are
compiled as they stand in pointage.science. Carbon leaves the sugar only into lactic and acetic
acid, ethanol and carbon dioxide, so its sum is kept by construction; what cells are built of is
left out.

    yeast      hexose → 2 ethanol + 2 CO2
    bacteria   hexose → lactic acid + CO2 + (acetic acid or ethanol)      (heterofermentative)
               hexose → 2 lactic acid                  (homofermentative: most of a young flora)

What makes it quick: arrays hold a quantity of all members of a block side by side, s[row, member],
so that the processor works on several members at once. For that `rates` has no branch but a
choice of two values, no library call and few divisions (one costs ten multiplications): what
changes only with the temperature is in `climate`, and what never changes is turned over in `fix`.
"""

# mypy: disable-error-code="untyped-decorator"

from __future__ import annotations

from math import exp
from typing import Any

import numpy as np
from numba import carray, cfunc, njit, types
from numpy.typing import NDArray

from pointage.data import load
from pointage.mixture.response import COLDEST_C, STEP_K
from pointage.mixture.state import (
    CLIMATE_FROM,
    CLIMATE_SIZE,
    FROM_TABLE,
    LANES,
    OUTSIDE,
    SCRATCH_ROWS,
    SETTING_SIZE,
    SETTINGS_FROM,
    STATE_SIZE,
    STATE_SPAN,
    SUMS,
    C,
    P,
    S,
)
from pointage.science import acid_base, carbon_dioxide, ph_response, thermal_death

Floats = NDArray[np.float64]
QUICK: Any = {"error_model": "numpy", "fastmath": True}
compiled = njit(**QUICK)
inlined = njit(forceinline=True, **QUICK)
exact: Any = njit(error_model="numpy")

_cardinal_ph = inlined(ph_response.cardinal_ph)
_linear_stop = inlined(ph_response.linear_stop)
_ramp = inlined(ph_response.ramp)
_protons = inlined(acid_base.protons)
_both_dissociated = inlined(acid_base.both_dissociated)
_ph_by_charge = compiled(acid_base.ph_by_charge)
_bubbles = inlined(carbon_dioxide.in_bubbles)
_in_bubbles, _saturation, _molar_volume = (
    exact(each)
    for each in (
        carbon_dioxide.in_bubbles,
        carbon_dioxide.saturation,
        carbon_dioxide.molar_volume,
    )
)
_surviving = compiled(thermal_death.surviving)

_Y, _B, _E, _D = (
    load("parameters/kinetics.toml")[k] for k in ("yeast", "bacteria", "early", "dough")
)

# Constants are module globals because the compiler folds those into the code.
Y_HALF, Y_ACETIC, Y_PH_LOW, Y_PH_FREE, Y_SOUR = (
    _Y["sugar_half"], _Y["acetic_stop"], _Y["ph_low"], _Y["ph_free"], _Y["die_sour"]
)  # fmt: skip
Y_D, Y_D_AT, Y_Z = _Y["heat_d_min"], _Y["heat_d_at"], _Y["heat_z"]
B_D, B_D_AT, B_Z = _B["heat_d_min"], _B["heat_d_at"], _B["heat_z"]
B_HALF, B_STOP, B_BEST, B_TOP = _B["sugar_half"], _B["ph_stop"], _B["ph_best"], _B["ph_top"]
B_ACID_STOP, B_ACID_FREE, B_ACETIC = _B["acid_stop"], _B["acid_free"], _B["acetic_per_lactic"]
B_DIE, B_SOUR, B_SUCCEED = _B["die"], _B["die_sour"], _B["succeed"]
ASLEEP = _D["asleep"]
HEAT_FROM_C = 35.0  # below it heat kills less than a hundredth in an hour
E_GAS, E_ACID, E_STOP, E_BEST, E_TOP, E_SOUR = (
    _E["gas_growing"], _E["acid_growing"], _E["ph_stop"], _E["ph_best"], _E["ph_top"],
    _E["die_sour"],
)  # fmt: skip
NEUTRAL, SEEP, BURST = _D["neutral_ph"], _D["seep"], _D["burst"]
AIR, WEAKEN, WEAKEN_SOUR, SOUR_PH = _D["air"], _D["weaken"], _D["weaken_sour"], _D["sour_ph"]
MOLAR = carbon_dioxide.molar_volume(0.0) / 273.15  # L/(mol·K)
PER_KG = 1000.0  # counts are per gram
LN_10 = acid_base.LN_10
SOUR_SQUARED = 10.0 ** (-2.0 * SOUR_PH)

WEIGHT = (1.0, 2.0, 2.0)  # of the first three slopes in the sum of six
REACH = (0.5, 0.5, 1.0)  # how far along its slope the next stage looks, in steps


@inlined
def fix(p: Floats, c: Floats) -> None:
    """Write into `c` what the settings `p` fix for a whole hold."""
    for j in range(p.shape[1]):
        c[C.PER_YEAST_MOST, j] = 1.0 / p[P.YEAST_MOST, j]
        c[C.PER_BACTERIA_MOST, j] = 1.0 / p[P.BACTERIA_MOST, j]
        c[C.PER_EARLY_MOST, j] = 1.0 / p[P.EARLY_MOST, j]
        c[C.PER_READY_MOST, j] = 1.0 / p[P.READY_MOST, j]
        c[C.PER_WATER, j] = 1.0 / p[P.WATER, j]
        c[C.PER_VOLUME, j] = 1.0 / p[P.VOLUME, j]


@inlined
def climate(s: Floats, p: Floats, table: Floats, c: Floats) -> None:
    """Write into `c` what follows from the temperatures in `s`.

    Tabulated values are read along straight lines; beyond the table its ends hold.
    """
    columns = table.shape[1]
    for j in range(s.shape[1]):
        place = min(max((s[S.TEMPERATURE, j] - COLDEST_C) / STEP_K, 0.0), columns - 1.0)
        k = min(int(place), columns - 2)
        part = place - k
        for i in range(FROM_TABLE):
            c[i, j] = table[i, k] * (1.0 - part) + table[i, k + 1] * part
    for j in range(s.shape[1]):
        c[C.HELD, j] *= p[P.WATER, j]
        c[C.YEAST, j] += p[P.BEARING, j] * (c[C.BEARING, j] - c[C.YEAST, j])
        c[C.YEAST_BUSY, j] = c[C.YEAST, j] / (c[C.YEAST, j] + 0.1)
        c[C.BACTERIA_BUSY, j] = c[C.BACTERIA, j] / (c[C.BACTERIA, j] + 0.1)
        c[C.SWELL, j] = MOLAR * (s[S.TEMPERATURE, j] + 273.15) * c[C.PER_VOLUME, j]
        c[C.AIR, j] = AIR / c[C.SWELL, j]


@inlined
def rates(s: Floats, p: Floats, c: Floats, d: Floats) -> None:
    """Write into `d` the rates of change, per hour, of the states `s` in the climate `c`.

    Of the states it brings pH and bubbles up to date. The temperature it leaves alone.
    """
    for j in range(s.shape[1]):
        yeast, bacteria, early = s[S.YEAST, j], s[S.BACTERIA, j], s[S.EARLY, j]
        sugar = max(s[S.SUGAR, j], 0.0)
        idle = c[C.IDLE, j]
        starve = idle * p[P.STARVE, j]
        fed_yeast = sugar / (sugar + Y_HALF)
        fed_bacteria = sugar / (sugar + B_HALF)

        # pH: carried along by the making of acid, and set right by one step of Newton's method on
        # the balance of charge (acid_base.ph_by_charge).
        ph, buffer = s[S.PH, j], p[P.BUFFER, j]
        proton = _protons(ph)
        lactate, acetate = _both_dissociated(proton)
        given = s[S.LACTIC, j] * lactate + s[S.ACETIC, j] * acetate
        more = s[S.LACTIC, j] * lactate * (1.0 - lactate)
        more += s[S.ACETIC, j] * acetate * (1.0 - acetate)
        per_charge = 1.0 / (buffer + LN_10 * more)
        ph -= (given - buffer * (NEUTRAL - ph)) * per_charge
        s[S.PH, j] = ph

        # Yeast: temperature, pH, undissociated acetic acid, sugar; then readiness and the ceiling.
        warm = c[C.YEAST, j]
        vinegar = s[S.ACETIC, j] * (1.0 - acetate) * c[C.PER_WATER, j]
        free = _ramp(ph, Y_PH_LOW, Y_PH_FREE) * _linear_stop(vinegar, Y_ACETIC)
        rate = p[P.YEAST_RATE, j] * warm * free * fed_yeast
        room = max(1.0 - yeast * c[C.PER_YEAST_MOST, j], 0.0)
        ready = s[S.YEAST_READY, j]
        growth = rate * ready / (1.0 + ready) * room
        restless = 1.0 - free * fed_yeast * room * c[C.YEAST_BUSY, j]
        strained = 1.0 - _ramp(ph, 3.4, 3.9)
        lost = p[P.DIE_YEAST, j] + Y_SOUR * starve * idle * idle * strained
        d[S.YEAST, j] = yeast * (growth - lost * restless)
        d[S.YEAST_READY, j] = (
            ready * rate * room * (1.0 - ready * c[C.PER_READY_MOST, j])
            - max(ready - ASLEEP, 0.0) * p[P.DROWSE_YEAST, j] * starve * restless
        )
        gas_yeast = p[P.YEAST_GAS, j] * growth + p[P.YEAST_GAS_IDLE, j] * warm * fed_yeast * free
        gas_yeast *= PER_KG * yeast

        # Lactic acid bacteria: growth stops before the making of acid does.
        warm = c[C.BACTERIA, j]
        good = _cardinal_ph(ph, B_STOP, B_BEST, B_TOP)
        rate = p[P.BACTERIA_RATE, j] * warm * good * fed_bacteria
        room = max(1.0 - bacteria * c[C.PER_BACTERIA_MOST, j], 0.0)
        ready = s[S.BACTERIA_READY, j]
        growth = rate * ready / (1.0 + ready) * room
        restless = 1.0 - min(good * 2.0, 1.0) * fed_bacteria * room * c[C.BACTERIA_BUSY, j]
        d[S.BACTERIA, j] = bacteria * (growth - (B_DIE + B_SOUR * idle * strained) * restless)
        d[S.BACTERIA_READY, j] = (
            ready * rate * room * (1.0 - ready * c[C.PER_READY_MOST, j])
            - max(ready - ASLEEP, 0.0) * p[P.DROWSE_BACTERIA, j] * starve * restless
        )
        # Those that bear acid, and make gas, take over with each generation in the sour.
        sour = proton * proton / (proton * proton + SOUR_SQUARED)
        gassing = s[S.GASSING, j]
        d[S.GASSING, j] = B_SUCCEED * growth * sour * gassing * (1.0 - gassing)
        sour_free = _ramp(ph, B_ACID_STOP, B_ACID_FREE)
        lactic = p[P.ACID, j] * growth + p[P.ACID_IDLE, j] * warm * sour_free
        lactic *= PER_KG * bacteria * fed_bacteria

        # The early flora of raw flour gases while the mixture is not yet sour, then dies back.
        good = _cardinal_ph(ph, E_STOP, E_BEST, E_TOP)
        room = max(1.0 - early * c[C.PER_EARLY_MOST, j], 0.0)
        growth = p[P.EARLY_RATE, j] * c[C.EARLY, j] * good * fed_bacteria * room
        dying = E_SOUR * idle * (1.0 - _ramp(ph, E_STOP - 0.3, E_STOP + 0.1))
        d[S.EARLY, j] = early * (growth - dying)
        lactic_early = PER_KG * early * growth * E_ACID
        gas_early = PER_KG * early * growth * E_GAS

        # Sugar and its products. Early gas is calculated as hexose → 2 CO2 + 2 ethanol.
        freed = p[P.ENZYMES, j] * c[C.ENZYMES, j] * s[S.MALTOSE, j]
        hetero = lactic * gassing + lactic_early
        homo = lactic * (1.0 - gassing)
        made = gas_yeast + gas_early + hetero
        d[S.SUGAR, j] = freed - hetero - 0.5 * (gas_yeast + gas_early + homo)
        d[S.MALTOSE, j] = -freed
        d[S.LACTIC, j] = hetero + homo
        d[S.ACETIC, j] = hetero * B_ACETIC
        d[S.ETHANOL, j] = made - hetero * B_ACETIC
        d[S.PH, j] = -((hetero + homo) * lactate + hetero * B_ACETIC * acetate) * per_charge
        d[S.LEAVENED, j] = gas_yeast

        # Gas: some in the water, some in the bubbles (at once in balance), the rest gone. Of what
        # comes to the bubbles a share is lost, more the nearer they are to what the dough can hold.
        air, held = c[C.AIR, j], c[C.HELD, j]
        bubbles = _bubbles(s[S.GAS, j], held, air)
        s[S.BUBBLES, j] = bubbles
        full = bubbles * c[C.SWELL, j] / max(p[P.HOLD, j] * s[S.STRENGTH, j], 1e-6)
        strain = full
        reach = (bubbles + air) * (bubbles + air)
        burst = BURST * min(max(full - 1.0, 0.0), 3.0)
        lost = made * reach * strain / ((reach + held * air) * (1.0 + strain))
        lost += (SEEP * idle * idle + burst) * bubbles
        d[S.GAS, j] = made - lost
        d[S.ESCAPED, j] = lost

        # Strength: 1/(1 + 100^(pH − SOUR_PH)) of the weakening that acid can do.
        weakening = p[P.WEAKEN, j] * c[C.WEAKEN, j] * (WEAKEN + WEAKEN_SOUR * sour)
        d[S.STRENGTH, j] = -s[S.STRENGTH, j] * weakening


@compiled
def rates_of_one(
    hour: float, state: Floats, setting: Floats, around: Floats, table: Floats, dt: float
) -> Floats:
    """The rates of a single member at `hour`, for any other way of integrating them.

    around: °C every dt hours, straight lines between. The temperature is included.
    """
    s, d = state.copy().reshape(STATE_SIZE, 1), np.zeros((STATE_SIZE, 1))
    p, c = setting.copy().reshape(SETTING_SIZE, 1), np.empty((CLIMATE_SIZE, 1))
    fix(p, c)
    climate(s, p, table, c)
    rates(s, p, c, d)
    k = min(int(hour / dt), len(around) - 2)
    part = hour / dt - k
    outside = around[k] * (1.0 - part) + around[k + 1] * part
    d[S.TEMPERATURE, 0] = (outside - state[S.TEMPERATURE]) / setting[P.FOLLOW]
    return d[:, 0].copy()


@compiled
def heated(s: Floats, j: int, dt: float) -> None:
    """Take from lane `j` what dt hours of its heat kill.

    Apart from `rates`, since at 60 °C a step is many decimal reductions long.
    """
    s[S.YEAST, j] *= _surviving(s[S.TEMPERATURE, j], dt, Y_D, Y_D_AT, Y_Z)
    left = _surviving(s[S.TEMPERATURE, j], dt, B_D, B_D_AT, B_Z)
    s[S.BACTERIA, j] *= left
    s[S.EARLY, j] *= left


@inlined
def hold_block(
    states: Floats,
    settings: Floats,
    around: Floats,
    table: Floats,
    dt: float,
    every: int,
    courses: Floats,
    first: int,
    x: Floats,
    flat: Floats,
) -> None:
    """Carry the members from number `first` on, LANES of them, through their surroundings.

    The temperature follows T' = (around − T)/τ alone and is solved exactly by halves of a step:
    T₁ = A₁ + (T₀ − A₀)·e^(−x) + (A₀ − A₁)·(1 − e^(−x))/x, with x = dt/2τ and A straight between.

    x: room to work in, SCRATCH_ROWS rows of LANES; flat: the same numbers in one row. All rows lie
    in one array, since only then the compiler sees that they do not overlap; and no array is given
    another's values as a whole, since that can fail for all it knows.
    """
    members = min(LANES, len(states) - first)
    steps = around.shape[1] - 1
    s, at, d = x[:STATE_SIZE], x[STATE_SIZE : 2 * STATE_SIZE], x[2 * STATE_SIZE : 3 * STATE_SIZE]
    p, c = x[SETTINGS_FROM:CLIMATE_FROM], x[CLIMATE_FROM:OUTSIDE]
    outside, keep, lag = x[OUTSIDE], x[OUTSIDE + 1], x[OUTSIDE + 2]
    start, ahead = flat[:STATE_SPAN], flat[STATE_SPAN : 2 * STATE_SPAN]
    slope, total = flat[2 * STATE_SPAN : 3 * STATE_SPAN], flat[3 * STATE_SPAN : 4 * STATE_SPAN]

    for j in range(LANES):
        m = first + min(j, members - 1)  # lanes left over repeat the last member
        for i in range(STATE_SIZE):
            s[i, j] = states[m, i]
        for i in range(SETTING_SIZE):
            p[i, j] = settings[m, i]
        s[S.PH, j] = _ph_by_charge(
            s[S.LACTIC, j], s[S.ACETIC, j], p[P.BUFFER, j], NEUTRAL, s[S.PH, j]
        )
        outside[j] = around[m % len(around), 0]
        half = 0.5 * dt / p[P.FOLLOW, j]
        keep[j] = exp(-half)
        lag[j] = (1.0 - keep[j]) / half
    for i in range(STATE_SPAN):
        ahead[i], slope[i], total[i] = start[i], 0.0, 0.0
    fix(p, c)
    climate(s, p, table, c)

    for tick in range(4 * steps + 1):
        step, stage = tick // 4, tick % 4
        if stage % 2 == 1:
            for j in range(LANES):
                place = (first + min(j, members - 1)) % len(around)
                now = around[place, step + 1]
                if stage == 1:
                    now = 0.5 * (around[place, step] + now)
                gap = s[S.TEMPERATURE, j] - outside[j]
                s[S.TEMPERATURE, j] = now + gap * keep[j] + (outside[j] - now) * lag[j]
                outside[j] = now
            climate(s, p, table, c)
        rates(at, p, c, d)
        if stage == 0:
            for j in range(LANES):
                s[S.PH, j] = at[S.PH, j]
                s[S.BUBBLES, j] = at[S.BUBBLES, j]
            if step % every == 0:
                for j in range(members):
                    for i in range(STATE_SIZE):
                        courses[first + j, step // every, i] = s[i, j]
        if tick == 4 * steps:
            break
        if stage < 3:
            weight, reach = WEIGHT[stage], REACH[stage] * dt
            for i in range(STATE_SPAN):
                total[i] += weight * slope[i]
                ahead[i] = start[i] + reach * slope[i]
        else:
            for i in range(STATE_SPAN):
                start[i] += dt / 6.0 * (total[i] + slope[i])
                total[i] = 0.0
            for j in range(LANES):
                if s[S.TEMPERATURE, j] > HEAT_FROM_C:
                    heated(s, j, dt)
            for i in range(STATE_SPAN):
                ahead[i] = start[i]
    for j in range(members):
        for i in range(STATE_SIZE):
            states[first + j, i] = s[i, j]


def hold_span(
    states: Any,
    settings: Any,
    around: Any,
    table: Any,
    courses: Any,
    scratch: Any,
    members: int,
    places: int,
    steps: int,
    columns: int,
    dt: float,
    every: int,
    first: int,
    end: int,
) -> None:
    """Carry the blocks of members from number `first` to before `end` through their surroundings.

    states (members, STATE_SIZE), changed in place; settings (members, SETTING_SIZE); around
    (places, steps + 1) in °C, taken by the members in turn; table (FROM_TABLE, columns); courses
    (members, steps // every + 1, STATE_SIZE), filled; scratch (SCRATCH_ROWS, LANES); dt in h.
    """
    s, p = carray(states, (members, STATE_SIZE)), carray(settings, (members, SETTING_SIZE))
    a, t = carray(around, (places, steps + 1)), carray(table, (FROM_TABLE, columns))
    filled = carray(courses, (members, steps // every + 1, STATE_SIZE))
    x, flat = carray(scratch, (SCRATCH_ROWS, LANES)), carray(scratch, (SCRATCH_ROWS * LANES,))
    for block in range(first, end):
        hold_block(s, p, a, t, dt, every, filled, block * LANES, x, flat)


def sour(states: Any, members: int, buffer: float) -> None:
    """Write the pH that follows from its acids into every one of `states`, of one mixture."""
    s = carray(states, (members, STATE_SIZE))
    for i in range(members):
        s[i, S.PH] = _ph_by_charge(s[i, S.LACTIC], s[i, S.ACETIC], buffer, NEUTRAL, NEUTRAL)


def settle(states: Any, members: int, water: float, volume: float, air: float) -> None:
    """Share the gas of every one of `states`, just mixed, between its water and its bubbles.

    water: kg per kg; volume: L per kg; air: the share of it that is worked in.
    """
    s = carray(states, (members, STATE_SIZE))
    for i in range(members):
        celsius = s[i, S.TEMPERATURE]
        held = _saturation(celsius) * water
        s[i, S.BUBBLES] = _in_bubbles(s[i, S.GAS], held, air * volume / _molar_volume(celsius))
        s[i, S.AT_MIX] = s[i, S.BUBBLES]


def add(
    part: Any, rows: int, states: Any, sums: Any, members: int,
    grams: float, total: float, heat: float, flour: float,
) -> None:  # fmt: skip
    """Add so many grams of a part to `states`, the mix of `total` grams.

    part: (rows, STATE_SIZE), one row for all members or one each. sums (members, SUMS): its heat by
    a capacity in J/K, its strength by grams of flour, and its cells' readiness.
    """
    a = carray(part, (rows, STATE_SIZE))
    s, more = carray(states, (members, STATE_SIZE)), carray(sums, (members, SUMS))
    share = grams / total
    for i in range(members):
        k = i if rows > 1 else 0
        for j in range(STATE_SIZE):
            s[i, j] += a[k, j] * share
        more[i, 0] += a[k, S.TEMPERATURE] * heat
        more[i, 1] += a[k, S.STRENGTH] * flour
        more[i, 2] += a[k, S.YEAST] * a[k, S.YEAST_READY] * grams / total
        more[i, 3] += a[k, S.BACTERIA] * a[k, S.BACTERIA_READY] * grams / total
        more[i, 4] += a[k, S.BACTERIA] * a[k, S.GASSING] * grams / total


def mixed(states: Any, sums: Any, members: int, heat: float, flour: float, gained: float) -> None:
    """Write into `states`, to which all parts were added, what does not add up.

    heat: capacity in J/K, flour in grams, of the whole; gained in kelvin. Bubbles are worked out.
    """
    s, more = carray(states, (members, STATE_SIZE)), carray(sums, (members, SUMS))
    for i in range(members):
        s[i, S.TEMPERATURE] = more[i, 0] / heat + gained
        s[i, S.STRENGTH] = more[i, 1] / max(flour, 1e-30)
        s[i, S.YEAST_READY] = more[i, 2] / max(s[i, S.YEAST], 1e-30)
        s[i, S.BACTERIA_READY] = more[i, 3] / max(s[i, S.BACTERIA], 1e-30)
        s[i, S.GASSING] = more[i, 4] / max(s[i, S.BACTERIA], 1e-30)
        s[i, S.ESCAPED] += s[i, S.BUBBLES]
        s[i, S.GAS] -= s[i, S.BUBBLES]


def risen(courses: Any, volumes: Any, members: int, rows: int, rise: Any) -> None:
    """Write into `rise` (members, rows) how far each course has risen (`mixture/course.py`).

    courses: (members, rows, STATE_SIZE); volumes: L per kg, one a member.
    """
    s, filled = carray(courses, (members, rows, STATE_SIZE)), carray(rise, (members, rows))
    volume = carray(volumes, (members,))
    for i in range(members):
        for k in range(rows):
            litres = (s[i, k, S.TEMPERATURE] + 273.15) * MOLAR
            now = s[i, k, S.BUBBLES] * litres + volume[i]
            filled[i, k] = now / (s[i, k, S.AT_MIX] * litres + volume[i])


_STATES, _COUNT, _NUMBER = types.CPointer(types.float64), types.int64, types.float64
_OF_A_SPAN = [_STATES] * 6 + [_COUNT] * 4 + [_NUMBER] + [_COUNT] * 3


def functions() -> list[Any]:
    """What is called from outside, compiled as functions of C: this takes a while."""
    return [
        cfunc(types.void(*_OF_A_SPAN), **QUICK)(hold_span),
        cfunc(types.void(_STATES, _COUNT, _NUMBER), **QUICK)(sour),
        *(
            cfunc(types.void(*given), error_model="numpy")(each)
            for each, given in (
                (settle, (_STATES, _COUNT, *[_NUMBER] * 3)),
                (add, (_STATES, _COUNT, _STATES, _STATES, _COUNT, *[_NUMBER] * 4)),
                (mixed, (_STATES, _STATES, _COUNT, *[_NUMBER] * 3)),
                (risen, (_STATES, _STATES, _COUNT, _COUNT, _STATES)),
            )
        ),
    ]
