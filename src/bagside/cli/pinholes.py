"""``bagside pinholes FILE``: why there are pinholes, from what was recorded and where they are."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bagside.cli.options import AsJson


def pinholes(
    file: Annotated[Path, typer.Argument(help="What was recorded; see demo/benches/pinholes.toml.")],
    job: Annotated[
        Path | None, typer.Option("--for", help="Job or cure file whose cycle fills in temperature, flow and vacuum.")
    ] = None,
    workshop: Annotated[Path | None, typer.Option(help="Workshop of that job.")] = None,
    seed: Annotated[int, typer.Option(help="Of the draws for what was not recorded.")] = 20,
    json: AsJson = False,
) -> int:
    """Rank causes of pinholes by computed margins, and say what would tell them apart."""
    from bagside.cli import show
    from bagside.errors import InputError
    from bagside.planning.pinhole_bench import diagnosed
    from bagside.spec.pinhole_file import read_pinholes

    if seed < 0:
        raise InputError.one("--seed", str(seed), "zero or more is wanted")
    stated = read_pinholes(file)
    case = None
    if job is not None:
        from bagside.cli.cure.case import opened_case

        case = opened_case(job, workshop)
    told = diagnosed(stated, file.name, case, seed=seed)
    found = told.found
    if json:
        show.emit(
            {
                "pinholes": {
                    "causes": [
                        {
                            "name": r.name,
                            "chance": r.chance,
                            "margin": None if r.margin != r.margin else r.margin,
                            "margin_low": None if r.margin != r.margin else r.margin_band[0],
                            "margin_high": None if r.margin != r.margin else r.margin_band[1],
                            "place_fit": r.place_fit,
                            "why": r.why,
                            "next_time": r.next_time,
                        }
                        for r in found.ranked
                    ],
                    "measure": [
                        {"do": m.name, "bits": m.bits, "minutes": m.minutes, "tells": m.tells} for m in found.measures
                    ],
                    "undecided_bits": found.undecided,
                    "unknown": list(found.unknown),
                    "from_cycle": list(told.from_cycle),
                    "seed": seed,
                },
                "findings": [show.finding_data(f) for f in told.findings],
            }
        )
        return show.exit_code(told.findings)
    show.table(
        f"{file.name}: why there are pinholes {', '.join(s.value for s in stated.where)}",
        ["cause", "chance", "margin", "from", "to", "place"],
        [
            [
                r.name,
                f"{100 * r.chance:.0f} %",
                *(number(x) for x in (r.margin, *r.margin_band)),
                fit(r.place_fit),
            ]
            for r in found.ranked
            if r.chance >= 0.01
        ],
    )
    if found.measures:
        show.table(
            f"What would tell them apart; {found.undecided:.1f} bits are missing",
            ["do", "bits", "minutes"],
            [[f"{m.name} ({m.tells})", f"{m.bits:.2f}", f"{m.minutes:.0f}"] for m in found.measures[:5]],
        )
    if told.from_cycle:
        show.OUT.print("from the cycle: " + ", ".join(n.replace("_", " ") for n in told.from_cycle))
    if found.unknown:
        show.OUT.print("not recorded: " + ", ".join(n.replace("_", " ") for n in found.unknown))
    show.show_findings(told.findings)
    return show.exit_code(told.findings)


def number(value: float) -> str:
    """Return a margin as text: one at the limit."""
    if value != value:
        return "–"
    return f"{value:.2f}" if value < 10.0 else f"{value:.0f}" if value < 100.0 else "> 100"


def fit(value: float) -> str:
    """Return how well a place fits a cause, in words."""
    return "fits" if value >= 1.5 else "does not fit" if value < 0.5 else "says little"
