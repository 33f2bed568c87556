"""What a planned bag is made of, as the places at which it can leak."""

from __future__ import annotations

from bagside.bagging.items import BagKind, BagPlan

HOSE = 5.0  # [m] to the pump, where nobody says otherwise
EACH = 2.0  # couplings on one line


def places_of(plan: BagPlan, *, corners: int = 4, wires: int = 3, hose: float = HOSE) -> dict[str, float]:
    """Return how many or how much there is of each place in a planned bag.

    Parameters
    ----------
    plan
        Of the bag.
    corners
        Of its tape run.
    wires
        Thermocouples led through the tape.
    hose
        To the pump [m].

    Returns
    -------
    dict
        By name, as `suspects` takes it [pcs, m, m²].

    Notes
    -----
    An envelope does not lean on the mould, so its seams and pores are left out; add seams and holes of a split mould by
    hand.
    """
    film = next((i.quantity for i in plan.items if i.name == "bag film"), plan.area)
    return {
        "pleats": float(plan.pleats.count),
        "corners": float(corners),
        "tape run": plan.tape_run,
        "ports": float(plan.ports),
        "film": film,
        "mould porosity": 0.0 if plan.kind is BagKind.ENVELOPE else plan.area,
        "thermocouple wires": float(wires),
        "connectors": EACH * max(plan.ports - 1, 1),
        "hose": hose,
    }
