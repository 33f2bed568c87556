"""What mending a mesh found and did, in plain numbers, and the sentences that come of it."""

from __future__ import annotations

from dataclasses import dataclass

from bagside.findings import Basis, Finding, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class MendReport:
    """What mending found and did, in plain numbers.

    Parameters
    ----------
    name
        The file.
    unit
        The unit its numbers were read in.
    triangles_read
        Number of triangles in the file.
    triangles
        Number of triangles in the surface.
    merged
        Points of the file that were joined to another one.
    duplicates
        Triangles that another one covered already, whichever way it was wound.
    degenerate
        Triangles without area, dropped.
    slivers
        Triangles flatter than stated, mended by turning their longest edge, or dropped when they had no neighbour.
    crowded
        Edges where more than two triangles met.
    components
        Area of each connected sheet, largest first [m²].
    kept
        Which of them is the surface.
    flipped
        Triangles wound the other way than most.
    rim
        Length of the longest boundary loop [m]; zero for a closed body.
    holes
        Length [m] and centre [m] of every other boundary loop.
    size
        Bounding box along x, y, z [m].
    area
        Area of the surface [m²].
    """

    name: str
    unit: str
    triangles_read: int
    triangles: int
    merged: int
    duplicates: int
    degenerate: int
    slivers: int
    crowded: int
    components: tuple[float, ...]
    kept: int
    flipped: int
    rim: float
    holes: tuple[tuple[float, tuple[float, float, float]], ...]
    size: tuple[float, float, float]
    area: float


def findings(report: MendReport) -> tuple[Finding, ...]:
    """Return what mending noticed, as sentences.

    Parameters
    ----------
    report
        What mending found and did.
    """
    size = " × ".join(f"{1000 * s:.0f}" for s in report.size)
    noticed = [
        _finding(
            Severity.SEEN,
            report,
            f"The surface measures {size} mm, {10_000 * report.area:.0f} cm², read in {report.unit}.",
            "A wrong unit makes every later number wrong.",
            "Compare it with the mould once.",
        )
    ]
    if len(report.components) > 1:
        loose = sum(report.components) - report.components[report.kept]
        noticed.append(
            _finding(
                Severity.WATCH if loose > 0.01 * report.area else Severity.SEEN,
                report,
                f"{len(report.components) - 1} loose parts with {10_000 * loose:.1f} cm² together were left out.",
                "Only one connected sheet is the mould's surface.",
                "Look at the picture of the mould; state `keep` when the wrong sheet was kept.",
            )
        )
    if report.rim == 0:
        noticed.append(
            _finding(
                Severity.WATCH,
                report,
                "The mesh is a closed body; the laminate is taken to lie on its outside, all round.",
                "A mould is laid on one side only, and a plane or outline must say which part of the body that is.",
                "State a region for the part, or give the mould's face as an open surface.",
            )
        )
    for length, centre in report.holes:
        noticed.append(
            _finding(
                Severity.DECIDE if length > 0.02 else Severity.WATCH,
                report,
                f"There is a hole in the surface, {1000 * length:.0f} mm around.",
                "Cloth over a hole in a scan is worked out as if nothing was there.",
                "Scan that place again, or leave it when the mould has a hole there.",
                centre,
            )
        )
    faults = {
        "doubled triangles dropped": report.duplicates,
        "collapsed triangles dropped": report.degenerate,
        "slivers mended": report.slivers,
        "edges with more than two triangles parted": report.crowded,
        "triangles turned over": report.flipped,
    }
    told = ", ".join(f"{number} {text}" for text, number in faults.items() if number)
    if told:
        large = sum(faults.values()) > 0.05 * report.triangles_read
        noticed.append(
            _finding(
                Severity.WATCH if large else Severity.SEEN,
                report,
                f"The mesh was mended: {told}.",
                "These faults would make areas and directions wrong.",
                "Look at the picture of the mould." if large else "Nothing to do.",
            )
        )
    return tuple(noticed)


def _finding(
    severity: Severity,
    report: MendReport,
    what: str,
    why: str,
    do: str,
    point: tuple[float, float, float] | None = None,
) -> Finding:
    return Finding(
        severity=severity,
        stage="mould",
        place=report.name,
        what=what,
        why=why,
        do=do,
        basis=Basis.MEASURED,
        source="the mesh file",
        point=point,
    )
