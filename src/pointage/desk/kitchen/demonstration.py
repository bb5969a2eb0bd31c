"""Twelve weeks of Skerry Hall's daybook, made by the engine from hidden parameters.

What is hidden stands in data/demonstration/past.toml. The same `now` gives the same entries. Plans
are made as the kitchen would make them, by the priors; what is done and read off follows cultures
with the hidden traits, so that learning can be seen to find those.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from random import Random
from typing import Any
from uuid import UUID

import numpy as np

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake, Wished
from pointage.desk.bakes.wish import AUTHOR
from pointage.desk.kitchen.kitchens import demonstration_past
from pointage.desk.now.bakes.watch import as_done, masses_of, problem_of
from pointage.desk.plans import write_plan
from pointage.formula.file.read import read_formula
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import S
from pointage.mixture.traits import Traits, in_a_mix, median_traits
from pointage.timetable.plan import (
    Feed,
    Plan,
    Step,
    StepKind,
    Thread,
)
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import planned
from pointage.timetable.ways.bands import run_thread

SEED = 13
OVER = timedelta(days=6)
"""What is younger is not recorded: the kitchen's file says how the cultures stand since then."""
HOUR = timedelta(hours=1)
WEEK = timedelta(days=7)
STIRRED = (StepKind.FEED, StepKind.BUILD)


def demonstration_entries(
    kitchen_id: str, kitchen: str, formulas: Mapping[str, str], now: datetime
) -> list[Entry]:
    """The daybook up to `now`: plans, steps done, readings, weights, tastings, notes, slips."""
    story = demonstration_past()
    zone = read_kitchen(kitchen, now).zone
    today = now.astimezone(zone).date()
    found: list[Entry] = []
    for week in range(int(story["weeks"]), -1, -1):
        monday = today - timedelta(days=today.weekday(), weeks=week)
        for bake in story["bake"]:
            day = monday + timedelta(days=int(bake["weekday"]))
            ready = datetime.combine(day, time.fromisoformat(bake["ready"]), zone)
            writer = _Author(kitchen_id, story, Random(f"{SEED} {day} {bake['formula']}"), now)
            if ready <= now - OVER:
                culture = read_formula(formulas[bake["formula"]]).culture
                hidden = _hidden(story, str(culture), (now - ready) / WEEK)
                wished = Wished(
                    formulas[bake["formula"]], kitchen, ready - timedelta(days=4),
                    read_formula(formulas[bake["formula"]]).piece_g,
                )  # fmt: skip
                found += _bake(writer, bake, wished, hidden, ready)
        found += _between(_Author(kitchen_id, story, Random(f"{SEED} {monday}"), now), monday, zone)
    for change in story["change"]:
        at = now - change["weeks_ago"] * WEEK
        writer = _Author(kitchen_id, story, Random(f"{SEED} {at} {change['note']}"), now)
        body = {"culture": change["culture"], "text": change["note"]}
        found.append(writer.entry(EntryKind.NOTE, at, body))
    return found


def _hidden(story: Mapping[str, Any], culture: str, weeks_ago: float) -> Traits:
    """The culture as it really was so many weeks ago: one member."""
    own = dict(story["culture"].get(culture, {}))
    for change in story["change"]:
        if change["culture"] == culture and weeks_ago < change["weeks_ago"]:
            own |= {key: change[key] for key in change.keys() & set(Traits.__dataclass_fields__)}
    return replace(median_traits(), **{key: np.array([value]) for key, value in own.items()})


@dataclass(frozen=True)
class _Author:
    """Writes entries with repeatable ids."""

    kitchen: str
    story: Mapping[str, Any]
    rng: Random
    now: datetime

    def entry(
        self, kind: EntryKind, at: datetime, body: Mapping[str, Any], late: timedelta = timedelta()
    ) -> Entry:
        key = str(UUID(int=self.rng.getrandbits(128), version=4))
        arrived = min(at + late + timedelta(seconds=2), max(self.now, at))
        return Entry(key, self.kitchen, kind, at, arrived, AUTHOR, body)


