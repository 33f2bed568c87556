"""A drawing for a page: its inks follow the page's paper, what lies on a map stays as it is.

A sheet's fixed colours become the page's variables with the printed colour to fall back on, so that one drawing serves
in the light, in the dark and in the sun without being drawn again. Some variables are the drawings' own:
``--mould-lit`` the mould in a picture, ``--shade`` how much of the relief is shown, ``--plain`` cloth that carries no
map, ``--weft`` the weft's yarns, ``--weight`` what every line is multiplied by; ``--on-map`` and ``--on-map2`` are inks
on colours that never change.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field

from bagside.sheets import colour, marks
from bagside.sheets.colour import lit
from bagside.sheets.grounds import BOTH, FIXED, TAPE

VARIABLES = {
    colour.INK: "--ink",
    colour.SECOND: "--ink2",
    colour.EDGE: "--edge",
    colour.HAIR: "--line",
    colour.WASH: "--wash",
    colour.PAPER: "--paper",
    colour.CLOTH: "--cloth",
    colour.HEAT: "--heat",
    colour.CLOTH_WASH: "--cloth-wash",
    colour.HEAT_WASH: "--heat-wash",
    colour.TAPE: "--tape",
    colour.MOULD: "--mould",
    colour.HILL: "--cloth-wash",
    colour.KEEP_OUT: "--heat",
    lit(colour.MOULD): "--mould-lit",
}
ON_MAP = {colour.INK: "--on-map", colour.SECOND: "--on-map2", colour.EDGE: "--on-map2"}
"""On a map nothing follows the paper; in the sun alone its greys go black."""
OVER = {
    "--ink": f"var(--on-map,{colour.INK})",
    "--ink2": f"var(--on-map2,{colour.SECOND})",
    "--edge": f"var(--on-map2,{colour.EDGE})",
    "--paper": colour.PAPER,
}
LAYERS = {"shade": "--shade", "cloth plain": "--plain"}

_TAG = re.compile(r"<(/?)([A-Za-z]+)((?:[^<>\"]|\"[^\"]*\")*?)(/?)>")
_COLOUR = re.compile(r'\b(fill|stroke)="(#[0-9a-fA-F]{6})"')
_WIDTH = re.compile(r'stroke-width="([0-9.]+)"')
_NAMED = re.compile(r'\bid="([^"]*)"')
_USED = re.compile(r'(url\(#|href="#|data-shape=")([^")]*)')
_TITLE = re.compile(r"<title>(.*?)</title>", re.DOTALL)


def themed(svg: str, *, key: str = "") -> str:
    """Return a sheet's drawing as one that follows the page it stands on.

    Parameters
    ----------
    svg
        As a sheet draws it.
    key
        Told apart from an equal drawing on the same page by this; not needed when it stands there once.

    Returns
    -------
    str
        An ``<svg>`` as wide as its place, with names of its own; its title is its accessible name.

    Raises
    ------
    ValueError
        When it is no drawing, or its groups are not closed.
    """
    begin = svg.find("<svg")
    if begin < 0:
        raise ValueError("a drawing begins with <svg")
    own = "d" + hashlib.sha256(f"{key}\0{svg}".encode()).hexdigest()[:10] + "-"
    body = svg[begin:].strip()
    title = _TITLE.search(body)
    body = _TITLE.sub("", body, count=1)
    body = _USED.sub(lambda m: f"{m[1]}{own}{m[2]}", _NAMED.sub(lambda m: f'id="{own}{m[1]}"', body))
    walk = _Walk(own=own, name="" if title is None else title[1].strip().replace('"', "&quot;"))
    out = _TAG.sub(walk.tag, body)
    if walk.grounds:
        raise ValueError("a drawing whose groups are not closed")
    return out


@dataclass(slots=True)
class _Walk:
    """What has been read of a drawing."""

    own: str
    name: str
    grounds: list[tuple[str, str, str]] = field(default_factory=list)
    """Of each open group: its ground, its name, the shape of the map under it."""
    copies: int = 0

    @property
    def ground(self) -> str:
        """What the innermost group lies on."""
        return next((g for g, _, _ in reversed(self.grounds) if g), "")

    def tag(self, match: re.Match[str]) -> str:
        """Return a tag in the page's inks."""
        closing, name, words, alone = match.groups()
        if name == "svg":
            return match[0] if closing else self._root(words)
        if name != "g":
            return match[0] if closing else f"<{name}{self._dressed(name, words)}{alone}>"
        if closing:
            if not self.grounds:
                raise ValueError("a drawing that closes a group it has not opened")
            _, group, shape = self.grounds.pop()
            return match[0] + (self._again(group, shape) if group else "")
        ground, shape = (_value(words, f"data-{what}") for what in ("ground", "shape"))
        group = ""
        if ground == BOTH:
            self.copies += 1
            group = f"{self.own}both{self.copies}"
            words += f' id="{group}"'
        if not alone:
            self.grounds.append((ground, group, shape))
        return f"<g{self._dressed(name, words)}{alone}>"

    def _again(self, group: str, shape: str) -> str:
        """Return what lies on both a second time, in the inks of the map, where the map is."""
        style = ";".join(f"{name}:{value}" for name, value in OVER.items())
        return f'<g clip-path="url(#{shape})" style="{style}" aria-hidden="true"><use href="#{group}"/></g>'

    def _root(self, words: str) -> str:
        words = re.sub(r'\s(width|height|xmlns|xmlns:xlink)="[^"]*"', "", words)
        label = f' aria-label="{self.name}"' if self.name else ""
        return f'<svg class="drawing" width="100%"{words}{label}>'

    def _dressed(self, name: str, words: str) -> str:
        """Return a tag's attributes in the page's inks and weights."""
        words = words.replace("xlink:href", "href")
        if name == "image":
            layer = LAYERS.get(_value(words, "class"))
            return f'{words} opacity="var({layer},1)"' if layer else words
        if f'stroke-dasharray="{marks.WEFT}"' in words:
            words += ' opacity="var(--weft,1)"'
        if name == "text":  # a page's own rule for letters would win over an attribute
            inks = "".join(f"{m[1]}:{self._ink(m[1], m[2])};" for m in _COLOUR.finditer(words))
            return _COLOUR.sub("", words) + (f' style="{inks}"' if inks else "")
        words = _COLOUR.sub(lambda m: f'{m[1]}="{self._ink(m[1], m[2])}"', words)
        return _WIDTH.sub(r'stroke-width="calc(\1px*var(--weight,1))"', words)

    def _ink(self, part: str, ink: str) -> str:
        ground, ink = self.ground, ink.lower()
        if ground == FIXED:
            return f"var({ON_MAP[ink]},{ink})" if ink in ON_MAP else ink
        if ground == TAPE and ink == colour.INK:
            return f"var({'--tape-edge' if part == 'stroke' else '--on-tape'},{ink})"
        return f"var({VARIABLES[ink]},{ink})" if ink in VARIABLES else ink


def _value(words: str, name: str) -> str:
    found = re.search(rf'\b{name}="([^"]*)"', words)
    return found[1] if found else ""
