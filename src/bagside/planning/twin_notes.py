"""What a person should know of a mirrored twin's cloth: what was done to its weave, why, and what it costs."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.findings import Basis, Finding, Severity
from bagside.planning.twin import TurnedCloth, Twin
from bagside.planning.weave import InMirror, in_mirror
from bagside.quantity import shown
from bagside.spec.library import Library
from bagside.spec.twin import Reversal

RULE = "calculated (weave geometry): in a 2×2 twill warp and weft float alike, so a quarter turn mirrors its diagonal"


def twin_findings(twin: Twin, turned: Sequence[TurnedCloth], library: Library, currency: str) -> tuple[Finding, ...]:
    """Return what mirroring does to each cloth: what was done, why, and what it costs.

    Parameters
    ----------
    twin
        The twin.
    turned
        What turning cloth costs.
    library
        Of materials.
    currency
        Of costs.
    """
    found = [_turned(twin, cloth, library, currency) for cloth in turned]
    job = twin.job
    for material in dict.fromkeys(ply.material for ply in job.plies):
        cloth = library.prepreg[material]
        plies = [k for k, p in enumerate(job.plies) if p.material == material]
        seen = 0 in plies and job.laying.show
        look = in_mirror(cloth)
        place = _plies(plies)
        if look is InMirror.TURNS:
            found.extend(_twill(twin, material, plies, seen))
        elif look is not InMirror.SAME:
            why, do = _OTHERS[look]
            found.append(
                Finding(
                    severity=Severity.DECIDE if seen else Severity.SEEN,
                    stage="mirror",
                    place=place,
                    what=f"{material}{f', {cloth.weave},' if cloth.weave else ''} is not mirrored with the part: "
                    f"{look.value}",
                    why=why,
                    do=do,
                    basis=Basis.COMMON,
                    source="calculated (weave geometry)",
                )
            )
    return tuple(found)


_OTHERS = {
    InMirror.UNEVEN: (
        "turned by 90° its stiffer direction would lie across",
        "lay it with the mirrored warp and accept the diagonal, or use a balanced twill for both parts",
    ),
    InMirror.TWO_FACES: (
        "turned over it shows its other face, turned by 90° its floats run across the mirrored ones",
        "lay it with the mirrored warp and the same face out: only its faint diagonal differs from the other part; "
        "where that is seen side by side use plain weave or balanced twill for the ply that shows",
    ),
    InMirror.LAYERS: (
        "the layer against the mould runs the other way than in a true mirror image",
        "lay it with its other face to the mould where the order of its layers matters, else leave it",
    ),
    InMirror.UNKNOWN: (
        "whether its diagonal must be reversed cannot be known",
        'state its weave in the material, as in weave = "2x2 twill"',
    ),
}


def _plies(plies: Sequence[int]) -> str:
    numbers = [str(k + 1) for k in sorted(plies)]
    return f"ply {numbers[0]}" if len(numbers) == 1 else f"plies {', '.join(numbers[:-1])} and {numbers[-1]}"


def _turned(twin: Twin, cloth: TurnedCloth, library: Library, currency: str) -> Finding:
    plies = [k for k in twin.quarter if twin.job.plies[k].material == cloth.material]
    more = cloth.cost[1] - cloth.cost[0]
    one_faced = library.prepreg[cloth.material].one_faced
    hidden = [k for k in plies if k > 0 or not twin.job.laying.show]
    saving = ", or state seen_only = true: plies that nobody sees need not be turned" if hidden else ""
    over = (
        "; turning it over is refused, its resin-rich face would lie on the other side"
        if one_faced
        else f'; twill = "{Reversal.TURNED_OVER.value}" reverses it too and costs no cloth, with the other face out'
    )
    return Finding(
        severity=Severity.WATCH,
        stage="mirror",
        place=_plies(plies),
        what=f"the warp of {cloth.material} is turned by 90°, same face out, and its pieces are cut across the roll: "
        f"{shown(cloth.pull[1], 'm', 2)} instead of {shown(cloth.pull[0], 'm', 2)}, "
        f"{shown(cloth.utilisation[1], '%', 0)} become pieces instead of {shown(cloth.utilisation[0], '%', 0)}, "
        f"{'−' if more < 0 else '+'}{abs(more):.2f} {currency} for all parts",
        why=f"laid with the mirrored warp alone its diagonal would run as on the other part, not mirrored{over}",
        do=f"keep the templates of the two parts apart, their arrows lie 90° apart{saving}",
        basis=Basis.COMMON,
        source=RULE,
    )


def _twill(twin: Twin, material: str, plies: Sequence[int], seen: bool) -> list[Finding]:
    """Return what is said about plies of balanced twill that were not turned by 90°."""
    wide = {p.label: twin.too_wide[p.label] for p in twin.pieces if p.ply in plies and p.label in twin.too_wide}
    if wide:
        label = max(wide, key=lambda name: wide[name])
        return [
            Finding(
                severity=Severity.DECIDE if seen else Severity.WATCH,
                stage="mirror",
                place=f"piece {label}",
                what=f"it is too long to be cut across {material}: the roll would have to be "
                f"{shown(wide[label], 'm', 2)} wide, so its diagonal stays as on the other part",
                why="a mirrored twill wants its warp turned by 90°, and so the length of the piece across the roll",
                do="split the ply at a seam, use a wider roll, or accept the diagonal",
                basis=Basis.COMMON,
                source=RULE,
            )
        ]
    over = [k for k in plies if k in twin.over]
    if over:
        return [
            Finding(
                severity=Severity.WATCH,
                stage="mirror",
                place=_plies(over),
                what=f"{material} is rolled out with its other face up, so that its diagonal is reversed",
                why="the face that lay on the backing film's side now lies on the mould: tack and resin may differ",
                do="lay a small piece first and look at the face; mark the kit: other face up",
                basis=Basis.COMMON,
                source="calculated (weave geometry): a balanced twill seen from behind climbs the other way",
            )
        ]
    if twin.mirror.twill is Reversal.AS_IT_IS and seen:
        return [
            Finding(
                severity=Severity.WATCH,
                stage="mirror",
                place=_plies([0]),
                what=f"the diagonal of {material} runs as on the other part, not mirrored",
                why="it was stated so; side by side the two parts look like two of one hand",
                do=f'state twill = "{Reversal.QUARTER_TURN.value}" to reverse it',
                basis=Basis.COMMON,
                source=RULE,
            )
        ]
    return []
