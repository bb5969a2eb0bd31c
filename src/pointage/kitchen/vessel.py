"""A vessel of the kitchen, as its file has it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from pointage.heat.vessel import Lid as Lid  # noqa: PLC0414
from pointage.heat.vessel import Shell, VesselForm

VesselUse = VesselForm
"""What a vessel is for is also its form."""

# Litres for each kilogram of what is mixed: as mixed it fills about a litre; a dough may double, a
# culture in its jar may treble. Common practice, no source.
LITRES_PER_KG, LITRES_PER_KG_IN_JAR = 2.0, 3.0

LIDDED = (VesselUse.JAR, VesselUse.TUB)


@dataclass(frozen=True)
class Vessel:
    """What a mixture can stand in: its tare in grams, its volume in litres to the brim.

    use: cultures live in jars, levains stand in tubs, dough is mixed in bowls, pieces proof in
    baskets, tins or on trays. lid: None where the file does not say. wall_mm, height_mm and
    width_mm (a round one's diameter), inside: None where they are not known. count: how many there
    are of it. said_most_g: the most it is to take, as the file says; None where it does not.
    """

    name: str
    tare_g: float
    volume_l: float
    material: str
    use: VesselUse = VesselUse.TUB
    lid: Lid | None = None
    wall_mm: float | None = None
    height_mm: float | None = None
    width_mm: float | None = None
    count: int = 1
    said_most_g: float | None = None

    @property
    def most_g(self) -> float:
        """Grams of mixture it can take: as the file says, else half its litres, a jar's third."""
        if self.said_most_g is not None:
            return self.said_most_g
        jar = self.use is VesselUse.JAR
        return 1000 * self.volume_l / (LITRES_PER_KG_IN_JAR if jar else LITRES_PER_KG)

    def takes(self, litres: float, grams: float) -> bool:
        """Whether so much, risen to so many litres, can stand in it."""
        most_g = float("inf") if self.said_most_g is None else self.said_most_g
        return self.volume_l >= litres and grams <= most_g

    @cached_property
    def shell(self) -> Shell:
        """The vessel as heat sees it; jars and tubs have a loose lid unless the file says."""
        usual = Lid.LOOSE if self.use in LIDDED else Lid.NONE
        return Shell(
            form=self.use,
            litres=self.volume_l,
            material=self.material,
            tare_kg=self.tare_g / 1000,
            lid=usual if self.lid is None else self.lid,
            wall_mm=self.wall_mm,
            height_mm=self.height_mm,
            width_mm=self.width_mm,
        )


# For a kitchen whose file names none: the usual one, by the litres it is to hold (ours).
_USUAL = {
    VesselUse.JAR: ("glass", 500.0),
    VesselUse.TUB: ("plastic", 90.0),
    VesselUse.BOWL: ("steel", 100.0),
    VesselUse.BASKET: ("cane", 90.0),
    VesselUse.TIN: ("steel", 350.0),
    VesselUse.TRAY: ("steel", 300.0),
}


def usual_vessel(use: VesselUse, litres: float) -> Vessel:
    """A vessel without a name, as such vessels usually are."""
    material, tare_g = _USUAL[use]
    return Vessel("", tare_g * litres, litres, material, use)
