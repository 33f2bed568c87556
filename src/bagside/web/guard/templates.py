"""Numbers drawn for one answer, put on the scripts of the desk's pages.

The library that puts the desk's pages together writes a few scripts into each. They are marked in its template, not in
the finished page: so a script that came into the page with somebody's text has no number and is not run.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from jinja2 import BaseLoader, Environment
from starlette.requests import HTTPConnection

PAGE = "index.html"
_SCRIPT = re.compile(r"<script(?=[\s>])")
_NONCE = "bagside.nonce"


class _Marked(BaseLoader):
    """Another loader, with the scripts of one template marked."""

    def __init__(self, inner: BaseLoader) -> None:
        self.inner = inner

    def get_source(self, environment: Environment, template: str) -> tuple[str, str | None, Callable[[], bool] | None]:
        """Return a template's text, with its scripts marked if it is the page's."""
        source, name, fresh = self.inner.get_source(environment, template)
        if template == PAGE:
            source, count = _SCRIPT.subn(f"<script nonce=\"{{{{ request.scope.get('{_NONCE}', '') }}}}\"", source)
            if count == 0:
                raise RuntimeError("the page's template has no scripts: it is not the one that was known")
        return source, name, fresh


def nonced_templates() -> None:
    """Have the scripts of the desk's pages marked from now on; a second call changes nothing.

    Raises
    ------
    RuntimeError
        When the library's template is not where it was known to be.
    """
    from nicegui import client  # a second to import: the tools of this package are used without pages, too

    environment = getattr(getattr(client, "templates", None), "env", None)
    if not isinstance(environment, Environment) or environment.loader is None:
        raise RuntimeError("the page's template is not where it was known to be")
    if not isinstance(environment.loader, _Marked):
        environment.loader = _Marked(environment.loader)
        if environment.cache is not None:
            environment.cache.clear()


def nonce_of(request: HTTPConnection) -> str:
    """Return the number that scripts written into the answer to this request carry.

    Parameters
    ----------
    request
        Being answered.
    """
    return str(request.scope.get(_NONCE, ""))
