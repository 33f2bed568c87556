"""Commands: each parses, calls one function and shows what came."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices are small here: threads would only wait for each other

from bagside.cli.app import main  # noqa: E402 - numpy reads the variable when it is first imported

__all__ = ["main"]