def _bake(
    writer: _Author,
    own: Mapping[str, Any],
    wished: Wished,
    hidden: Traits,
    ready: datetime,
) -> Iterator[Entry]:
    """One bake from its plan to the tasting."""
    rng = writer.rng
    thread = _thread(own, ready)
    bare = Plan(
        formula="", culture=str(read_formula(wished.formula).culture), ready=ready, zone="",
        pieces=int(own["pieces"]), piece_g=float(wished.piece_g), steps=(), status=None,  # type: ignore[arg-type]
        penalty=None, bound=None, thread=thread,
    )  # fmt: skip
    problem = problem_of(Bake("", bare, wished=wished), None)
    plan = planned(problem, thread)
    asked = min(thread.feeds[0].at, *thread.soaks, thread.mix) - timedelta(hours=rng.uniform(6, 14))
    plan_entry = writer.entry(EntryKind.PLAN, asked, write_plan(plan, wished))
    yield plan_entry

    late = writer.story["reading"]["late_min"]
    done = {
        step.key: step.end + timedelta(minutes=round(rng.expovariate(1 / late), 1))
        for step in plan.steps
        if step.hands
    }
    for key, at in done.items():
        named = {"bake": plan_entry.id, "step": key}
        yield writer.entry(EntryKind.DONE, at, named)
    bake = _as_recorded(Bake(plan_entry.id, plan, wished=wished), done)
    yield from _readings(writer, bake, problem, hidden)
    yield from _after(writer, plan_entry.id, plan)


def _thread(own: Mapping[str, Any], ready: datetime) -> Thread:
    def before(hours: float) -> datetime:
        return ready - timedelta(minutes=round(60 * hours))

    return Thread(
        feeds=tuple(Feed(before(hours), share) for hours, share in own["feeds"]),
        soaks=tuple(before(hours) for hours in own["soaks"]),
        mix=before(own["mix"]),
        divide=before(own["divide"]),
        shaped=before(own["shaped"]),
        retarded=bool(own["retarded"]),
        preheat=before(own["preheat"]),
        loads=(before(own["load"]),),
    )


def _as_recorded(bake: Bake, done: Mapping[str, datetime]) -> Bake:
    news = {key: replace(bake.step_news(key), done=at) for key, at in done.items()}
    return replace(bake, news=news)


def _readings(writer: _Author, bake: Bake, problem: Problem, hidden: Traits) -> Iterator[Entry]:
    """What was read off each mixture that stood, as the hidden culture moved it."""
    rng, error = writer.rng, writer.story["reading"]
    thread = as_done(bake)
    assert thread is not None
    run = run_thread(problem, thread, hidden, masses_of(problem, bake))
    paces = Random(f"{SEED} {bake.key} pace")

    def stood(mixture: Mixture, stand: VesselStand, like: Course) -> Course:
        """What is usual for the culture, at the pace that this mix had."""
        traits = in_a_mix(hidden, np.array([paces.gauss(0.0, 1.0)]))
        return hold(
            mixture,
            stand.place.surroundings,
            like.start,
            float(like.hours[-1]),
            stand.traits(traits),
            follow_h=stand.follow.hours,
        )

    def read(step: Step, at: datetime, kind: str, value: float | None) -> Entry:
        body = {"bake": bake.key, "step": step.key, "reading": kind, "value": value}
        return writer.entry(EntryKind.READING, at, body)

    stirred = [step for step in bake.plan.steps if step.kind in STIRRED]
    for step, fed in zip(stirred, run.feeds, strict=True):
        course = stood(fed.mixed.mixture, fed.stand, fed.course)
        for share in (0.45, 0.65, 0.85):
            at = fed.at + share * (fed.taken - fed.at) + timedelta(minutes=rng.uniform(-20, 20))
            rise = _rise(course, at) + rng.gauss(0, error["rise"])
            yield read(step, at, "rise", round(rise, 2))
        ripe_from, ripe_until = (float(hours[0]) for hours in course.ripe())
        ripe_h = ripe_from + abs(rng.gauss(0.4, 0.3))
        if ripe_h < min(ripe_until, (fed.taken - course.start) / HOUR):  # a slow mix: never
            yield read(step, course.at(ripe_h), "ripe", None)
        soured = course.ph[0][_row(course, fed.taken)] + rng.gauss(0, error["ph"])
        if rng.random() < 0.5:
            yield read(step, fed.taken - timedelta(minutes=3), "ph", round(float(soured), 1))

    bulk = next(step for step in bake.plan.steps if step.kind is StepKind.BULK)
    mixed = bake.step_news(next(s.key for s in bake.plan.steps if s.kind is StepKind.MIX)).done
    adds = rng.gauss(writer.story["mixing"]["adds_k"], writer.story["mixing"]["spread_k"])
    warmer = adds - problem.kitchen.friction_k
    dough = replace(run.dough.mixture, states=run.dough.mixture.states.copy())
    dough.states[:, S.TEMPERATURE] += warmer
    course = stood(dough, run.bulk_stand, run.bulk)
    assert mixed is not None
    came_to = float(dough.states[0, S.TEMPERATURE]) + rng.gauss(0, error["temperature_k"])
    yield read(bulk, mixed + timedelta(minutes=4), "temperature", round(came_to, 1))
    for share in (0.4, 0.7, 0.95):
        at = bulk.start + share * (thread.divide - bulk.start)
        rise = _rise(course, at) + rng.gauss(0, error["rise"])
        slip = rng.random() < 0.02
        yield read(bulk, at, "rise", round(rise * 1.6 if slip else rise, 2))


