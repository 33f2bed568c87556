"""Commands: each parses, calls one function and shows what came."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices are small here: threads would only wait for each other

from bagside.cli.app import main

__all__ = ["main"]
