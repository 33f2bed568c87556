"""What ``bagside drape MESH --preview`` shows: a net of threads in a few numbers."""

from __future__ import annotations

import numpy as np

from bagside import drape as draping
from bagside.cli import show
from bagside.quantity import shown


def show_preview(net: draping.Net, name: str, locking: float, *, json: bool) -> int:
    """Show a net's coverage and shear; return the exit code.

    Parameters
    ----------
    net
        The net.
    name
        Of the mesh, as a person knows it.
    locking
        Shear at which the cloth wrinkles [rad].
    json
        Whether as JSON instead of a table.
    """
    shear = np.abs(net.shear)
    half, most = (draping.percentile(shear, net.areas, share) if len(shear) else 0.0 for share in (0.5, 0.99))
    over = float(net.areas[shear > locking].sum() / net.areas.sum()) if len(shear) else 0.0
    if json:
        show.emit(
            {
                "preview": {
                    "spacing_mm": 1e3 * net.spacing,
                    "nodes": len(net.points),
                    "coverage": net.coverage,
                    "shear_median_deg": float(np.degrees(half)),
                    "shear_99_deg": float(np.degrees(most)),
                    "share_over_locking": over,
                    "jammed_mm": (1e3 * net.jammed).round(3).tolist(),
                }
            }
        )
    else:
        show.table(
            f"{name}: a net of threads {shown(net.spacing, 'mm')} apart",
            ["", ""],
            [
                ["covered", shown(net.coverage, "%", 0)],
                ["shear, half of the net under", shown(half, "°")],
                ["shear, 99 % of the net under", shown(most, "°")],
                ["sheared past locking", shown(over, "%", 1)],
                ["places where threads jam", str(len(net.jammed))],
            ],
        )
    return 0
