"""The plain sheet of paper on which the door's own pages are written: no script, and one style sheet of its own."""

from __future__ import annotations

import html


def sheet(language: str, title: str, body: str, *, head: str = "") -> str:
    """Return a whole page.

    Parameters
    ----------
    language
        It is written in.
    title
        Of the window.
    body, head
        HTML, with everything in it already made safe.
    """
    return (
        f'<!doctype html>\n<html lang="{html.escape(language)}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{html.escape(title)}</title>\n'
        f'<link rel="stylesheet" href="/join/sheet.css">\n<link rel="icon" href="data:,">\n{head}\n</head>\n'
        f"<body>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )
