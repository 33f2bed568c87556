"""Commands: each parses, calls one function and shows what came."""

from bagside.cli.app import main

__all__ = ["main"]
