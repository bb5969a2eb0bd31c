"""What has moved, in a line with its reason, and what may be done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from urllib.parse import urlencode

from pointage.desk.answers import Bake
from pointage.desk.moves.causes import MoveCause, MoveCauseKind
from pointage.desk.moves.desk import Moves, TakenMove
from pointage.desk.moves.move import (
    BakeMoved,
    LetGo,
    Move,
    MovedStep,
    MoveKind,
    NearestStep,
    OfferedMoves,
)
from pointage.desk.moves.step import InTheWay
from pointage.desk.now.bakes.bake import oven_of
from pointage.desk.wording import odds_words, title
from pointage.desk.wording.odds import in_hundred
from pointage.language import mark, say, say_many
from pointage.timetable.plan import Step, StepKind
from pointage.web.screens.moves.page import MoveNote, MovesBlock, MovesNote, TakenNote
from pointage.web.words.clock import Clock
from pointage.web.words.words import length, lower_first, upper_first

SAID = 2
"""So many steps that move are named in the line; all of them below it."""
_TITLES = {
    MoveKind.LEAST: mark("Change the plan"),
    MoveKind.WARM: mark("Warmer, in the {place}"),
    MoveKind.COLD: mark("Into the fridge when shaped"),
    MoveKind.LATER: mark("Later bread"),
    MoveKind.AWAKE: mark("Stay up for it"),
    MoveKind.AGAIN: mark("Build another levain"),
}
_ROUGH = timedelta(minutes=5)
WORTH_SAYING = 10
"""Odds in 100 from which going on by the signs is spoken of, where no plan keeps it (ours)."""


def moves_block(
    found: Moves, taken: TakenMove | None, bakes: Sequence[Bake], clock: Clock, back: str
) -> MovesBlock:
    """What stands on a page of what has moved. back: the page."""
    by_key = {each.key: each for each in bakes}
    note = None if not found.causes else moves_note(found, by_key, clock)
    undo = None
    if taken is not None:
        formulas = ", ".join(taken.formulas)
        words = say("Plan changed: {formulas}", formulas=formulas)
        if taken.let_go:
            words = say("No step is held at its time any more: {formulas}", formulas=formulas)
        undo = TakenNote(words, clock.moment(taken.at), taken.offer)
    return MovesBlock(() if note is None else (note,), undo, back=back)


def moves_note(
    found: Moves,
    bakes: Mapping[str, Bake],
    clock: Clock,
    sent: tuple[tuple[str, str], ...] = (),
) -> MovesNote:
    """What has moved, and what may be done."""
    several = len(bakes) > 1
    first = next((e for e in found.causes if e.kind is not MoveCauseKind.FOLD), found.causes[0])
    bake = bakes[first.bake]
    reason = reason_words(first, bake, clock, several=several)
    if first.kind is MoveCauseKind.FOLD:
        return MovesNote(say("{reason}. Fold now, or leave it out: nothing else moves.",
                             reason=reason))  # fmt: skip
    offer = found.offer
    if offer is None:
        return MovesNote(f"{reason}.", waits=found.waits)
    if offer.step is not None:
        return _step_note(offer, offer.step, first, clock, sent)
    return _offered_note(offer, first, reason, clock, sent)


def _offered_note(
    offer: OfferedMoves,
    first: MoveCause,
    reason: str,
    clock: Clock,
    sent: tuple[tuple[str, str], ...],
) -> MovesNote:
    """What may be done, once it is known. first: what it is about; reason: the same in words."""
    bake, several = offer.bakes[first.bake], len(offer.bakes) > 1
    if offer.unusable is not None:
        again = say("{reason}. It cannot be planned again: {why}.",
                    reason=reason, why=str(offer.unusable))  # fmt: skip
        return MovesNote(again, again=_again(bake))
    others = tuple(_move(each, first.bake, offer, clock) for each in offer.others)
    least = offer.least
    if first.bake in offer.lost:
        return MovesNote(_lost_words(reason, bake, offer, clock), None, others, sent=sent,
                         again=_again(bake))  # fmt: skip
    if least is None:
        line = say("{reason}. Everything after it can stay as planned.", reason=reason)
        if offer.stay and offer.going_on is not None:
            line = say("{reason}. Go on by the signs: bread at {ready} is {odds}, likelier than by "
                       "another plan.", reason=reason, ready=clock.text(bake.plan.ready),
                       odds=odds_words(offer.going_on))  # fmt: skip
        return MovesNote(line, others=others, sent=sent)
    take = MoveNote(say(_TITLES[MoveKind.LEAST]), "", least.token)
    changes = tuple(_step_words(each, offer, clock, several=several) for each in least.moved)
    wanted = bake.plan.ready + first.late
    mine = [each for each in least.bakes if each.bake.key == first.bake]
    if first.kind is MoveCauseKind.WANTED and any(each.wanted > wanted for each in mine):
        reason = say("It cannot be ready at {wanted}", wanted=clock.text(wanted))
    line = say(
        "{reason}: {moves}.", reason=reason, moves=_move_words(least, first.bake, offer, clock)
    )
    if least.odds is not None and offer.going_on is not None and not all(e.on_time for e in mine):
        line = say("{line} That is {odds}; going on by the signs, bread at {ready} is {before}.",
                   line=line, odds=odds_words(least.odds), ready=clock.text(bake.plan.ready),
                   before=odds_words(offer.going_on))  # fmt: skip
    shown = changes if sent or len(changes) > SAID else ()
    return MovesNote(line, take, others, shown, sent=sent)


_IN_THE_WAY = {
    InTheWay.ASLEEP: mark("some of that work would fall into your sleep"),
    InTheWay.AWAY: mark("you are away then"),
    InTheWay.HANDS: mark("your hands are at another bake then"),
    InTheWay.OVEN: mark("another bake is in the oven then"),
    InTheWay.BREAD: mark(
        "what goes into it would not be ripe or risen, or a later step would fall into your sleep"
    ),
}


def _step_note(
    offer: OfferedMoves,
    found: NearestStep,
    cause: MoveCause,
    clock: Clock,
    sent: tuple[tuple[str, str], ...],
) -> MovesNote:
    """What a step at another time would move, or why it cannot be then and what is nearest."""
    bake, least = offer.bakes[cause.bake], offer.least
    step = next(each for each in bake.plan.steps if each.key == cause.step)
    name, wanted = title(step), clock.text(step.start + cause.late)
    at = wanted if found.at is None else clock.text(found.at)
    line = reason = say("{step} at {at}", step=name, at=at)
    if found.why is not None:
        line = reason = say("{step} at {wanted} cannot be: {why}",
                            step=name, wanted=wanted, why=say(_IN_THE_WAY[found.why]))  # fmt: skip
    if found.why is not None and found.at is not None:
        line = say("{why}. The nearest is {at}", why=line, at=at)
    if least is None:
        if found.why is None:
            line = say("{line}, as it is planned", line=line)
        elif found.at is not None:
            line = say("{why}. What is planned is the nearest", why=reason)
        return MovesNote(say("{line}.", line=line), sent=sent)
    moves = _move_words(least, cause.bake, offer, clock, but=step)
    take = MoveNote(say(_TITLES[MoveKind.LEAST]), "", least.token)
    several = len(offer.bakes) > 1
    changes = tuple(_step_words(each, offer, clock, several=several) for each in least.moved)
    words = say("{line}: {moves}.", line=line, moves=moves)
    return MovesNote(words, take, (), changes, sent=sent)


def _lost_words(reason: str, bake: Bake, offer: OfferedMoves, clock: Clock) -> str:
    ready = clock.text(bake.plan.ready)
    if offer.going_on is not None and in_hundred(offer.going_on) >= WORTH_SAYING:
        odds = odds_words(offer.going_on)
        return say("{reason}. No plan by the clock keeps {ready}. Go on by the signs: that is "
                   "{odds}.", reason=reason, ready=ready, odds=odds)  # fmt: skip
    if offer.others:
        return say("{reason}. In your waking hours it cannot be ready by {ready}, nor in the "
                   "twelve hours after.", reason=reason, ready=ready)  # fmt: skip
    return say("{reason}. It can no longer be ready by {ready}, nor in the twelve hours after.",
               reason=reason, ready=ready)  # fmt: skip


def reason_words(cause: MoveCause, bake: Bake, clock: Clock, *, several: bool = False) -> str:
    """Why a plan is not as it was: "Mix the dough, 45 min overdue"."""
    step = next((each for each in bake.plan.steps if each.key == cause.step), None)
    name = title(step) if step else bake.plan.formula
    if several and step is not None:
        name = say("{formula}, {step}", formula=bake.plan.formula, step=lower_first(name))
    late, span = cause.late > timedelta(), length(_rough(abs(cause.late)))
    match cause.kind:
        case MoveCauseKind.OVERDUE | MoveCauseKind.FOLD:
            words = say("{step}, {span} overdue", step=name, span=span)
        case MoveCauseKind.READING:
            mixture = upper_first((step.mixture if step else "") or name)
            words = say("{mixture}, about {span} behind", mixture=mixture, span=span)
            if not late:
                words = say("{mixture}, about {span} ahead", mixture=mixture, span=span)
        case MoveCauseKind.ASLEEP:
            words = say("{step} falls into hours asleep or away", step=name)
        case MoveCauseKind.OVEN:
            words = say("{oven} is no longer there", oven=oven_of(bake))
        case MoveCauseKind.WANTED:
            at = clock.text((bake.plan.ready if step is None else step.start) + cause.late)
            words = say("Wanted at {wanted}", wanted=at)
            if step is not None:
                words = say("{step}, wanted at {wanted}", step=name, wanted=at)
        case MoveCauseKind.DONE:
            words = say("{step}, done {span} late", step=name, span=span)
            if not late:
                words = say("{step}, done {span} early", step=name, span=span)
    return words


def _rough(span: timedelta) -> timedelta:
    """To five minutes: nobody plans by less."""
    return _ROUGH * round(span / _ROUGH)


def _move(move: Move, about: str, offer: OfferedMoves, clock: Clock) -> MoveNote:
    name = say(_TITLES[move.kind], place=lower_first(move.place))
    words = upper_first(_move_words(move, about, offer, clock))
    if move.odds is None:
        return MoveNote(name, say("{moves}.", moves=words), move.token)
    said = say("{moves}: {odds}.", moves=words, odds=odds_words(move.odds))
    if offer.going_on is not None:
        said = say("{moves}: {odds}; as it stands, {before}.", moves=words,
                   odds=odds_words(move.odds), before=odds_words(offer.going_on))  # fmt: skip
    return MoveNote(name, said, move.token)


def _move_words(
    move: Move, about: str, offer: OfferedMoves, clock: Clock, but: Step | None = None
) -> str:
    """ "shape at 15:05 instead of 14:20; bread still at 09:00", then what becomes of other bread.

    about: the bake that it is for. but: a step that is said already.
    """
    steps = [
        each
        for each in move.moved
        if each.bake == about
        and not each.what.startswith("bake")
        and (but is None or step_called(offer.bakes[about], each.what) != but)
    ]
    named = [_step_words(each, offer, clock, several=False) for each in steps[:SAID]]
    if len(steps) > SAID:
        more = len(steps) - SAID
        named.append(say_many("{n} more step moves", "{n} more steps move", more))
    for each in sorted(move.bakes, key=lambda each: each.bake.key != about):
        named.append(_bread_words(each, clock, of_another=each.bake.key != about))
        if each.edge:
            named.append(_edge_words(each, of_another=each.bake.key != about))
        if each.let_go is not None:
            named.append(_let_go_words(each, each.let_go, clock, about))
    return "; ".join(named)


def _edge_words(moved: BakeMoved, *, of_another: bool) -> str:
    """That a levain is used a little before it is ripe, or a little after."""
    what = say("the levain")
    if of_another:
        what = say("the levain of {formula}", formula=lower_first(moved.bake.plan.formula))
    if moved.edge < timedelta():
        return say("{levain} is a little young when it is used", levain=what)
    return say("{levain} is a little old when it is used", levain=what)


def _let_go_words(moved: BakeMoved, gone: LetGo, clock: Clock, about: str) -> str:
    """ "mix no longer held at 07:00: you are away then"."""
    name, formula = lower_first(title(gone.step)), moved.bake.plan.formula
    if moved.bake.key != about:
        name = say("{formula}, {step}", formula=lower_first(formula), step=name)
    words = say("{step} no longer held at {at}", step=name, at=clock.text(gone.step.start))
    if gone.why is None:
        return words
    return say("{words}, for {why}", words=words, why=say(_IN_THE_WAY[gone.why]))


def _step_words(moved: MovedStep, offer: OfferedMoves, clock: Clock, *, several: bool) -> str:
    bake = offer.bakes[moved.bake]
    if moved.what == "anew" or moved.what.rpartition(" ")[0] in _FRIDGE:
        words = _levain_words(moved, clock)
        if several:
            return say("{formula}: {moves}", formula=bake.plan.formula, moves=words)
        return words
    step = step_called(bake, moved.what)
    name = lower_first(title(step) if step else say("another feed"))
    at, before = clock.text(moved.after), clock.text(moved.before)
    if several:
        return say("{formula}: {step} at {at} instead of {before}",
                   formula=bake.plan.formula, step=name, at=at, before=before)  # fmt: skip
    return say("{step} at {at} instead of {before}", step=name, at=at, before=before)


_FRIDGE = {
    "chill": mark("the levain into the fridge at {at}"),
    "warm": mark("the levain out of the fridge at {at}, into the warm"),
    "no chill": mark("the levain stays in the warm"),
    "no warm": mark("the levain stays in the fridge until it is used"),
}


def _levain_words(moved: MovedStep, clock: Clock) -> str:
    at = clock.text(moved.after)
    if moved.what == "anew":
        return say("another levain from the jar, begun at {at}", at=at)
    return say(_FRIDGE[moved.what.rpartition(" ")[0]], at=at)


def _bread_words(each: BakeMoved, clock: Clock, *, of_another: bool) -> str:
    what = lower_first(each.bake.plan.formula) if of_another else say("bread")
    at, before = clock.text(each.out), clock.text(each.out_before)
    if each.on_time:
        return say("{what} still at {at}", what=what, at=before)
    return say("{what} at {at} instead of {before}", what=what, at=at, before=before)


_KINDS: Mapping[str, Sequence[StepKind]] = {
    "feed": (StepKind.FEED, StepKind.BUILD),
    "soak": (StepKind.SOAK,),
    "bake": (StepKind.BAKE,),
    "mix": (StepKind.MIX,),
    "divide": (StepKind.DIVIDE,),
}


def step_called(bake: Bake, what: str) -> Step | None:
    """The step of a plan that `tasks` calls so."""
    name, _, number = what.partition(" ")
    if name not in _KINDS:
        return None
    steps = [each for each in bake.plan.steps if each.kind in _KINDS[name] and not each.left]
    at = int(number or 1) - 1
    return steps[at] if at < len(steps) else None


def _again(bake: Bake) -> str:
    """Where the same bake can be planned anew."""
    query = urlencode({"formula": bake.plan.formula, "pieces": bake.plan.pieces})
    return f"/week/wish?{query}"
