"""``bagside build …``: a part while it is made, from its first step to its end."""

from __future__ import annotations

from collections.abc import Callable

from bagside.cli.build.bag import bag
from bagside.cli.build.begin import begin
from bagside.cli.build.climate import climate
from bagside.cli.build.close import close
from bagside.cli.build.compare import compare
from bagside.cli.build.concede import concede
from bagside.cli.build.correct import correct
from bagside.cli.build.cure import cure
from bagside.cli.build.debulk import debulk
from bagside.cli.build.finish import finish
from bagside.cli.build.gates import gates
from bagside.cli.build.lay import lay
from bagside.cli.build.leak import leak
from bagside.cli.build.list import list_builds
from bagside.cli.build.measure import measure
from bagside.cli.build.passing import pass_gate
from bagside.cli.build.photo import photo
from bagside.cli.build.pull import pull
from bagside.cli.build.report import report
from bagside.cli.build.show import show_build
from bagside.cli.build.start import start
from bagside.cli.build.weigh import weigh

COMMANDS: tuple[tuple[str, Callable[..., int]], ...] = (
    ("begin", begin),
    ("list", list_builds),
    ("show", show_build),
    ("gates", gates),
    ("start", start),
    ("finish", finish),
    ("pass", pass_gate),
    ("lay", lay),
    ("debulk", debulk),
    ("bag", bag),
    ("leak", leak),
    ("cure", cure),
    ("pull", pull),
    ("weigh", weigh),
    ("measure", measure),
    ("climate", climate),
    ("photo", photo),
    ("concede", concede),
    ("close", close),
    ("correct", correct),
    ("report", report),
    ("compare", compare),
)
"""Each command of ``bagside build`` and its function."""
