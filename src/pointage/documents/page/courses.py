"""One formula in many kitchens at once: from the feed of its levain to the shaped pieces.

The same engine, in the same order, as a plan of one bake runs it (timetable/ways); here the
kitchens lie side by side, so that a grid of them, or thousands drawn at random, are one run.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np

from pointage.data import load
from pointage.documents.page.kitchens import Floats, OtherKitchens
from pointage.formula.formula import Process
from pointage.mixture.course import first_crossing, leavened, peaks, ripe_windows, rise_of
from pointage.mixture.hold import STEP_MIN, run, settings_for
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import P, S
from pointage.mixture.temperature.thermal import usual_follow
from pointage.mixture.traits import Traits, draw_traits, median_traits
from pointage.timetable.problem import Problem
from pointage.timetable.ways.builds import seed_shares
from pointage.timetable.ways.doughs import WEAKEST

LONGEST_LEVAIN_H, LONGEST_BULK_H, LONGEST_PROOF_H = 48.0, 30.0, 20.0
RETARD_AT_H = (4.0, 6.0, 8.0, 11.0, 14.0, 18.0, 24.0, 30.0)
"""Hours in the fridge at which the rise is noted."""
MEMBERS, SEED = 64, 3
ALONE = 1
MIX_SPREAD = float(load("parameters/mix.toml")["pace"]["spread"])
MOST_AT_ONCE = 1500
APART = ("proof", "builds")  # which have the kitchens along their second axis


@dataclass(frozen=True, eq=False)
class KitchenHours:
    """What came of it in each kitchen, in hours; NaN where it does not come to that.

    ripe_from, ripe_until, peak: of the levain after its feed. bulk: from the mix to dividing.
    proof: from shaping to the least, wanted and most rise, (3, kitchens). cold: the rise of the
    shaped pieces after RETARD_AT_H in the fridge, (kitchens, times); empty for a dough that is
    never retarded. levain_c: the levain as it is taken.
    builds: windows of the builds before the levain, each (2, kitchens).
    """

    ripe_from: Floats
    ripe_until: Floats
    peak: Floats
    bulk: Floats
    proof: Floats
    cold: Floats
    levain_c: Floats
    builds: tuple[Floats, ...] = ()


@dataclass(frozen=True, eq=False)
class SharedThread:
    """A formula as the kitchens follow it, with its levain built from one share of seed.

    problem: the formula in its author's kitchen, from which masses and flours come. share: seed
    over the flour of the first build. early: divided at the least rise of the bulk, not the wanted.
    """

    problem: Problem
    share: float
    early: bool = False

    @cached_property
    def shares(self) -> tuple[float, ...]:
        """Seed over flour of each build."""
        return (self.share, *(each[0] for each in seed_shares(self.problem.formula)[1:]))

    def fits(self) -> bool:
        """Whether the seed is not more, nor wetter, than the build it goes into."""
        prime = self.problem.prime(self.problem.culture, median_traits())
        return self.problem.builds[0].fresh(prime.scaled(100 * self.share), 100.0) is not None

    def in_kitchens(self, kitchens: OtherKitchens, members: int = ALONE) -> KitchenHours:
        """What comes of it in each kitchen, for the likeliest culture of its pace.

        members: more than one give an ensemble (kitchens × members of everything found), each
        kitchen's work then done by the clock of its middle member.
        """
        parts = [
            self._in_some(kitchens.some(slice(i, i + MOST_AT_ONCE // members)), members)
            for i in range(0, len(kitchens), MOST_AT_ONCE // members)
        ]
        return _joined(parts)

    def _in_some(self, kitchens: OtherKitchens, members: int) -> KitchenHours:
        every = kitchens.repeated(members)
        traits = traits_of(kitchens.pace, members)
        levain, since, windows, peak = self._levain(every, traits, members)
        warm = levain.states[:, S.TEMPERATURE]
        dough = self._dough(levain, every)
        bulk, shaped, ended = self._bulk(dough, every, traits, since, members)
        proof = self._proof(shaped, every, traits, ended)
        cold = self._cold(shaped, every, traits)
        *before, (ripe_from, ripe_until) = windows
        return KitchenHours(ripe_from, ripe_until, peak, bulk, proof, cold, warm, tuple(before))

    def _levain(
        self, every: OtherKitchens, traits: Traits, members: int
    ) -> tuple[Mixture, Floats, list[Floats], Floats]:
        """The ripe levain as it is taken, how long after its feed, the windows and the peak."""
        problem = self.problem
        mixture, windows = problem.prime(problem.culture, traits), []
        stages = zip(problem.builds, problem.build_stages, self.shares, strict=True)
        for number, (recipe, stage, share) in enumerate(stages, 1):
            last = number == len(self.shares)
            fresh = recipe.fresh(mixture.scaled(100.0 * share), 100.0)
            assert fresh is not None, "SharedThread.fits has weighed the first, the file the others"
            flours, water = fresh
            mixed = mix([mixture.scaled(100.0 * share), raw(flours, water, record=recipe.record)])
            warm = stage.temperature.celsius if stage.temperature else None
            mixed = mixed.at_temperature(
                np.clip(every.stands_c, 20.0, 28.0) if warm is None else warm
            )
            part = float(problem.formula.whole(stage).mass) / float(
                sum(problem.formula.total.values())
            )
            states, volume = _held(
                mixed, every, traits, LONGEST_LEVAIN_H, every.batch_kg * part, every.fed_at * 0
            )
            rise, hours = rise_of(states, volume), _clock(LONGEST_LEVAIN_H)
            ripe = ripe_windows(hours, rise, leavened(states, rise))
            windows.append(np.array(ripe))
            low, high = (_common(each, members) for each in ripe)
            taken = low + (every.taken if last else 0.5) * (high - low)
            mixture = replace(mixed, states=_at(states, taken))
        return mixture, taken, windows, peaks(hours, rise)

    def _dough(self, levain: Mixture, every: OtherKitchens) -> Mixture:
        """The final dough, which its water has brought to the wanted temperature."""
        wanted = self.problem.process.dough_temperature.celsius
        levain = replace(levain, states=np.nan_to_num(levain.states, nan=1e-6))
        found = self.problem.dough(levain, every.stands_c, each=True).mixture
        return found.at_temperature(wanted)

    def _bulk(
        self, dough: Mixture, every: OtherKitchens, traits: Traits, since: Floats, members: int
    ) -> tuple[Floats, Mixture, Floats]:
        """Hours to dividing, the shaped pieces, and their hour after the levain's feed."""
        process = self.problem.process
        since = np.nan_to_num(since)
        states, volume = _held(dough, every, traits, LONGEST_BULK_H, every.batch_kg, since)
        rise, hours = rise_of(states, volume), _clock(LONGEST_BULK_H)
        bulk = first_crossing(
            hours, rise, np.full(len(rise), process.bulk_rise[0 if self.early else 1])
        )
        bulk = np.maximum(bulk, worked_h(process))
        shaped = _common(bulk, members) + handling_h(process)
        piece = replace(dough, states=_at(states, shaped)).handled(process.shape_keeps)
        return bulk, piece, since + shaped

    def _proof(
        self, shaped: Mixture, every: OtherKitchens, traits: Traits, since: Floats
    ) -> Floats:
        piece_kg = np.full(len(every), float(self.problem.piece_g) / 1000)
        states, volume = _held(shaped, every, traits, LONGEST_PROOF_H, piece_kg, since)
        rise, hours = rise_of(states, volume), _clock(LONGEST_PROOF_H)
        levels = self.problem.process.proof_rise
        return np.array([first_crossing(hours, rise, np.full(len(rise), x)) for x in levels])

    def _cold(self, shaped: Mixture, every: OtherKitchens, traits: Traits) -> Floats:
        """The rise in the fridge, NaN once the dough is too weak to hold in the oven."""
        if self.problem.process.retard_rise is None:
            return np.empty((len(every), 0))
        fridge = replace(every, stands_c=every.fridge_c, swing_k=np.zeros(len(every)))
        piece_kg = np.full(len(every), float(self.problem.piece_g) / 1000)
        states, volume = _held(shaped, fridge, traits, RETARD_AT_H[-1], piece_kg, every.fed_at * 0)
        rows = np.array([round(60 * hours / STEP_MIN) for hours in RETARD_AT_H])
        found = rise_of(states, volume)[:, rows]
        weak = states[:, rows, S.STRENGTH] < WEAKEST
        return np.asarray(np.where(weak | np.isnan(every.stands_c[:, None]), np.nan, found))


