"""Print a week on a terminal: what becomes of each wish, then every step by day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from pointage.cli.bakes.timetable import step_lines, upkeep_lines
from pointage.desk.week.file import WishRow
from pointage.desk.week.lean import chosen_for
from pointage.desk.week.plan import PlannedWeek, off_its_pin
from pointage.desk.wording import cautions, odds_words, title
from pointage.desk.wording.arguments import dated
from pointage.desk.wording.lists import all_of
from pointage.desk.wording.needs import need_title
from pointage.desk.wording.odds import in_hundred
from pointage.desk.wording.week import clash_sentence, missed_sentence, parts_words, relief_words
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.shown import clock_text, day_name, day_text
from pointage.timetable.plan import StepKind
from pointage.timetable.week.answer import WeekStatus, WishAnswer
from pointage.timetable.week.question import WantedStage

READY = {
    WantedStage.RIPE: mark("ripe {time}"),
    WantedStage.MIXED: mark("mixed {time}"),
    WantedStage.BULK: mark("bulk over {time}"),
    WantedStage.SHAPED: mark("shaped {time}"),
    WantedStage.BAKED: mark("out {time}"),
}


def week_lines(found: PlannedWeek) -> list[str]:
    """The lines that `pointage week` prints; clock times are in the kitchen's zone."""
    zone, answer = found.kitchen.zone, found.answer
    assert answer is not None, "a week without a wish that can be planned is refused"
    lines = [say("{kitchen}, {zone}", kitchen=found.kitchen.name, zone=zone.key)]
    if found.rows:
        lines += [_status(found), chosen_for(found.lean)]
    elif not answer.upkeep:
        lines.append(say("No wish, and nothing that a culture needs in the next seven days."))
    lines.append("")
    for number, row in enumerate(found.rows):
        lines += _wish_lines(number, row, found.of_row(number), zone)
    for clash in answer.clashes:
        lines += ["", clash_sentence(clash, found.rows, found.numbers, zone)]
        for relief in clash.ways_out:
            lines.append(f"- {relief_words(relief, found.rows, found.numbers, zone)}")
    lines += [missed_sentence(each, zone) for each in found.missed]
    day = None
    for start, step_text in sorted([*_bake_steps(found, zone), *_upkeep_steps(found, zone)]):
        local = start.astimezone(zone)
        if local.date() != day:
            day = local.date()
            lines += ["", day_text(day)]
        lines += step_text
    plans = [each.plan for each in answer.wishes if each.plan]
    warnings = dict.fromkeys(text for plan in plans for text in cautions(plan))
    return [*lines, "", *(say("Warning: {caution}", caution=each) for each in warnings)]


def _bake_steps(found: PlannedWeek, zone: ZoneInfo) -> Iterator[tuple[datetime, list[str]]]:
    """The steps of the bakes, each with its lines."""
    for number, each, step in found.steps():
        of = [number + 1]
        if step.kind is StepKind.FEED:
            of += [found.numbers[other] + 1 for other in each.shared_by]
        parts = found.parts(number, step)
        of += [row + 1 for row, _ in parts if row != number]
        first, *rest = step_lines(step, zone)
        if parts:
            shares = parts_words([(found.rows[row].formula, grams) for row, grams in parts])
            rest.insert(0, f"       {shares}")
        numbers = ", ".join(map(str, sorted(of)))
        yield step.start, [f"{first}  [{numbers}: {_names(found, of)}]", *rest]


def _upkeep_steps(found: PlannedWeek, zone: ZoneInfo) -> Iterator[tuple[datetime, list[str]]]:
    """What the cultures need beside them, each with its lines."""
    for need, step in found.upkeep():
        yield step.start, upkeep_lines(need_title(need), step, zone)


def _names(found: PlannedWeek, numbers: list[int]) -> str:
    return all_of(dict.fromkeys(found.rows[number - 1].formula for number in numbers))


def _status(found: PlannedWeek) -> str:
    answer = found.answer
    assert answer is not None
    if answer.status is WeekStatus.OPTIMAL:
        return say("Of the ways that were weighed, no other is better.")
    if answer.status is WeekStatus.FEASIBLE:
        return say(
            "A good week; at best another would save {hours} of its {penalty} penalty hours.",
            hours=print_number(answer.penalty - answer.bound),
            penalty=print_number(answer.penalty),
        )
    return say("Not every wish can be kept; the others are planned.")


def _wish_lines(number: int, row: WishRow, answer: WishAnswer | None, zone: ZoneInfo) -> list[str]:
    if answer is None:
        faults = row.fault.faults if row.fault else ()
        heading = say("{number}. {formula}: not planned", number=number + 1, formula=row.formula)
        return [heading, *(f"   {fault}" for fault in faults)]
    plan = answer.plan
    if plan is None or answer.ready is None:
        wanted = _wanted(row, answer, zone)
        return [
            say("{number}. {formula}, {wanted}: cannot be kept",
                number=number + 1, formula=row.formula, wanted=wanted)
        ]  # fmt: skip
    at = say(READY[answer.wish.stage], time=_clock(answer.ready.astimezone(zone)))
    line = say(
        "{number}. {formula}, {pieces} of {mass} g, {wanted}: {at}",
        number=number + 1,
        formula=row.formula,
        pieces=plan.pieces,
        mass=print_number(plan.piece_g),
        wanted=_wanted(row, answer, zone),
        at=at,
    )
    lines = [line, *_pinned_line(answer, zone)]
    if answer.odds is None:
        return lines
    odds = say(
        "kept if you go by the signs: {odds}; by the clock alone {number} in 100",
        odds=odds_words(answer.odds.by_signs),
        number=in_hundred(answer.odds.by_clock),
    )
    return [*lines, f"   {odds}"]


def _pinned_line(answer: WishAnswer, zone: ZoneInfo) -> Iterator[str]:
    """That the step which is wanted at a time cannot be then, and what is nearest."""
    found = off_its_pin(answer)
    if found is None:
        return
    at, step = found
    wanted, nearest = (_clock(each.astimezone(zone)) for each in (at, step.start))
    words = say("{step} at {wanted} cannot be; the nearest is {at}",
                step=title(step), wanted=wanted, at=nearest)  # fmt: skip
    yield f"   {words}"


def _wanted(row: WishRow, answer: WishAnswer, zone: ZoneInfo) -> str:
    times = [dated(at.astimezone(zone)) for at in row.wanted]
    if row.earliest:
        return say("as early as can be")
    if len(times) == 2:
        return say("between {first} and {last}", first=times[0], last=times[1])
    return say("by {time}", time=times[0] if times else dated(answer.wish.last.astimezone(zone)))


def _clock(local: datetime) -> str:
    return f"{day_name(local)} {clock_text(local)}"
