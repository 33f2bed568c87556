"""Arguments that several commands on builds share, as a person may type them."""

from __future__ import annotations

from typing import Annotated

import typer

Serial = Annotated[str, typer.Argument(metavar="BUILD", help="Serial number; its beginning or its number is enough.")]
Serials = Annotated[
    str, typer.Argument(metavar="BUILD", help='Serial number; several as in "FP-1,FP-2". Its number is enough.')
]
AStep = Annotated[str, typer.Argument(metavar="[STEP]", help="Key, its beginning, or number; the next one else.")]
OfStep = Annotated[str, typer.Option("--step", help="Key of the step, its beginning, or number; the next one else.")]
Ambient = Annotated[
    str, typer.Option("--ambient", help="Today's barometer, not reduced to sea level; by the altitude else.")
]
Below = Annotated[bool, typer.Option("--below", help="The gauge shows pressure below ambient.")]
