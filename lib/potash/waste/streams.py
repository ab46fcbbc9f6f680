"""Waste streams of a quench with their volumes, and what to wait for before each step."""

from dataclasses import dataclass
from typing import Any

from potash.units import Quantity, magnitude
from potash.words import tr

DEFER = tr("Your institution's waste rules and its waste officer decide on stream and vessel.")


@dataclass(frozen=True, slots=True)
class WasteStream:
    """One stream. contents: substances by name, for the label. volume: of the whole, mL."""

    name: str
    contents: tuple[str, ...]
    volume: Quantity
    advice: str


@dataclass(frozen=True, slots=True)
class WaitFor:
    """One condition to wait for, how it is seen, and what happens to those who do not wait."""

    condition: str
    sign: str
    reason: str


WAIT_FOR = (
    WaitFor(
        tr("The reflux has stopped and the flask is at room temperature."),
        tr("The condenser drips no more; a thermometer reads within 5 K of the room."),
        tr("Alcohol dropped into hot liquid boils at once, and molten metal reacts faster."),
    ),
    WaitFor(
        tr("The quench has come to an end."),
        tr(
            "No bubble for an hour with stirring and fresh alcohol; no piece, bead or grey crust "
            "left."
        ),
        tr("Metal under a crust goes on for days, and meets water in the waste vessel."),
    ),
    WaitFor(
        tr("A small sample has been tried."),
        tr("A few drops on a wet watch glass in the hood neither fizz nor warm."),
        tr("It is the last look before water."),
    ),
    WaitFor(
        tr("The water is in and the flask is cold."),
        tr("Water added drop by drop with cooling, until a drop no longer warms it."),
        tr("Alkoxide and water give heat; acid on top of it gives more."),
    ),
    WaitFor(
        tr("The pH is between 6 and 9."),
        tr("Indicator paper, twice, some minutes apart."),
        tr("Solids let go of alkali slowly, and a first reading is often too low."),
    ),
    WaitFor(
        tr("Nothing gives off gas any more."),
        tr("A day in a vented vessel in the hood."),
        tr("A closed vessel in which hydrogen still forms bursts."),
    ),
)


def streams(
    *,
    diluent: str | None,
    diluent_volume: Any,
    alcohol: str,
    alcohol_volume: Any,
    aqueous_volume: Any,
    solids: Any = "0 g",
) -> tuple[WasteStream, ...]:
    """The streams that a quench leaves once it is neutralised and its layers are parted.

    Parameters: volumes; solids, mass of magnesium oxide and other solids.
    Raises: what ``magnitude`` raises.
    """
    organic = magnitude("diluent_volume", diluent_volume, "mL", at_least=0) if diluent else 0.0
    spirit = magnitude("alcohol_volume", alcohol_volume, "mL", at_least=0)
    aqueous = magnitude("aqueous_volume", aqueous_volume, "mL", at_least=0)
    mass = magnitude("solids", solids, "g", at_least=0)
    found = []
    if diluent and organic:
        found.append(
            WasteStream(
                tr("Non-halogenated solvents"),
                (diluent, alcohol),
                Quantity(organic + spirit / 2, "mL"),
                tr(
                    "Half of the alcohol is reckoned to stay with the hydrocarbon. {who_decides}",
                    who_decides=DEFER,
                ),
            )
        )
    share = 0.5 if diluent and organic else 1.0
    found.append(
        WasteStream(
            tr("Aqueous, neutral, with alcohol"),
            (alcohol, "water"),
            Quantity(aqueous + share * spirit, "mL"),
            tr(
                "Flammable vapour stands over it: not to the drain. {who_decides}",
                who_decides=DEFER,
            ),
        )
    )
    if mass:
        found.append(
            WasteStream(
                tr("Solids: oxide and spent reductant"),
                (tr("magnesium turnings"),),
                Quantity(mass / 2.0, "mL"),
                tr(
                    "Counted at 2 g/mL as it settles. Unspent magnesium makes hydrogen with water "
                    "and acid: vented vessel. {who_decides}",
                    who_decides=DEFER,
                ),
            )
        )
    return tuple(found)
