"""One step for hands, in full: when, where, how much, how warm, and its ladder."""

from __future__ import annotations

from datetime import timedelta
from zoneinfo import ZoneInfo

from pointage.desk.answers import Bake, StepNews
from pointage.desk.wording import all_of, is_likely, note, odds_words, pour_label, title
from pointage.language import mark, say, say_many
from pointage.timetable.plan import Ladder, Step, StepKind
from pointage.web.screens.bench.page import Action, LadderTable, PourRow
from pointage.web.screens.bench.slip import Slip
from pointage.web.words.clock import Clock
from pointage.web.words.words import (
    grams,
    length,
    lower_first,
    mass,
    warmth,
)

SOON = timedelta(hours=24)  # what lies further off is named by its day alone
LATE_AFTER = timedelta(minutes=5)  # nobody is blamed for less

COUNTED = frozenset({StepKind.DIVIDE, StepKind.SHAPE, StepKind.BAKE, StepKind.COOL})


def action(bake: Bake, step: Step, clock: Clock, slip: Slip | None = None) -> Action:
    """A step as the Bench prints it; `slip` if it is about this step's display."""
    news = bake.step_news(step.key)
    ladder = news.ladder or step.ladder
    begun = step.start <= clock.now
    overdue = clock.now - step.end
    mine = slip if slip and slip.concerns(bake, step, "display") else None
    return Action(
        bake=bake.key,
        step=step.key,
        title=title(step),
        what_for=bake.plan.formula,
        due_word="by" if begun else "at",
        due=clock.moment(step.end if begun else step.start),
        away="" if begun or step.start - clock.now > SOON else clock.ahead(step.start),
        late=say("{overdue} late", overdue=length(overdue)) if overdue >= LATE_AFTER else "",
        place=lower_first(step.place),
        amount=_amount(bake, step),
        temperatures=_temperatures(step, ladder),
        ripe=_ripe(step),
        likely=step.ripe_odds is not None and is_likely(step.ripe_odds),
        note=note(
            step, ZoneInfo(bake.plan.zone), counted=step.kind in COUNTED and bool(step.pieces)
        ),
        ladder=ladder_table(ladder, news, mine) if ladder else None,
        keep=action(bake, step.keep, clock, slip) if step.keep else None,
    )


def _amount(bake: Bake, step: Step) -> str:
    if step.kind in COUNTED and step.pieces:
        if step.kind is StepKind.DIVIDE:
            each = mass(bake.plan.piece_g)
            return say_many("{n} piece of {mass}", "{n} pieces of {mass}", step.pieces, mass=each)
        return say_many("{n} piece", "{n} pieces", step.pieces)
    return mass(step.grams) if step.grams and not step.ladder else ""


def _temperatures(step: Step, ladder: Ladder | None) -> tuple[str, ...]:
    """What the thermometer must say; the water's stands in the ladder when there is one."""
    poured = ladder is not None and any(pour.temperature_c is not None for pour in ladder.pours)
    facts = (
        (mark("water {warmth}"), None if poured else step.water_temperature_c),
        (mark("aim for {warmth}"), step.mixture_temperature_c),
        (mark("oven {warmth}"), step.oven_temperature_c),
    )
    return tuple(say(fact, warmth=warmth(value)) for fact, value in facts if value is not None)


def _ripe(step: Step) -> str:
    if step.ripe_odds is None:
        return ""
    odds = odds_words(step.ripe_odds)
    if step.kind is StepKind.MIX:
        return say("Levain ripe in time: {odds}", odds=odds)
    return say("Ripe when needed: {odds}", odds=odds)


def ladder_table(ladder: Ladder, news: StepNews, slip: Slip | None = None) -> LadderTable:
    """The readings of a ladder as they are printed, those that were poured ticked off."""
    step, poured = ladder.step_g, news.poured
    rows = []
    for number, pour in enumerate(ladder.pours):
        done = number < len(poured)
        display = poured[number] if done else pour.display_g
        state = "done" if done else "here" if number == len(poured) else "ahead"
        bowl = ladder.begins(number) if number else None
        rows.append(
            PourRow(
                number=number,
                name=pour_label(pour),
                temperature="" if pour.temperature_c is None else warmth(pour.temperature_c),
                grams=grams(pour.grams, step),
                display=grams(display, step),
                state=state,
                exact_grams=f"{pour.grams:.6g}",
                exact_display=f"{display:.6g}",
                vessel="" if bowl is None else bowl.vessel,
                tare="" if bowl is None else grams(bowl.tare_g, step),
                exact_tare="" if bowl is None else f"{bowl.tare_g:.6g}",
            )
        )
    return LadderTable(
        vessel=ladder.vessel,
        tare=grams(ladder.tare_g, step),
        exact_tare=f"{ladder.tare_g:.6g}",
        step=f"{ladder.step_g:g}",
        pours=tuple(rows),
        last=len(poured) - 1 if poured else None,
        keep=news.keep,
        remark=news.remark,
        wrong=slip.pour if slip else None,
        said=slip.typed if slip else "",
        error=slip.error if slip else "",
        bowls=_bowls(ladder),
    )


def _bowls(ladder: Ladder) -> str:
    if not ladder.more:
        return ""
    names = all_of([each.vessel for each in ladder.bowls])
    count = len(ladder.bowls)
    return say("More than one bowl holds: {n} equal parts, in {bowls}.", n=count, bowls=names)