def _row(course: Course, at: datetime) -> int:
    return int(np.abs(course.hours - (at - course.start) / HOUR).argmin())


def _rise(course: Course, at: datetime) -> float:
    return float(np.interp((at - course.start) / HOUR, course.hours, course.rise[0]))


def _after(writer: _Author, bake: str, plan: Plan) -> Iterator[Entry]:
    """Baked, weighed and, as a rule, tasted; now and then a word or a slip put right."""
    rng, notes = writer.rng, writer.story["notes"]
    oven = next(step for step in plan.steps if step.kind is StepKind.BAKE)
    minutes = round((oven.end - oven.start) / timedelta(minutes=1) - 8)
    said: dict[str, Any] = {
        "bake": bake, "step": oven.key, "pieces": plan.pieces, "minutes": minutes,
        "core_c": round(rng.gauss(97.0, 0.7), 1), "steam": True,
    }  # fmt: skip
    if oven.oven_temperature_c:
        said["oven_c"] = oven.oven_temperature_c
    yield writer.entry(EntryKind.BAKED, oven.end, said)
    whole = Fraction(plan.piece_g) * plan.pieces
    grams = round(float(whole) * (1 - rng.gauss(0.125, 0.008)))
    weighed = {"bake": bake, "grams": grams, "pieces": plan.pieces, "when": "baked"}
    slip = rng.random() < 0.15
    first = weighed | {"grams": grams + 1180} if slip else weighed
    entry = writer.entry(EntryKind.WEIGHED, oven.end + timedelta(minutes=20), first)
    yield entry
    if slip:
        right = {"entry": entry.id, "body": weighed, "why": "the bowl was not tared"}
        yield writer.entry(EntryKind.CORRECTED, oven.end + timedelta(minutes=32), right)
    if rng.random() < 0.85:
        marks = {
            name: min(5, max(1, round(rng.gauss(mean, 0.7))))
            for name, mean in (("crust", 4.2), ("crumb", 3.8), ("flavour", 4.1))
        }
        words = {"words": rng.choice(notes["tasted"])} if rng.random() < 0.5 else {}
        yield writer.entry(
            EntryKind.TASTED, oven.end + timedelta(hours=5), {"bake": bake, **marks, **words}
        )
    if rng.random() < 0.4:
        body = {"bake": bake, "text": rng.choice(notes["said"])}
        yield writer.entry(EntryKind.NOTE, oven.end + timedelta(minutes=50), body)


def _between(writer: _Author, monday: date, zone: Any) -> Iterator[Entry]:
    """Midweek: a smell of each culture's jar, and what stands over poured off."""
    rng = writer.rng
    at = datetime.combine(monday, time(17, rng.randrange(60)), zone)
    if at > writer.now - OVER:
        return
    for name in writer.story["culture"]:
        smell = {"culture": name, "signs": [rng.choice(writer.story["notes"]["smells"])]}
        yield writer.entry(EntryKind.SMELLED, at, smell)
        gone = {"culture": name, "grams": rng.randrange(10, 45), "to": "waste"}
        yield writer.entry(EntryKind.POURED_OFF, at + timedelta(minutes=2), gone)
    if monday.isocalendar().week % 4 == 0:
        note = writer.entry(EntryKind.NOTE, at, {"text": "The fridge was at 9 °C this morning."})
        yield note
        why = {"entry": note.id, "why": "the thermometer had fallen out of its glass"}
        yield writer.entry(EntryKind.WITHDRAWN, at + timedelta(minutes=40), why)
