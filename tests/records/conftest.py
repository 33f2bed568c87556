"""Both databases for every test here that asks for one."""

from databases import _server_ends, database  # noqa: F401
