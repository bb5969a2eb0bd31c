"""Write a chosen plan down as steps for people: what, when, where and how much."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.formula.formula import Stage, StageKind
from pointage.formula.ingredients import ingredient
from pointage.formula.scale import ScaledStage
from pointage.kitchen.kitchen import CultureAtHand
from pointage.kitchen.vessel import Lid
from pointage.timetable.amounts import Amounts, pouring, seed_grams
from pointage.timetable.bands import Fed, Run, standing_in
from pointage.timetable.doughs import SOAK_MINUTES, fold_times
from pointage.timetable.levains import FEED_MINUTES
from pointage.timetable.oven import bake_note, load_of
from pointage.timetable.plan import Ladder, Step, StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.solve import LIGHT_MINUTES
from pointage.timetable.stands import IN_TUB

FOLDING = "Wet hands; all four sides over; covered again."
SEALED = "Lid loose: gas can burst a sealed jar."
TIGHT = "{} closes tight: leave its lid ajar, for gas can burst it."
SCALDS = "Stand aside as you open the door: steam scalds."


def steps_of(problem: Problem, thread: Thread, grams: Amounts, run: Run) -> tuple[Step, ...]:
    """All steps of the plan in the order of their start."""
    found = [
        *_feeds(problem, grams, run),
        *_soaks(problem, thread, grams),
        *_working(problem, thread, grams, run),
        *_baking(problem, thread, run),
    ]
    return tuple(sorted(found, key=lambda step: (step.start, step.end)))


def _feeds(problem: Problem, grams: Amounts, run: Run) -> list[Step]:
    culture = problem.culture.name
    steps = []
    waking = len(run.feeds) - len(grams.builds)
    for i, fed in enumerate(run.feeds):
        mixture = culture
        if i >= waking:
            stage = grams.builds[i - waking]
            pours = _build_pours(problem, stage, fed, first=i == 0)
            mixture = stage.name
            kind, title = StepKind.BUILD, _build_title(stage)
        else:
            pours = _feed_pours(problem, grams.feeds[i], fed, first=i == 0)
            kind = StepKind.FEED
            title = f"Wake {culture}" if i == 0 else f"Feed {culture} again"
        stood = standing_in(problem.stands, fed.stand, fed.course, fed.taken, ripe=True)
        notes = [_feed_note(problem, i, last=i == waking), *_lid(fed, run.feeds[:i]), stood.caution]
        steps.append(
            Step(
                key=f"{kind.value}-{i + 1}",
                kind=kind,
                title=title,
                start=fed.at,
                end=fed.at + timedelta(minutes=FEED_MINUTES),
                hands=True,
                place=fed.recipe.place.name,
                note=" ".join(filter(None, notes)),
                mixture=mixture,
                grams=float(sum(g for _, g, _ in pours)),
                ladder=pouring(problem.kitchen, fed.stand.vessel, pours),
                water_temperature_c=_tenth(fed.mixed.water_c),
                mixture_temperature_c=_tenth(fed.mixed.mixture.temperature_c),
                ripe_odds=fed.odds,
                standing=stood,
            )
        )
    return steps


def _build_title(stage: ScaledStage) -> str:
    name = stage.name.lower()
    return f"Mix the {name}" if name.endswith("build") else f"Build the {name}"


def _feed_note(problem: Problem, number: int, *, last: bool) -> str:
    """last: whether it is the last that takes from the culture."""
    culture = problem.culture
    notes = []
    if number == 0:
        notes.append(f"{culture.name} from the {culture.place.lower()}, mixed in well.")
    if last:
        kept = (
            f"Feed what is left of {culture.name} up to {culture.mass_g:.0f} g"
            if number == 0
            else f"Feed a little of what is left of {culture.name} up to {culture.mass_g:.0f} g"
        )
        rests = f"then it goes to the {culture.place.lower()}"
        notes.append(f"{kept}{_left_to_start(culture)}; {rests}.")
    return " ".join(notes)


def _left_to_start(culture: CultureAtHand) -> str:
    """How long what is kept stands warm before its rest, as it is wont to."""
    if culture.warm_hours < 1 or culture.warm_place == culture.place:
        return ""
    return f", and leave it {culture.warm_hours:.0f} h in the {culture.warm_place.lower()}"


def _lid(fed: Fed, before: Sequence[Fed]) -> list[str]:
    """What to mind of its lid: with the first feed, and once for each vessel that closes tight."""
    vessel = fed.stand.vessel
    if vessel.lid is Lid.TIGHT:
        told = any(each.stand.vessel == vessel for each in before)
        return [] if told else [TIGHT.format(vessel.name)]
    return [] if before else [SEALED]


def _feed_pours(
    problem: Problem, feed: dict[str, Fraction], fed: Fed, *, first: bool
) -> list[tuple[str, Fraction, float | None]]:
    seed = problem.culture.name if first else f"{problem.culture.name}, ripe"
    flours = [(_label(kind), g, None) for kind, g in feed.items() if kind not in ("seed", "water")]
    return [
        (seed, feed["seed"], None),
        ("Water", feed["water"], _tenth(fed.mixed.water_c)),
        *flours,
    ]


def _build_pours(
    problem: Problem, stage: ScaledStage, fed: Fed, *, first: bool
) -> list[tuple[str, Fraction, float | None]]:
    ripe = "" if first else ", ripe"
    seeds = stage.takes or {problem.culture.name: seed_grams(stage)}
    pours: list[tuple[str, Fraction, float | None]] = [
        (name + ripe, grams, None) for name, grams in seeds.items()
    ]
    rows = sorted(stage.rows, key=lambda row: row.name != "water")
    for row in rows:
        if row.name != "seed":
            water = _tenth(fed.mixed.water_c) if row.name == "water" else None
            pours.append((_label(row.name), row.grams, water))
    return pours


def _soaks(problem: Problem, thread: Thread, grams: Amounts) -> list[Step]:
    steps = []
    for i, (stage, at) in enumerate(zip(problem.formula.soakers, thread.soaks, strict=True)):
        rows = grams.batch.stage(stage.name).rows
        pours: list[tuple[str, Fraction, float | None]] = [
            (_label(row.name), row.grams, None)
            for row in sorted(rows, key=lambda row: row.name == "water")
        ]
        steps.append(
            Step(
                key=f"soak-{i + 1}",
                kind=StepKind.SOAK,
                title=_soak_title(stage),
                start=at,
                end=at + timedelta(minutes=SOAK_MINUTES),
                hands=True,
                place=problem.room.name,
                note=_soak_note(stage),
                mixture=stage.name,
                grams=float(sum(g for _, g, _ in pours)),
                ladder=_in_a_tub(problem, pours, 1.3),
            )
        )
    return steps


def _soak_title(stage: Stage) -> str:
    if stage.kind is StageKind.SCALD:
        return f"Pour boiling water on the {stage.name.lower()}"
    return f"Put the {stage.name.lower()} to soak"


def _in_a_tub(
    problem: Problem, pours: Sequence[tuple[str, Fraction, float | None]], grows: float
) -> Ladder:
    """A ladder in a tub with `grows` litres for each kilogram."""
    grams = float(sum(g for _, g, _ in pours))
    vessel = problem.kitchen.vessel_for(IN_TUB, grams / 1000 * grows, grams)
    return pouring(problem.kitchen, vessel, pours)


def _soak_note(stage: Stage) -> str:
    if stage.kind is StageKind.SCALD:
        return "Boiling water over the flour, stirred at once: it scalds hands as well. Covered."
    return "Covered, at room temperature."


def _working(problem: Problem, thread: Thread, grams: Amounts, run: Run) -> list[Step]:
    process = problem.process
    batch = float(grams.batch.total_g)
    mixed = thread.mix + timedelta(minutes=process.mix_minutes)
    divided = thread.divide + timedelta(minutes=process.divide_minutes)
    rested = divided + timedelta(minutes=process.bench_rest_minutes)
    name = problem.formula.name
    pours = _dough_pours(problem, grams, run)
    bulk = standing_in(problem.stands, run.bulk_stand, run.bulk, thread.divide, ripe=False)
    steps = [
        Step(
            key="mix",
            kind=StepKind.MIX,
            title="Mix the dough",
            start=thread.mix,
            end=mixed,
            hands=True,
            place=problem.room.name,
            note=" ".join(filter(None, [_mix_note(problem, run), bulk.caution])),
            mixture=name,
            grams=float(sum(g for _, g, _ in pours)),
            ladder=pouring(problem.kitchen, run.bulk_stand.vessel, pours),
            water_temperature_c=_tenth(run.dough.water_c),
            mixture_temperature_c=_tenth(run.dough.mixture.temperature_c),
            ripe_odds=run.feeds[-1].odds,
        ),
        Step(
            key="bulk",
            kind=StepKind.BULK,
            title="Bulk",
            start=mixed,
            end=thread.divide,
            hands=False,
            place=problem.bulk_place.name,
            note=f"Until it stands at {process.bulk_rise[1]:.3g} times its volume.",
            mixture=name,
            grams=batch,
            mixture_temperature_c=_tenth(run.dough.mixture.temperature_c),
            standing=bulk,
        ),
        Step(
            key="divide",
            kind=StepKind.DIVIDE,
            title=_divide_title(problem),
            start=thread.divide,
            end=divided,
            hands=True,
            place=problem.room.name,
            mixture=name,
            grams=float(problem.piece_g),
            pieces=problem.pieces,
            note=f"{problem.pieces} pieces of {float(problem.piece_g):g} g.",
        ),
        Step(
            key="shape",
            kind=StepKind.SHAPE,
            title="Shape into tins" if process.shape == "tin" else "Shape",
            start=rested,
            end=thread.shaped,
            hands=True,
            place=problem.room.name,
            mixture=name,
            pieces=problem.pieces,
        ),
    ]
    if process.bench_rest_minutes:
        steps.append(
            Step("rest", StepKind.REST, "Bench rest", divided, rested, False, problem.room.name,
                 mixture=name, pieces=problem.pieces)
        )  # fmt: skip
    for number, at in enumerate(fold_times(process, thread.mix), start=1):
        added = [each for each in problem.formula.additions if each.fold == number]
        pours = [pour for each in added for pour in _addition_pours(grams, each)]
        with_it = f", with the {' and the '.join(each.name.lower() for each in added)}"
        steps.append(
            Step(
                key=f"fold-{number}",
                kind=StepKind.FOLD,
                title=f"Fold, {number} of {process.folds}{with_it if added else ''}",
                start=at,
                end=at + timedelta(minutes=process.fold_minutes),
                hands=True,
                place=problem.bulk_place.name,
                mixture=name,
                note=" ".join(filter(None, [FOLDING, _late_note(problem, added)])),
                grams=float(sum(g for _, g, _ in pours)),
                ladder=_in_a_tub(problem, pours, 1.4) if pours else None,
            )
        )
    return [*steps, _proof(problem, thread, run)]


def _divide_title(problem: Problem) -> str:
    return "Divide" if problem.process.shape == "tin" else "Divide and preshape"


def _mix_note(problem: Problem, run: Run) -> str:
    wanted = problem.process.dough_temperature.celsius
    note = f"For a dough at {wanted:g} °C."
    if not run.dough.reached:
        note = (
            f"Water alone cannot bring it to {wanted:g} °C; it comes to "
            f"{run.dough.mixture.temperature_c:.1f} °C, and the times below are for that."
        )
    if problem.formula.of_kind(StageKind.OLD_DOUGH):
        note += " What still ferments in the old dough is not reckoned with: look sooner."
    return f"{note} Raw flour and dough are not for tasting."


def _dough_pours(
    problem: Problem, grams: Amounts, run: Run
) -> list[tuple[str, Fraction, float | None]]:
    pours: list[tuple[str, Fraction, float | None]] = []
    dough = grams.batch.stage(problem.formula.dough.name)
    water = [row for row in dough.rows if row.name == "water"]
    if water:
        pours.append(("Water", water[0].grams, _tenth(run.dough.water_c)))
    for stage in problem.formula.stages:
        if stage.name in dough.takes and stage.kind is not StageKind.ADDITION:
            state = {StageKind.LEVAIN: ", ripe", StageKind.OLD_DOUGH: ", kept"}.get(stage.kind, "")
            pours.append((stage.name + state, dough.takes[stage.name], None))
    loose = [row for row in dough.rows if row.name != "water"]
    loose.sort(key=lambda row: row.name == "salt")
    pours += [(_label(row.name), row.grams, None) for row in loose]
    for stage in problem.formula.additions:
        if not stage.fold:
            pours += _addition_pours(grams, stage)
    return pours


def _addition_pours(grams: Amounts, stage: Stage) -> list[tuple[str, Fraction, float | None]]:
    scaled = grams.batch.stage(stage.name)
    pours: list[tuple[str, Fraction, float | None]] = [
        (name, each, None) for name, each in scaled.takes.items()
    ]
    return pours + [(_label(row.name), row.grams, None) for row in scaled.rows]


def _late_note(problem: Problem, added: Sequence[Stage]) -> str:
    """Water that is held back should not cool the dough: the times are for its temperature."""
    if not any("water" in each.ingredients for each in added):
        return ""
    return f"The water at {problem.process.dough_temperature.celsius:g} °C, worked in first."


def _proof(problem: Problem, thread: Thread, run: Run) -> Step:
    process = problem.process
    wanted = process.retard_rise if thread.retarded else process.proof_rise
    assert wanted is not None
    return Step(
        key="retard" if thread.retarded else "proof",
        kind=StepKind.RETARD if thread.retarded else StepKind.PROOF,
        title="Retard" if thread.retarded else "Proof",
        start=thread.shaped,
        end=thread.loads[0],
        hands=False,
        place=problem.last_place(retarded=thread.retarded).name,
        mixture=problem.formula.name,
        pieces=problem.pieces,
        note=f"Covered, until about {wanted[1]:.3g} times the volume after mixing.",
        standing=standing_in(
            problem.stands, run.proof_stand, run.proof, thread.loads[0], ripe=False
        ),
    )


def _baking(problem: Problem, thread: Thread, run: Run) -> list[Step]:
    process, oven = problem.process, problem.oven
    celsius = process.oven.celsius
    each = timedelta(minutes=process.load_minutes + problem.bake_minutes)
    room = load_of(oven, process)
    done = bake_note(problem.oven_bake, problem.bake_minutes)
    steps = [
        Step(
            key="preheat",
            kind=StepKind.PREHEAT,
            title="Light the oven",
            start=thread.preheat,
            end=thread.preheat + timedelta(minutes=LIGHT_MINUTES),
            hands=True,
            place=oven.name,
            capacity=oven.name,
            oven_temperature_c=celsius,
        )
    ]
    for i, start in enumerate(thread.loads):
        several = f", load {i + 1} of {len(thread.loads)}" if len(thread.loads) > 1 else ""
        steps.append(
            Step(
                key=f"bake-{i + 1}",
                kind=StepKind.BAKE,
                title=f"Bake{several}",
                start=start,
                end=start + each,
                hands=True,
                place=oven.name,
                capacity=oven.name,
                note=" ".join(filter(None, [process.bake_note, done, SCALDS if i == 0 else ""])),
                mixture=problem.formula.name,
                pieces=min(room, problem.pieces - i * room),
                oven_temperature_c=celsius,
            )
        )
    out = steps[-1].end
    return [*steps, _cool(problem, out)]


def _cool(problem: Problem, out: datetime) -> Step:
    return Step(
        key="cool",
        kind=StepKind.COOL,
        title="Cool",
        start=out,
        end=out + timedelta(minutes=problem.process.cool_minutes),
        hands=False,
        place=problem.room.name,
        mixture=problem.formula.name,
        pieces=problem.pieces,
        note="On racks, uncovered, before the knife.",
    )


def _label(name: str) -> str:
    return ingredient(name).label


def _tenth(celsius: float) -> float:
    return round(celsius, 1)