def worked_h(process: Process) -> float:
    """Hours from the mix to the end of the last fold."""
    worked = process.mix_minutes + process.folds * process.fold_every_minutes
    return (worked + (process.fold_minutes if process.folds else 0.0)) / 60


def handling_h(process: Process) -> float:
    """Hours from dividing to the shaped pieces."""
    return (process.divide_minutes + process.bench_rest_minutes + process.shape_minutes) / 60


def traits_of(pace: Floats, members: int = ALONE) -> Traits:
    """Cultures of these paces, members of each in turn.

    A culture of pace p has doubling times of p times the usual. Its members differ in all else that
    cultures differ in, and in the pace of one mix; of its own pace they agree.
    """
    usual = median_traits()
    drawn = usual if members == ALONE else draw_traits(members, SEED)
    columns = {f.name: np.tile(getattr(drawn, f.name), len(pace)) for f in fields(Traits)}
    if members != ALONE:
        lasting = np.log(drawn.yeast_doubling_h / usual.yeast_doubling_h)
        spread = np.std(lasting)
        columns["yeast_doubling_h"] = np.tile(
            usual.yeast_doubling_h * np.exp(lasting * MIX_SPREAD / spread), len(pace)
        )
    slower = np.repeat(pace, members)
    for name in ("yeast_doubling_h", "bacteria_doubling_h"):
        columns[name] = columns[name] * slower
    return Traits(**columns)


