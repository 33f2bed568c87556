"""What a person should know of the cloth before it is cut."""

from __future__ import annotations

from collections.abc import Sequence

from bagside import cutting
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.planning.kit import MaterialKit, RollKit
from bagside.planning.layouts import StoredLayout
from bagside.planning.shelf import TO_BUY
from bagside.quantity import shown
from bagside.spec.library import Library
from bagside.spec.material import Prepreg


def kit_findings(kits: Sequence[MaterialKit], library: Library) -> tuple[Finding, ...]:
    """Return what cutting noticed, and cloth whose life runs short."""
    found: list[Finding] = []
    for kit in kits:
        found.extend(kit.findings)
        told = library.prepreg[kit.material]
        for roll in kit.rolls:
            if roll.roll.called == TO_BUY:
                found.append(_not_bought(kit, roll))
            found.extend(cutting.nest_findings(roll.nest, roll.take.pull))
            name = f"roll {roll.roll.batch or kit.material}"
            found.extend(_short_of_life(name, roll.roll.life_used, told))
        for sheet in kit.sheets:
            found.extend(_short_of_life(f"offcut {sheet.offcut.name}", sheet.offcut.life_used, told))
    return tuple(found)


def _not_bought(kit: MaterialKit, roll: RollKit) -> Finding:
    return Finding(
        severity=Severity.DECIDE,
        stage="cutting",
        place=f"roll of {kit.material}",
        what=f"{shown(roll.take.pull, 'm', 2)} of cloth are to be bought",
        why="no roll of it is left in stock that may be used; it is planned on the cheapest offer",
        do="ask bagside buy how much of which offer; when it is there, state it under [[stock]], or with records: "
        "bagside stock receive roll",
        basis=Basis.MEASURED,
        source="stock and offers as the workshop states them",
    )


def _short_of_life(name: str, used: float, told: Prepreg) -> list[Finding]:
    share = used / told.out_life
    if share < 0.7:
        return []
    left = shown(told.out_life - used, "h", 0)
    return [
        Finding(
            severity=Severity.STOP if share >= 1.0 else Severity.DECIDE if share >= 0.9 else Severity.WATCH,
            stage="cutting",
            place=name,
            what=f"{shown(share, '%', 0)} of its out-life is used, {left} are left",
            why="tack goes first, then the resin gels sooner and flows less, and corners bridge",
            do=(
                "do not lay it on a part; use it for practice or cauls"
                if share >= 1.0
                else "lay and cure a small coupon first, and use it before any other"
            ),
            basis=told.basis.of("out_life"),
            source=told.basis.source,
        )
    ]


def nested_anew(material: str, before: StoredLayout, why: str) -> Finding:
    """Say that a stored layout does not stand, and why.

    Parameters
    ----------
    material
        Of the cloth.
    before
        As it was stored.
    why
        It cannot be cut any more.
    """
    was_cut = before.cut_on is not None
    day = "" if before.cut_on is None else before.cut_on.isoformat()
    return Finding(
        severity=Severity.DECIDE if was_cut else Severity.SEEN,
        stage="cutting",
        place=f"nest of {material}",
        what=f"the layout cut on {day} is not the one shown" if was_cut else "it was nested anew",
        why=why,
        do="lay out what is cut already and compare it with the templates before more is cut"
        if was_cut
        else "print the cutting sheet and labels again",
        basis=Basis.MEASURED,
    )


def pins_gone(material: str, error: InputError) -> Finding:
    """Say that pinned pieces could not stay where a person had put them.

    Parameters
    ----------
    material
        Of the cloth.
    error
        Why.
    """
    return Finding(
        severity=Severity.WATCH,
        stage="cutting",
        place=f"nest of {material}",
        what="what was pinned does not stay where it was put",
        why="; ".join(str(p) for p in error.problems),
        do="pin it again where there is room, or leave it to the nest",
        basis=Basis.MEASURED,
    )
