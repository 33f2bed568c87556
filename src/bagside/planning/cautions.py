"""The usual cautions, shown before the steps where people get hurt.

Each says what hurts, what to do, and defers: the safety data sheet of what is in the shop, local rules and licensed
practice come first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bagside.findings import Basis

DEFERS = "Safety data sheets, local rules and licensed practice come first."


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution.

    Parameters
    ----------
    hazard
        Kind, by which steps name it.
    head
        What hurts, in a few words.
    text
        What to do.
    basis, source
        On what it rests.
    """

    hazard: str
    head: str
    text: str
    basis: Basis
    source: str = ""


CAUTIONS: dict[str, Caution] = {
    c.hazard: c
    for c in (
        Caution(
            hazard="prepreg",
            head="Uncured resin sensitises skin.",
            text="Nitrile gloves and sleeves, no solvent on skin, wash before eating; stop at the first rash.",
            basis=Basis.PUBLISHED,
            source="CLP H317 for epoxy resin; race-parts maker's safety page",
        ),
        Caution(
            hazard="knife",
            head="Knife.",
            text="Cut-proof glove on the holding hand, new blade, cut away from the hand, never on the mould.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="solvent",
            head="Solvent burns, and its vapour travels.",
            text="At most 1 L open, air moving, no flame or spark. Nothing wet with solvent goes near heat or into the "
            "oven. Acetone flashes at −18 °C; stay under 25 % of its lower limit.",
            basis=Basis.PUBLISHED,
            source="NIOSH acetone data; NFPA 86 and 33, 25 % of the lower flammable limit",
        ),
        Caution(
            hazard="vacuum",
            head="Vacuum pulls one tonne on every 0.1 m².",
            text="No fingers under film or mould edge; rated vessels only; filter the pump's exhaust.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="oven",
            head="Hot oven.",
            text="Over-temperature trip of its own, 15 to 20 °C above the programme; vent outside; smoke alarm; gloves "
            "for 200 °C. Unattended only with trip, alarm and log.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="exotherm",
            head="Resin heats itself.",
            text="Never cure offcuts in a pile or a pot. If the part runs away above the air: heaters off, fan on, "
            "vacuum on, door shut while there is smoke.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="demould",
            head="Cured edges cut like glass.",
            text="Cut-proof gloves and goggles; wedges of plastic; nobody in line with the edge when it lets go.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="edges",
            head="Splinters.",
            text="Gloves and goggles until every edge is sanded round.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="dust",
            head="Carbon dust harms lungs and shorts electrics.",
            text="Class H extraction at the tool or wet; mask FFP3 or P100; no compressed air; cover motors and "
            "controllers. Watch levels of 10 mg/m³ inhalable and 4 mg/m³ respirable.",
            basis=Basis.PUBLISHED,
            source="UK COSHH regulation 2 trigger; OSHA 15 and 5 mg/m³",
        ),
        Caution(
            hazard="drill",
            head="Drill grabs at breakthrough.",
            text="Clamp, back up, ease off at the end; goggles, and ear muffs above 85 dB.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="glue",
            head="Amines and acrylics.",
            text="Gloves, air moving, small pots; a pot that gets hot goes outside on concrete.",
            basis=Basis.PUBLISHED,
            source="CLP H314 for amine hardeners",
        ),
        Caution(
            hazard="isocyanate",
            head="Two-pack spray: isocyanates. Asthma for life.",
            text="Booth or room under suction, air-fed mask – filter masks are not enough – and keep it on until the "
            "room has cleared. Limits as NCO over 8 h and 15 min: 0.02 and 0.07 mg/m³ in the UK; in the EU 0.010 and "
            "0.020 until the end of 2028, then 0.006 and 0.012. Training and health checks.",
            basis=Basis.PUBLISHED,
            source="UK HSE guidance and EH40; EU 2024/869 limits; EU 2020/1149 training",
        ),
        Caution(
            hazard="lifting",
            head="Heavy and cold.",
            text="Two people or a trolley above 25 kg; gloves at the freezer.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="waste",
            head="Uncured waste is hazardous.",
            text="Cure scraps and leftover mix as thin sheets, never in a heap, before the bin; rags wet with solvent "
            "or resin go in a closed metal can; label what waits.",
            basis=Basis.COMMON,
        ),
        Caution(
            hazard="structure",
            head="Someone's life may hang on this part.",
            text="This plan does not certify strength. Have a qualified person check any part whose failure hurts.",
            basis=Basis.COMMON,
        ),
    )
}


def cautions_for(hazards: Iterable[str]) -> tuple[Caution, ...]:
    """Return the cautions of some hazards, each once, in the order given.

    Parameters
    ----------
    hazards
        By name, as steps state them.

    Returns
    -------
    tuple of Caution
        `DEFERS` is to be shown with them.

    Raises
    ------
    KeyError
        When a hazard has no caution.
    """
    return tuple(CAUTIONS[h] for h in dict.fromkeys(hazards))
