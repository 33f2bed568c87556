"""Both databases for every test here."""

from databases import _server_ends, database  # noqa: F401
