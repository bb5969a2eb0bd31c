"""Learning: what was seen of a culture's courses narrows what is believed of its traits.

Beliefs are about the logarithms of the traits: normal before, whatever the observations make of
them after. Members are drawn from a response surface (surface.py), judged by the engine, and picked
in proportion to prior × likelihood over the density they were drawn from (adaptive importance
sampling). Pure and repeatable: the same seed gives the same answer.

How far a place strayed from its history in each hold is not known either, nor by how much each mix
was quicker than is usual for its culture. Both are averaged over, by what they do to the gaps of a
few members (`_shifts`), so that a warm day or a lively seed is not taken for a quick culture; what
was seen then counts for them too (`Posterior.strays`, `Posterior.latest`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import datetime, timedelta
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from pointage.data import load
from pointage.errors import InputError
from pointage.language import say
from pointage.mixture.course import Course
from pointage.mixture.hold import STEP_MIN, run, settings_for
from pointage.mixture.learning.observation import Observation
from pointage.mixture.learning.surface import (
    PACES,
    Judge,
    Surface,
    effective_share,
    fit,
    sample,
    systematic,
)
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import P
from pointage.mixture.temperature.surroundings import Surroundings, spread_of
from pointage.mixture.temperature.thermal import stand_name
from pointage.mixture.traits import Traits, in_a_mix

Floats = NDArray[np.float64]

NAMES = tuple(each.name for each in fields(Traits))
MEMBERS = 400
ROUNDS = 6
ENOUGH = 0.4
"""The members are good when this share of them counts; until then they are drawn anew."""
ROW_STEPS = 2
LOT_STEPS = 60_000
"""Member-steps a call of the kernel, so that courses stay small in memory."""
BUDGET_STEPS = 400_000
"""Member-steps a round: long daybooks get fewer members, whose beliefs are then narrow anyway."""
FEWEST = 120
ASTRAY_MEMBERS = 12
"""So many members show what an offset of a place does."""
FAR_OFF = 60.0
QUESTIONED = 0.5


@dataclass(frozen=True, eq=False)
class Watched:
    """A mixture, where and when it was held, and what was seen of it.

    place, vessel: where it stood and in what, the names under which is learned how far the place
    strays and how the vessel warms in it; follow_h: as for `hold`; sure: what of `seen` is no slip
    for certain. A mixture with many states stands as its median state.
    """

    mixture: Mixture
    surroundings: Surroundings
    start: datetime
    seen: tuple[Observation, ...]
    place: str | None = None
    vessel: str = ""
    follow_h: float | None = None
    sure: frozenset[Observation] = frozenset()

    def __post_init__(self) -> None:
        for each in self.seen:
            if each.at < self.start:
                raise InputError("observation", each.at.isoformat(), say("a time after the mix"))

    @property
    def stand(self) -> str | None:
        """The name under which its warming is learned, "Tub 2 in Fridge"; None: it is not."""
        if self.place is None:
            return None
        return stand_name(self.vessel, self.place)

    def until(self, instant: datetime) -> Watched:
        """The same, with only what was seen up to `instant`."""
        return replace(self, seen=tuple(each for each in self.seen if each.at <= instant))

    def hours(self) -> float:
        """So long must it be held to judge all that was seen."""
        ends = [each.at - self.start + timedelta(hours=each.ahead_h) for each in self.seen]
        return max(max(ends) / timedelta(hours=1), STEP_MIN * ROW_STEPS / 60)


@dataclass(frozen=True, slots=True)
class Judged:
    """An observation and the odds that it is wrong, after all else was weighed."""

    observation: Observation
    stray: float


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is believed after learning: equally likely members, and how well that went.

    traits: in a mix still to come, whose pace nobody knows; lasting: without a pace; latest: in the
    latest mix that was learned from, by the pace that was seen of it.
    warming: the members' warming of each stand, a vessel in a place; narrowed: spread of the
    logarithm of each trait over what it was before learning (1: nothing learned); counted: share of
    the engine's last members that count; strays: the members' offsets (K) of each named place in
    its latest hold, for places that stray.
    """

    traits: Traits
    lasting: Traits
    latest: Traits
    warming: Mapping[str, Floats] = field(default_factory=dict)
    judged: tuple[Judged, ...] = ()
    narrowed: Mapping[str, float] = field(default_factory=dict)
    counted: float = 1.0
    strays: Mapping[str, Floats] = field(default_factory=dict)

    @property
    def questioned(self) -> tuple[Judged, ...]:
        """What was seen but does not fit: kept, and asked about."""
        return tuple(each for each in self.judged if each.stray > QUESTIONED)

    def at(self, stand: str | None) -> Traits:
        """The traits as they show in a stand: with its own warming, if that is known."""
        if stand is None or stand not in self.warming:
            return self.traits
        return replace(self.traits, warming=self.warming[stand])