def _held(  # noqa: PLR0917
    mixture: Mixture,
    every: OtherKitchens,
    traits: Traits,
    hours: float,
    mass_kg: Floats,
    since: Floats,
) -> tuple[Floats, Floats]:
    """States of a mixture held in each kitchen from `since` on, and its volume just after mixing.

    mass_kg: of it in each, as far as how it follows its place goes. A mixture that never came to be
    there is NaN throughout.
    """
    follow = np.array([usual_follow(mixture.scaled(1000 * kg)).hours for kg in mass_kg])
    settings = settings_for(mixture, traits, follow)
    lost = np.isnan(mixture.states).sum(axis=1) > 0
    states = np.where(lost[:, None], 1e-6, mixture.states)
    if len(states) == 1:
        states = np.repeat(states, len(every), axis=0)
    around = every.around(since, _clock(hours))
    found = run(np.ascontiguousarray(states), settings, np.nan_to_num(around), 1)
    if len(lost) == len(found):
        found[lost] = np.nan
    return found, settings[:, P.VOLUME]


def _clock(hours: float) -> Floats:
    return np.arange(round(60 * hours / STEP_MIN) + 1) * STEP_MIN / 60


def _at(states: Floats, hours: Floats) -> Floats:
    """The state of each row at its own hour, straight lines between the steps; NaN where it is."""
    steps = np.asarray(hours) * 60 / STEP_MIN
    most = states.shape[1] - 2
    row = np.clip(np.nan_to_num(steps).astype(int), 0, most)
    part = (steps - row)[:, None]
    pick = np.arange(len(states))
    found = (1 - part) * states[pick, row] + part * states[pick, row + 1]
    return np.asarray(np.where((part >= 0) & (part <= 1 + 1e-9), found, np.nan))


def _common(hours: Floats, members: int) -> Floats:
    """The middle member's hour of each kitchen, for all its members."""
    if members == ALONE:
        return hours
    late = np.where(np.isnan(hours), np.inf, hours).reshape(-1, members)
    middle = np.median(late, axis=1)
    return np.repeat(np.where(np.isfinite(middle), middle, np.nan), members)


def _joined(parts: Sequence[KitchenHours]) -> KitchenHours:
    def join(name: str, axis: int) -> Floats:
        return np.concatenate([getattr(each, name) for each in parts], axis=axis)

    flat = {
        each.name: join(each.name, 0) for each in fields(KitchenHours) if each.name not in APART
    }
    builds = tuple(
        np.concatenate(list(each), axis=1)
        for each in zip(*(part.builds for part in parts), strict=True)
    )
    return KitchenHours(**flat, proof=join("proof", 1), builds=builds)
