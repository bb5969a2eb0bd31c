"""Write a chosen plan down as steps: what, when, where and how much, and what there is to mind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from pointage.formula.formula import Formula, Stage, StageKind
from pointage.formula.ladder import Pour
from pointage.kitchen.pours import poured_g, pouring
from pointage.kitchen.vessel import Lid
from pointage.timetable.oven import baked_through, load_of
from pointage.timetable.plan import (
    Ladder,
    Manner,
    Remark,
    Step,
    StepCourse,
    StepKind,
    Thread,
)
from pointage.timetable.problem import Problem
from pointage.timetable.remark import (
    Argument,
    RemarkCode,
    celsius,
    grams,
    number,
)
from pointage.timetable.solve import LIGHT_MINUTES
from pointage.timetable.upkeep.keeping import keeping
from pointage.timetable.ways.amounts import Amounts
from pointage.timetable.ways.bands import (
    PlannedFeed,
    Run,
    bulk_course,
    course_in,
    proof_standing,
)
from pointage.timetable.ways.doughs import SOAK_MINUTES, fold_times
from pointage.timetable.ways.levains import FEED_MINUTES
from pointage.timetable.ways.pours import (
    addition_pours,
    build_pours,
    dough_pours,
    feed_pours,
    soak_pours,
)
from pointage.timetable.ways.stands import IN_TUB


def steps_of(problem: Problem, thread: Thread, amounts: Amounts, run: Run) -> tuple[Step, ...]:
    """All steps of the plan in the order of their start."""
    found = [
        *_feeds(problem, amounts, run),
        *_soaks(problem, thread, amounts),
        *_working(problem, thread, amounts, run),
        *_baking(problem, thread, run),
    ]
    found = [_in_own_words(problem.formula, step) for step in found]
    return tuple(sorted(found, key=lambda step: (step.start, step.end)))


def _in_own_words(formula: Formula, step: Step) -> Step:
    """With what the author says of it."""
    if step.kind in (StepKind.BUILD, StepKind.SOAK):
        words = formula.stage(step.mixture).words if step.mixture else ""
    else:
        words = formula.words.get(step.kind.value, "")
        added = (formula.stage(name).words for name in step.added)
        words = "\n".join(filter(None, (words, *added)))
    if not words:
        return step
    return replace(step, remarks=(Remark(RemarkCode.AUTHOR, text=words), *step.remarks))


def _feeds(problem: Problem, amounts: Amounts, run: Run) -> list[Step]:
    steps = []
    waking = len(run.feeds) - len(amounts.builds)
    for i, fed in enumerate(run.feeds):
        if i >= waking:
            stage = amounts.builds[i - waking]
            pours = build_pours(problem, stage, fed, first=i == 0)
            kind, mixture = StepKind.BUILD, stage.name
        else:
            pours = feed_pours(problem, amounts.feeds[i], fed, first=i == 0)
            kind, mixture = StepKind.FEED, problem.culture.name
        stood = course_in(problem.stands, fed.stand, fed.course, fed.taken, ripe=True)
        steps.append(
            Step(
                key=f"{kind.value}-{i + 1}",
                kind=kind,
                start=fed.at,
                end=fed.at + timedelta(minutes=FEED_MINUTES),
                hands=True,
                place=fed.recipe.place.name,
                mixture=mixture,
                grams=poured_g(pours),
                ladder=pouring(problem.kitchen, fed.stand.vessel, pours),
                water_temperature_c=_tenth(fed.mixed.water_c),
                mixture_temperature_c=_tenth(fed.mixed.mixture.temperature_c),
                ripe_odds=fed.odds,
                standing=stood,
                number=i + 1,
                of=len(run.feeds),
                keeping=keeping(problem, amounts, run) if i == waking else None,
                remarks=(
                    *([_from_where(problem)] if i == 0 else []),
                    *_cold(problem, fed),
                    *_lid(fed, run.feeds[:i]),
                    *_brim(stood),
                ),
            )
        )
    return steps


def _from_where(problem: Problem) -> Remark:
    about = {"culture": problem.culture.name, "place": problem.culture.place}
    return Remark(RemarkCode.CULTURE_FROM, about)


def _cold(problem: Problem, fed: PlannedFeed) -> list[Remark]:
    if fed.chilled is None or problem.fridge is None:
        return []
    about: dict[str, Argument] = {"place": problem.fridge.name, "at": fed.chilled}
    if fed.again is not None:
        about |= {"out": fed.again.start}
    return [Remark(RemarkCode.CHILLED, about | {"until": fed.taken})]


def _lid(fed: PlannedFeed, before: Sequence[PlannedFeed]) -> list[Remark]:
    """What to mind of its lid: with the first feed, and once for each vessel that closes tight."""
    vessel = fed.stand.vessel
    if vessel.lid is Lid.TIGHT:
        warned = any(each.stand.vessel == vessel for each in before)
        return [] if warned else [Remark(RemarkCode.LID_AJAR, {"vessel": vessel.name})]
    return [] if before else [Remark(RemarkCode.LID_LOOSE)]


def _brim(stood: StepCourse) -> list[Remark]:
    return [] if stood.caution is None else [stood.caution]


def _soaks(problem: Problem, thread: Thread, amounts: Amounts) -> list[Step]:
    steps = []
    for i, (stage, at) in enumerate(zip(problem.formula.soakers, thread.soaks, strict=True)):
        pours = soak_pours(amounts, stage)
        scald = stage.kind is StageKind.SCALD
        code = RemarkCode.SCALD_AT_ONCE if scald else RemarkCode.SOAK_COVERED
        steps.append(
            Step(
                key=f"soak-{i + 1}",
                kind=StepKind.SOAK,
                start=at,
                end=at + timedelta(minutes=SOAK_MINUTES),
                hands=True,
                place=problem.room.name,
                mixture=stage.name,
                grams=poured_g(pours),
                ladder=_in_a_tub(problem, pours, 1.3),
                manner=Manner.SCALD if scald else Manner.PLAIN,
                remarks=(Remark(code),),
            )
        )
    return steps


def _in_a_tub(problem: Problem, pours: Sequence[Pour], grows: float) -> Ladder:
    """A ladder in a tub with `grows` litres for each kilogram."""
    grams = poured_g(pours)
    vessel = problem.kitchen.vessel_for(IN_TUB, grams / 1000 * grows, grams)
    return pouring(problem.kitchen, vessel, pours)


def _working(problem: Problem, thread: Thread, amounts: Amounts, run: Run) -> list[Step]:
    process = problem.process
    batch = float(amounts.batch.total_g)
    mixed = thread.mix + timedelta(minutes=process.mix_minutes)
    divided = thread.divide + timedelta(minutes=process.divide_minutes)
    rested = divided + timedelta(minutes=process.bench_rest_minutes)
    name = problem.formula.name
    pours = dough_pours(problem, amounts, run)
    tin = process.shape == "tin"
    bulk = bulk_course(problem, run, thread.divide, problem.traits)
    bowl, *others = problem.stands.bowls(run.dough.mixture)
    of_pieces = {"pieces": number(problem.pieces), "mass": grams(float(problem.piece_g))}
    steps = [
        Step(
            key="mix",
            kind=StepKind.MIX,
            start=thread.mix,
            end=mixed,
            hands=True,
            place=problem.room.name,
            mixture=name,
            grams=poured_g(pours),
            ladder=pouring(problem.kitchen, bowl, pours, *others),
            water_temperature_c=_tenth(run.dough.water_c),
            mixture_temperature_c=_tenth(run.dough.mixture.temperature_c),
            ripe_odds=run.feeds[-1].odds,
            remarks=(*_of_the_mix(problem, run), *_brim(bulk)),
        ),
        Step(
            key="bulk",
            kind=StepKind.BULK,
            start=mixed,
            end=thread.divide,
            hands=False,
            place=problem.bulk_place.name,
            mixture=name,
            grams=batch,
            mixture_temperature_c=_tenth(run.dough.mixture.temperature_c),
            standing=bulk,
            remarks=(Remark(RemarkCode.BULK_RISE, {"rise": number(process.bulk_rise[1])}),),
        ),
        Step(
            key="divide",
            kind=StepKind.DIVIDE,
            start=thread.divide,
            end=divided,
            hands=True,
            place=problem.room.name,
            mixture=name,
            grams=float(problem.piece_g),
            pieces=problem.pieces,
            manner=Manner.PLAIN if tin else Manner.PRESHAPE,
            remarks=(Remark(RemarkCode.PIECES_OF, of_pieces),),
        ),
        Step(
            key="shape",
            kind=StepKind.SHAPE,
            start=rested,
            end=thread.shaped,
            hands=True,
            place=problem.room.name,
            mixture=name,
            pieces=problem.pieces,
            manner=Manner.TIN if tin else Manner.PLAIN,
        ),
    ]
    if process.bench_rest_minutes:
        steps.append(
            Step("rest", StepKind.REST, divided, rested, False, problem.room.name,
                 mixture=name, pieces=problem.pieces)
        )  # fmt: skip
    for fold, at in enumerate(fold_times(process, thread.mix), start=1):
        added = [each for each in problem.formula.additions if each.fold == fold]
        pours = [pour for each in added for pour in addition_pours(amounts, each)]
        steps.append(
            Step(
                key=f"fold-{fold}",
                kind=StepKind.FOLD,
                start=at,
                end=at + timedelta(minutes=process.fold_minutes),
                hands=True,
                place=problem.bulk_place.name,
                mixture=name,
                grams=poured_g(pours),
                ladder=_in_a_tub(problem, pours, 1.4) if pours else None,
                number=fold,
                of=process.folds,
                added=tuple(each.name for each in added),
                remarks=(Remark(RemarkCode.FOLDING), *_late_water(problem, added)),
            )
        )
    return [*steps, _proof(problem, thread, run)]


def _of_the_mix(problem: Problem, run: Run) -> list[Remark]:
    about: dict[str, Argument] = {"temperature": celsius(problem.process.dough_temperature.celsius)}
    if run.dough.reached:
        found = [Remark(RemarkCode.DOUGH_WANTED, about)]
    else:
        reached = celsius(round(run.dough.mixture.temperature_c, 1))
        found = [Remark(RemarkCode.DOUGH_OUT_OF_REACH, about | {"reached": reached})]
    if problem.formula.of_kind(StageKind.OLD_DOUGH):
        found.append(Remark(RemarkCode.OLD_DOUGH))
    return [*found, Remark(RemarkCode.RAW_FLOUR)]


def _late_water(problem: Problem, added: Sequence[Stage]) -> list[Remark]:
    """Water that is held back should not cool the dough: the times are for its temperature."""
    if not any("water" in each.ingredients for each in added):
        return []
    warm = celsius(problem.process.dough_temperature.celsius)
    return [Remark(RemarkCode.LATE_WATER, {"temperature": warm})]


def _proof(problem: Problem, thread: Thread, run: Run) -> Step:
    process = problem.process
    wanted = process.rise_to_load(retarded=thread.retarded)
    return Step(
        key="retard" if thread.retarded else "proof",
        kind=StepKind.RETARD if thread.retarded else StepKind.PROOF,
        start=thread.shaped,
        end=thread.loads[0],
        hands=False,
        place=problem.last_place(retarded=thread.retarded).name,
        mixture=problem.formula.name,
        pieces=problem.pieces,
        remarks=(
            Remark(RemarkCode.PROOF_RISE, {"rise": number(wanted[1])}),
            *([Remark(RemarkCode.NO_FRIDGE)] if problem.lacks_fridge else []),
        ),
        standing=proof_standing(
            problem, run, thread.loads[0], problem.traits, retarded=thread.retarded
        ),
    )


def _baking(problem: Problem, thread: Thread, run: Run) -> list[Step]:
    process, oven = problem.process, problem.oven
    oven_c = process.oven.celsius
    each = timedelta(minutes=process.load_minutes + problem.bake_minutes)
    room = load_of(oven, process)
    own = [Remark(RemarkCode.AUTHOR, text=process.bake_note)] if process.bake_note else []
    done = baked_through(problem.oven_bake, problem.bake_minutes)
    steps = (
        []
        if thread.preheat >= thread.loads[0]
        else [  # else another bake has left it hot
            Step(
                key="preheat",
                kind=StepKind.PREHEAT,
                start=thread.preheat,
                end=thread.preheat + timedelta(minutes=LIGHT_MINUTES),
                hands=True,
                place=oven.name,
                capacity=oven.name,
                oven_temperature_c=oven_c,
            )
        ]
    )
    for i, start in enumerate(thread.loads):
        steps.append(
            Step(
                key=f"bake-{i + 1}",
                kind=StepKind.BAKE,
                start=start,
                end=start + each,
                hands=True,
                place=oven.name,
                capacity=oven.name,
                mixture=problem.formula.name,
                pieces=min(room, problem.pieces - i * room),
                oven_temperature_c=oven_c,
                number=i + 1,
                of=len(thread.loads),
                remarks=(*own, done, *([Remark(RemarkCode.STEAM_SCALDS)] if i == 0 else [])),
            )
        )
    out = steps[-1].end
    return [*steps, _cool(problem, out)]


def _cool(problem: Problem, out: datetime) -> Step:
    return Step(
        key="cool",
        kind=StepKind.COOL,
        start=out,
        end=out + timedelta(minutes=problem.process.cool_minutes),
        hands=False,
        place=problem.room.name,
        mixture=problem.formula.name,
        pieces=problem.pieces,
        remarks=(Remark(RemarkCode.ON_RACKS),),
    )


def _tenth(value: float) -> float:
    return round(value, 1)