def learn(
    prior: Traits | Posterior | None,
    histories: Sequence[Watched],
    seed: int,
    reached: Callable[[float], None] | None = None,
) -> Posterior:
    """Beliefs about the traits after `histories`.

    prior: None for the priors of traits.toml; a posterior to go on from (its members are then taken
    as log-normal, correlations kept); or any ensemble of lasting traits, of at least 50 members.
    Nothing seen: the prior comes back, as an ensemble. reached: is called before each round with
    the share of the rounds that are over; what it raises ends the learning.
    """
    rng = np.random.default_rng(seed)
    watched = [each for each in histories if each.seen]
    belief = _Belief.of(prior, sorted({each.stand for each in watched if each.stand}))
    if not watched:
        return belief.posterior(_cube(MEMBERS, belief.width, seed), (), 1.0)
    seen = tuple(each for history in watched for each in history.seen)
    lots = _lots(watched)
    steps = sum(lot.steps * len(lot.watched) for lot in lots)
    size = int(np.clip(BUDGET_STEPS // steps, FEWEST, MEMBERS))

    v = _cube(size, belief.width, seed)
    log_drawn = -0.5 * (v * v).sum(axis=1)
    surface: Surface | None = None
    tried: list[tuple[Floats, Floats]] = []
    for turn in range(ROUNDS):
        if reached is not None:
            reached(turn / ROUNDS)
        gaps, judge = _judge(belief, lots, v)
        log_true = judge.log_likelihood(gaps) - 0.5 * (v * v).sum(axis=1)
        weights = np.exp(log_true - log_drawn - (log_true - log_drawn).max())
        counted = effective_share(weights)
        if counted >= ENOUGH or turn == ROUNDS - 1:
            break
        tried.append((v, gaps))
        age = np.concatenate([np.full(len(p), 0.1 ** (turn - i)) for i, (p, _) in enumerate(tried)])
        everything = [np.concatenate(each) for each in zip(*tried, strict=True)]
        before, surface = surface, fit(everything[0], everything[1], age, judge.roughly())
        v = sample(surface, v, log_drawn, rng, before)
        log_drawn = surface.log_posterior(v)
    pick = systematic(weights, MEMBERS, rng)
    odds = judge.stray_odds(gaps[pick])
    judged = tuple(Judged(o, float(p)) for o, p in zip(seen, odds, strict=True))
    found = belief.posterior(v[pick], judged, counted)
    drawn = judge.drawn(gaps[pick], rng)
    last = max(range(len(watched)), key=lambda each: watched[each].start)
    return replace(
        found,
        latest=in_a_mix(found.lasting, drawn[:, last, 1]),
        strays=_strays(drawn[:, :, 0], watched),
    )


@dataclass(frozen=True, eq=False)
class _Belief:
    """The normal prior of the logarithms: log = mean + root·v, with v standard normal."""

    stands: tuple[str, ...]
    mean: Floats
    root: Floats

    @classmethod
    def of(cls, prior: Traits | Posterior | None, stands: Sequence[str]) -> _Belief:
        table = load("parameters/traits.toml")
        mean = np.log([table[name]["median"] for name in NAMES])
        cov = np.diag([table[name]["spread"] ** 2 for name in NAMES])
        known: tuple[str, ...] = ()
        if prior is not None:
            traits = prior.lasting if isinstance(prior, Posterior) else prior
            warming = prior.warming if isinstance(prior, Posterior) else {}
            known = tuple(sorted(warming))
            columns = [getattr(traits, name) for name in NAMES] + [warming[p] for p in known]
            logs = np.log(np.array(columns))
            if logs.shape[1] < 50:
                raise InputError(
                    "prior", say("{members} members", members=logs.shape[1]), say("50 or more")
                )
            mean, cov = logs.mean(axis=1), np.cov(logs)
        fresh = tuple(stand for stand in stands if stand not in known)
        spread = table["warming"]["spread"]
        mean = np.append(mean, np.full(len(fresh), np.log(table["warming"]["median"])))
        whole = np.diag(np.full(len(mean), spread**2))
        whole[: len(cov), : len(cov)] = cov
        root: Floats = np.asarray(np.linalg.cholesky(whole + 1e-10 * np.eye(len(mean))), np.float64)
        return cls((*known, *fresh), mean, root)

    @property
    def width(self) -> int:
        return len(self.mean)

    def traits(self, v: Floats) -> tuple[Traits, dict[str, Floats]]:
        values = np.exp(self.mean[:, None] + self.root @ v.T)
        warming = dict(zip(self.stands, values[len(NAMES) :], strict=True))
        return Traits(*values[: len(NAMES)]), warming

    def posterior(self, v: Floats, judged: tuple[Judged, ...], counted: float) -> Posterior:
        lasting, warming = self.traits(v)
        to_come = in_a_mix(lasting, _cube(len(v), 1, len(v))[:, 0])
        after = (self.root @ v.T).std(axis=1)
        before = np.sqrt((self.root**2).sum(axis=1))
        names = (*NAMES, *(f"warming of {stand}" for stand in self.stands))
        narrowed = {n: float(a / b) for n, a, b in zip(names, after, before, strict=True)}
        return Posterior(to_come, lasting, to_come, warming, judged, narrowed, counted)


@dataclass(frozen=True, eq=False)
class _Lot:
    """Histories held together, all for the same number of steps."""

    watched: tuple[Watched, ...]
    steps: int
    around: Floats


def _lots(watched: Sequence[Watched]) -> list[_Lot]:
    """In the order given: neighbours share a lot while their lengths are much alike."""
    lots: list[_Lot] = []
    run_of: list[Watched] = []

    def close() -> None:
        hours = max(each.hours() for each in run_of)
        rows = -int(-hours * 60 // (STEP_MIN * ROW_STEPS))
        clock = np.arange(rows * ROW_STEPS + 1) * STEP_MIN / 60
        around = np.array([each.surroundings.temperatures(each.start, clock) for each in run_of])
        lots.append(_Lot(tuple(run_of), rows * ROW_STEPS, around))
        run_of.clear()

    for each in watched:
        if run_of:
            lengths = [other.hours() for other in (*run_of, each)]
            if max(lengths) > 1.3 * min(lengths) + 1.0 or len(run_of) >= 12:
                close()
        run_of.append(each)
    close()
    return lots


def _judge(belief: _Belief, lots: Sequence[_Lot], v: Floats) -> tuple[Floats, Judge]:
    """The engine's gaps for every member and observation, and what judges them."""
    gaps, one_sided, first = _gaps(belief, lots, v)
    if not np.isfinite(gaps).all():
        raise FloatingPointError("the engine gave a course that is not a number")
    # Further off than this is a stray whatever the distance, and would only bend the surface.
    watched = [each for lot in lots for each in lot.watched]
    history = np.repeat(np.arange(len(watched)), [len(each.seen) for each in watched])
    shifts = _shifts(belief, lots, v, gaps)
    sure = np.array([seen in each.sure for each in watched for seen in each.seen])
    judge = Judge.of(np.array(one_sided), np.array(first), shifts, history, sure)
    return np.clip(gaps, -FAR_OFF, FAR_OFF), judge


def _gaps(
    belief: _Belief, lots: Sequence[_Lot], v: Floats, spreads: float = 0.0, pace: float = 0.0
) -> tuple[Floats, list[bool], list[int]]:
    """The gaps with every place so many of its spreads off, and every mix at that pace.

    Besides, which are one-sided and where each begins. Columns are in the order of the
    observations.
    """
    lasting, warming = belief.traits(v)
    traits = in_a_mix(lasting, np.array(pace))
    columns: list[Floats] = []
    one_sided: list[bool] = []
    first = []
    for lot in lots:
        off = np.array([spreads * spread_of(each.surroundings) for each in lot.watched])
        courses = _courses(lot, traits, warming, lot.around + off[:, None])
        for course, watched in zip(courses, lot.watched, strict=True):
            for each in watched.seen:
                first.append(len(one_sided))
                columns.append(each.gaps(course))
                one_sided += [each.one_sided] * columns[-1].shape[1]
    return np.hstack(columns), one_sided, first


def _shifts(
    belief: _Belief, lots: Sequence[_Lot], v: Floats, gaps: Floats
) -> tuple[Floats, Floats]:
    """What one spread of its place, and each of PACES, adds to each gap, by a few members.

    gaps: all members' at the usual pace. Along a place's offset a straight line is taken.
    """
    every = max(1, len(v) // ASTRAY_MEMBERS)
    few = v[::every]

    def middle(added: Floats) -> Floats:
        return np.clip(np.median(added, axis=0), -FAR_OFF, FAR_OFF)

    paces = [_gaps(belief, lots, few, pace=float(p))[0] if p else gaps[::every] for p in PACES]
    pace = np.stack([middle(each - gaps[::every]) for each in paces])
    if not any(spread_of(each.surroundings) for lot in lots for each in lot.watched):
        return np.zeros(gaps.shape[1]), pace
    cool, warm = (_gaps(belief, lots, few, spreads)[0] for spreads in (-1.0, 1.0))
    return middle(0.5 * (warm - cool)), pace


def _strays(offsets: Floats, watched: Sequence[Watched]) -> dict[str, Floats]:
    """Offsets (K) of each place's latest hold; offsets: in spreads, (members, histories)."""
    found: dict[str, Floats] = {}
    for i in sorted(range(len(watched)), key=lambda each: watched[each].start):
        place, spread = watched[i].place, spread_of(watched[i].surroundings)
        if place is None or not spread:
            continue
        found[place] = np.asarray(spread * offsets[:, i])
    return found


def _courses(
    lot: _Lot, traits: Traits, warming: Mapping[str, Floats], around: Floats
) -> list[Course]:
    """The courses of all histories of a lot, each with one line a member."""
    members, several = len(traits), len(lot.watched)
    settings, states = [], []
    for each in lot.watched:
        mine = traits
        if each.stand is not None:
            mine = replace(traits, warming=warming[each.stand])
        settings.append(settings_for(each.mixture, mine, each.follow_h))
        state = np.median(each.mixture.states, axis=0)
        states.append(np.broadcast_to(state, (members, len(state))))
    # The kernel takes the surroundings in turn, so histories run fastest.
    stacked = np.stack(settings, axis=1).reshape(members * several, -1)
    begun = np.stack(states, axis=1).reshape(members * several, -1)
    courses = run(np.ascontiguousarray(begun), stacked, around, ROW_STEPS)
    hours = np.arange(lot.steps // ROW_STEPS + 1) * ROW_STEPS * STEP_MIN / 60
    volume = stacked[:, P.VOLUME]
    return [
        Course(each.start, hours, courses[i::several], volume[i::several], each.mixture)
        for i, each in enumerate(lot.watched)
    ]


def _cube(members: int, width: int, seed: int) -> Floats:
    """Standard normal members, evenly spread, as `draw_traits` spreads them."""
    rng = np.random.default_rng(seed)
    places = [(rng.permutation(members) + rng.random(members)) / members for _ in range(width)]
    return np.asarray(np.vectorize(NormalDist().inv_cdf)(np.array(places).T), dtype=np.float64)
