"""The sentences that a shared page's script says, with their parts in braces."""

from __future__ import annotations

from collections.abc import Mapping

from pointage.language import mark, say

SPELLS = {
    "minutes": mark("{n} min"),
    "hours": mark("{n} h"),
    "hoursMinutes": mark("{h} h {m} min"),
}
FORMULA: Mapping[str, str] = {
    **SPELLS,
    "aTime": mark("A day and a time are needed."),
    "asWritten": mark("as in the formula"),
    "bake": mark("Bake, {minutes} at {oven}"),
    "bakeLoad": mark("Bake load {n} of {of}, {minutes} at {oven}"),
    "band": mark("In nine cases of ten not before {low}, in nine of ten by {high}."),
    "batch": mark("Amounts"),
    "between": mark("Between {low} and {high}."),
    "bowls": mark("It rises to {litres} l: share it over {n} of your vessels."),
    "build": mark("Build: {stage}"),
    "byCold": mark("In the fridge for {h}."),
    "byHours": mark("The bulk takes {bulk}."),
    "byScale": mark("All amounts in proportion. A larger dough follows its place more slowly."),
    "bySeed": mark("So that it is ripe on time; taken {taken} % of the way through its ripe time."),
    "byWater": mark("Water of the dough at {warmth}."),
    "culture": mark("ripe culture"),
    "cut": mark("Cool it; cut from {at} on."),
    "dayTime": mark("{day}, {time}"),
    "divide": mark("Divide into {n} of {mass}"),
    "doubtBake": mark(
        "Not sure of the oven: this mass, oven or height is outside what was calculated. Go by "
        "colour and by the core."
    ),
    "doubtBatch": mark("Not sure: the hours are calculated for {least} to {most} of dough."),
    "doubtBuild": mark(
        "The first build cannot be brought to its temperature by its water alone: stand the "
        "culture in the warm first, or take its hours for a rough guess."
    ),
    "doubtLoads": mark(
        "The last load waits too long in this kitchen: make fewer, or keep its pieces cooler."
    ),
    "doubtNever": mark(
        "Not sure: in this kitchen it does not ripen within two days, or hardly rises."
    ),
    "doubtPace": mark("Not sure: no culture that was calculated is as slow or as quick as that."),
    "doubtStands": mark("Not sure: the hours are calculated for a place of {low} to {high}."),
    "doubtSwing": mark(
        "Not sure: your room moves more between day and night than was calculated for so slow a "
        "dough; {swing} either way is the most. Look at it earlier and more often."
    ),
    "doubtWater": mark(
        "The dough cannot be brought to its temperature by water alone: that would need water at "
        "{warmth}. Cool or warm the flour, or take the hours for a rough guess."
    ),
    "doubtWet": mark("Your culture brings more flour or water than this levain takes."),
    "doughAt": mark("The dough should be at {warmth} after mixing."),
    "fitCold": mark("Fit to bake from {from} to {until}."),
    "fitWarm": mark("When it stands at {rise}: fit to bake from {from} to {until}."),
    "flour": mark("Flour"),
    "flourAndRoom": mark("Flour and room"),
    "fold": mark("Fold, {n} of {of}"),
    "follows": mark("What follows"),
    "fridge": mark("Fridge"),
    "ice": mark("Of it {mass} as ice, where the tap gives {tap}."),
    "inYourSleep": mark("This falls in the hours in which you sleep."),
    "ingredient": mark("Ingredient"),
    "intoFridge": mark("Into the fridge at {at}, covered."),
    "mass": mark("Mass"),
    "mix": mark("Mix the dough"),
    "neverFits": mark(
        "No time within three days fits. Try other hours of sleep, or the last proof in the fridge."
    ),
    "nextLoad": mark("{n} pieces, once the oven is hot again."),
    "noPlan": mark("Nothing that was calculated fits this kitchen. What is wrong stands below."),
    "noSleep": mark("Nothing fits around your sleep for {out}: something falls in the night."),
    "notUsed": mark("Not used this time."),
    "out": mark("Out of the oven"),
    "ovenAndHeight": mark("Oven and height"),
    "percent": mark("{n} % of its flour"),
    "pot": mark("a covered pot"),
    "ripe": mark("Ripe from {from} to {until}."),
    "ripeBand": mark("Perhaps already at {low}, or still at {high}: go by its height."),
    "risenTo": mark("When it has risen to {rise} times its volume after mixing."),
    "seed": mark("Culture in the levain"),
    "shape": mark("Shape"),
    "shapeTin": mark("Shape into tins"),
    "sheet": mark("a sheet"),
    "soak": mark("Put to soak: {stage}"),
    "standWarm": mark("Covered, where the dough stood."),
    "stands": mark("Where the dough stands"),
    "start": mark("{step} on {at}; out of the oven on {out}."),
    "stone": mark("a hot stone"),
    "sureBands": mark(
        "The earliest and latest times hold nine times in ten for cultures of your pace. Where you "
        "do not know its pace they are wide: time it once, and type that in."
    ),
    "sureHours": mark(
        "The hours are read from a table that was calculated beforehand. Against the full "
        "calculation in 5,000 kitchens drawn at random, 95 of 100 times were within "
        "20 minutes, the water within {kelvin} and the bake within 2 minutes. Outside the table it "
        "says so."
    ),
    "sureRest": mark(
        "The dough decides, not the clock: look at it when it is near, and go by what you see."
    ),
    "times": mark("{n} of {mass}"),
    "tin": mark("a tin"),
    "tooLate": mark("Too late for {out}: it would have begun on {at}."),
    "two": mark("{one}, {other}"),
    "usualFeed": mark("1 part of culture, 2 of flour, 2 of water, at {warmth}"),
    "waterAt": mark("Water at {warmth}"),
    "writtenFor": mark("Written for"),
    "yours": mark("Yours"),
}
RAISING: Mapping[str, str] = {
    **SPELLS,
    "aTime": mark("A day and a time are needed."),
    "between": mark("Between {low} and {high}."),
    "day": mark("Day {n}: {day}, {time}"),
    "either": mark("{one}, or perhaps: {other}"),
    "expect": mark("By the next day: {phase}. Risen to {rise} ({low} to {high}), pH {ph}."),
    "feed": mark("Stir in {flour} of flour and {water} of water at {warmth}."),
    "feel": mark("Feel: {sign}"),
    "goOver": mark(
        "Once it may be trusted, go over to the usual feed: 1 part of culture to 2 of flour and 2 "
        "of water, then 1 to 5 and 5, and keep only as much as {mass} of flour makes."
    ),
    "keepOnly": mark("Keep {mass} of it and discard the rest."),
    "lid": mark("Lid {how}."),
    "neverReady": mark("In such a room it is not likely to be ready within {n} days."),
    "noFile": mark("Not a file of this page: {names}."),
    "outside": mark("Not sure: the days are calculated for a place of {low} to {high}."),
    "ready": mark("It may most likely be trusted from day {n}, if the signs are as they should."),
    "readyBetween": mark(
        "It may most likely be trusted from day {n} to {late}, if the signs are as they should."
    ),
    "readyFrom": mark(
        "It may most likely be trusted from day {n} at the soonest; perhaps much later."
    ),
    "room": mark("Room"),
    "sawNote": mark("What you saw and smelled"),
    "sawPh": mark("pH, if measured"),
    "sawRise": mark("Highest, in times its volume"),
    "see": mark("See: {sign}"),
    "smallJar": mark("The jar is too small: it takes one of {litres} litres or more."),
    "smell": mark("Smell: {sign}"),
    "span": mark("{low} to {high}"),
    "stir": mark("Stir it and wait; no feed."),
    "unless": mark("If not: {sign}"),
}
CULTURE: Mapping[str, str] = {
    **SPELLS,
    "again": mark("It may still rise little: it comes back feed by feed."),
    "aTime": mark("A day and a time are needed."),
    "between": mark("Between {low} and {high}."),
    "dayN": mark("Day {n}"),
    "fed": mark("Add {water} of water, then {flour} of flour."),
    "feed": mark("Feed it"),
    "height": mark(
        "At its height between {from} and {until}. Mark its level with a band round the jar."
    ),
    "keepOnly": mark("Keep {mass} of it and throw the rest away."),
    "longCold": mark("Not sure: the hours are calculated for at most {n} days in the cold."),
    "noRhythm": mark("In such a room no feeds keep it for long: find it a milder place."),
    "outside": mark("Not sure: the hours are calculated for a room of {low} to {high}."),
    "ripe": mark("Fed so it is ripe from {low} to {high} after each feed."),
    "ripeFrom": mark("Fed so it is ripe from {low} after each feed."),
    "same": mark("Feed it the same way"),
    "wake": mark("Feed it"),
    "wakesAtOnce": mark("One feed refreshes it. The week takes {flour} of flour."),
    "wakesIn": mark(
        "It takes {n} feeds to refresh it; bake with it no sooner. The week takes {flour} of flour."
    ),
    "woken": mark("Stir {water} of water into {seed} of it, then {flour} of flour ({flours})."),
}


def formula_texts() -> dict[str, str]:
    """By name, in the language of the page."""
    return {key: say(text) for key, text in FORMULA.items()}


def raising_texts() -> dict[str, str]:
    """The same of the page of a new culture."""
    return {key: say(text) for key, text in RAISING.items()}


def culture_texts() -> dict[str, str]:
    """The same of the page of a culture that is given away."""
    return {key: say(text) for key, text in CULTURE.items()}
