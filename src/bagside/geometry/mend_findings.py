"""What opening a mesh noticed, as sentences a maker understands."""

from __future__ import annotations

from bagside.findings import Basis, Finding, Severity
from bagside.geometry.mend_report import MendReport
from bagside.geometry.scale import size_finding

ROUGH = 2.0  # measured over stated noise above which the person is told
ROUGH_AT_ALL = 2e-5  # [m]


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
    unusual = size_finding(report.name, report.unit, report.size)
    if unusual is not None:
        noticed.append(unusual)
    others = len(report.components) - 1 - report.passes
    if others:
        loose = sum(report.components) - report.components[report.kept] - report.passes_area
        noticed.append(
            _finding(
                Severity.WATCH if loose > 0.01 * report.area else Severity.SEEN,
                report,
                f"{others} loose parts with {10_000 * loose:.1f} cm² together were left out.",
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
    noticed += _of_the_scan(report)
    for length, centre in report.holes:
        noticed.append(
            _finding(
                Severity.DECIDE if length > 0.02 else Severity.WATCH,
                report,
                f"There is a hole in the surface, {1000 * length:.0f} mm around.",
                "Cloth over a hole in a scan is worked out as if nothing was there.",
                "Scan that place again, or leave it when the mould has a hole there"
                + (
                    f"; `fill_holes` closes holes up to {1000 * report.fill_limit:.0f} mm around."
                    if report.fill_limit
                    else "; `fill_holes` closes small ones."
                ),
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


def _of_the_scan(report: MendReport) -> list[Finding]:
    """Return what scans have and drawn surfaces do not: passes, noise, spikes, a table, closed holes, thinning."""
    noticed: list[Finding] = []

    def add(severity: Severity, what: str, why: str, do: str, point: tuple[float, float, float] | None = None) -> None:
        noticed.append(_finding(severity, report, what, why, do, point))

    if report.passes:
        add(
            Severity.SEEN,
            f"{report.passes} sheets with {10_000 * report.passes_area:.1f} cm² lie on the surface within a few tenths "
            "of a millimetre and were left out as further passes of the scanner.",
            "Two sheets over each other would count twice.",
            "Nothing to do.",
        )
    if report.beyond:
        add(
            Severity.DECIDE,
            f"{report.beyond} sheets lie on the surface in part and reach beyond it; they were left out whole.",
            "Passes of a scanner that overlap without sharing points cannot be joined here, and what only they saw is "
            "missing.",
            "Merge the passes into one surface in the scanner's program and export it again.",
        )
    if report.roughness > max(ROUGH * report.noise, ROUGH_AT_ALL):
        add(
            Severity.DECIDE if report.roughness > 5 * ROUGH_AT_ALL else Severity.WATCH,
            f"The surface is rough by {1000 * report.roughness:.2f} mm, {1000 * report.noise:.2f} mm are stated.",
            "Noise makes areas and patterns too large and hides fillets.",
            f'State `noise = "{1000 * report.roughness:.2f} mm"` when this is a scan, so that it is taken off.',
        )
    if report.spikes:
        add(
            Severity.SEEN,
            f"{len(report.spikes)} lone points stood far out of the surface and were put back.",
            "Scanners see them at edges and bright spots; a mould has none.",
            "Nothing to do.",
            report.spikes[0],
        )
    if report.table is not None:
        t = report.table
        at = " ".join(f"{1000 * c:.0f}" for c in t.point)
        way = ", ".join(f"{c + 0.0:.2f}" for c in t.normal)
        if report.off_table:
            what = f"The flat part of {10_000 * t.area:.0f} cm² was cut off {1000 * report.off_table:.1f} mm above it."
            add(Severity.SEEN, what, "It was stated to be a table.", "Look at the picture of the mould.", t.point)
        else:
            add(
                Severity.DECIDE if t.share > 0.5 else Severity.WATCH,
                f"A flat part of {10_000 * t.area:.0f} cm², {100 * t.share:.0f} % of the surface, lies under or around "
                f"the mould, through {at} mm, facing [{way}].",
                "A table in the scan is taken for mould: cloth would be laid on it.",
                'When it is a table, state `off_table = "2 mm"`, or a `net_edge`; leave it when it is the flange.',
                t.point,
            )
    if report.region_area:
        add(
            Severity.SEEN,
            f"Cut down to the stated region, {10_000 * report.region_area:.0f} cm².",
            "Only the part's surroundings are worked on.",
            "Look at the picture of the mould.",
        )
    if report.cropped is not None:
        c = report.cropped
        add(
            Severity.SEEN if c.stated else Severity.WATCH,
            f"Cut along the net edge, {1000 * c.edge:.0f} mm around: {10_000 * c.kept:.0f} cm² kept, "
            f"{10_000 * c.dropped:.0f} cm² left out.",
            "The side with the stated point was kept." if c.stated else "No point said which side; the smaller stayed.",
            "Nothing to do." if c.stated else "State `inside`, a point on the side that stays.",
        )
    for length, centre in report.filled:
        add(
            Severity.SEEN,
            f"A hole {1000 * length:.0f} mm around was closed.",
            "Its surface is not scanned but carried on from around it.",
            "Scan that place again when it matters.",
            centre,
        )
    if report.deviation is not None:
        d = report.deviation
        add(
            Severity.SEEN,
            f"Thinned to {report.clean} triangles: {1000 * d.rms:.3f} mm rms from the smooth scan, 99 % within "
            f"{1000 * d.most_of:.3f} mm, at most {1000 * d.largest:.3f} mm.",
            "Fewer triangles, coarse where it is flat.",
            "State a smaller `smallest_fillet` or `size` when that is too much.",
        )
    return noticed


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
