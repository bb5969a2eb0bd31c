"""The forms that write of a culture: how each is sent, and how it is seen that it took effect."""

from __future__ import annotations

from collections.abc import Callable
from uuid import uuid4

from tests.faults.form import Form
from tests.whole.hall import Hall


def _holds(entry: str) -> Callable[[Hall], bool]:
    def look(hall: Hall) -> bool:
        line = hall.desk.present().replayed.journal.line(entry)
        return line is not None and line.now is not None

    return look


def begin(hall: Hall) -> Form:
    name = f"Skua {uuid4().hex[:8]}"
    fields = {"entry": str(uuid4()), "name": name, "flour": "rye-whole", "daily": "50g"}
    fields |= {"place": hall.desk.kitchen().places[0].name, "vessel": ""}
    return Form(
        "/cultures/raise",
        fields,
        lambda hall: len(hall.desk.present().life(name).stands) == 1,
        {"entry": 2},
    )


def culture(hall: Hall) -> Form:
    entry = str(uuid4())
    return Form("/cultures/Gannet/measured", {"entry": entry, "rise": "1.2"}, _holds(entry))


def culture_so(hall: Hall) -> Form:
    entry, seen = str(uuid4()), str(uuid4())
    hall.post("/cultures/Gannet/measured", {"entry": seen, "rise": "1.2"})
    return Form("/cultures/Gannet/so", {"entry": entry, "reading": seen}, _holds(entry))


def tapped(hall: Hall) -> Form:
    begun = begin(hall)
    hall.post(begun.path, begun.fields)
    entry, name = str(uuid4()), begun.fields["name"]
    return Form(
        f"/cultures/{name}/raising", {"entry": entry, "touch": "seen=bubbles"}, _holds(entry)
    )


def culture_done(hall: Hall) -> Form:
    entry = str(uuid4())
    fields = {"entry": entry, "culture": "Gannet", "seed_g": "20", "flour.rye-whole": "50"}
    fields |= {"water_g": "50", "place": hall.desk.kitchen().places[0].name}
    return Form("/bench/culture", fields, _holds(entry))


def culture_undo(hall: Hall) -> Form:
    entry, seen = str(uuid4()), str(uuid4())
    hall.post("/cultures/Gannet/measured", {"entry": seen, "rise": "1.2"})
    fields = {"entry": entry, "withdraws": seen}
    return Form("/cultures/Gannet/undo", fields, lambda hall: not _holds(seen)(hall))


def backup(hall: Hall) -> Form:
    name = f"Gannet {uuid4().hex[:8]}"
    fields = {"entry": str(uuid4()), "how": "frozen", "grams": "1", "new_name": name, "sure": "yes"}
    return Form(
        "/cultures/Gannet/backup",
        fields,
        lambda hall: hall.desk.present().life(name).state == "frozen",
        {"entry": 2},
    )
