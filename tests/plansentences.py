"""Whether the pages can say every sentence that the source gives to a finding.

Run it for a room while its forms are written: ``python tests/plansentences.py bagging`` lists what is not said yet,
with lines for the catalogue to start from; ``--all`` lists what is said too.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from typing import Any

from bagside.web.words.sentences import IN_LISTS, form_of, recognised, ways
from sourceread import ROOMS
from sourcetexts import Parts, Sentence, Text, choices, sentences_of, texts

__all__ = ["ROOMS", "draft", "left_english", "missing", "sentences_of", "unsaid"]
UNITS = frozenset(
    [
        "m", "mm", "µm", "cm", "m²", "cm²", "mm²", "kg", "g", "g/m²", "L", "mL", "s", "min", "h", "d", "K", "°C", "°F",
        "mbar", "Pa", "kPa", "MPa", "GPa", "N", "kN", "ppm", "ppm/K", "K/min", "°C/min", "m/min", "kW", "kWh", "W",
        "EUR", "EUR/m²", "cm³/min", "mm/m", "N/mm",
    ]
)  # fmt: skip
NAMES = frozenset(["room", "freezer"])
"""What the records call two places themselves, as people call others."""


def unsaid(sentence: str, *, whole: bool = True) -> list[str]:
    """Return what stays English of a sentence: all of it, or what stands in a place.

    Parameters
    ----------
    sentence
        In English.
    whole
        Whether it is a sentence by itself.
    """
    if not whole and not re.search(r"[A-Za-zé]{2}", sentence):
        return []
    if whole:
        return min((_unsaid_parts(parts) for parts in ways(sentence)), key=len)
    found = recognised(sentence, whole=False)
    lists = [items for joint in IN_LISTS if len(items := sentence.split(joint)) > 1]
    if found is not None:
        lists.append(list(found[1].values()))
    if lists:
        return min(([u for item in items for u in unsaid(item, whole=False)] for items in lists), key=len)
    known = [w for w in re.split(r"[\s,;:()–×]+", sentence) if re.search(r"[A-Za-zé]{2}", w)]
    return [sentence] if any(w not in UNITS | NAMES and not re.search(r"\d", w) for w in known) else []


def _unsaid_parts(parts: tuple[str, ...]) -> list[str]:
    left: list[str] = []
    for part in parts:
        form = form_of(part)
        left += [part] if form is None else [u for v in form[1].values() for u in unsaid(v, whole=False)]
    return left


def missing(room: str) -> list[tuple[Sentence, str, list[str]]]:
    """Return sentences of a room that are not said in every language: where, an example, and what is left English.

    Parameters
    ----------
    room
        Folder under the package.
    """
    out = []
    for one in sentences_of(room):
        if one.words:
            for sample in one.samples():
                if sample != sample.strip() or not re.search(r"[A-Za-z]{2}", sample):
                    continue  # an end that is empty where the code never takes it
                if left := unsaid(sample):
                    out.append((one, sample, left))
                    break
    return out


def left_english(plan: Mapping[str, Any], stated: str) -> list[str]:
    """Return what stays English of the findings of a plan, other than names that a person gave.

    Parameters
    ----------
    plan
        As ``plan.json`` has it.
    stated
        The files of the job and of the workshop, in which names stand.
    """
    told = [f[field] for f in plan["findings"] for field in ("place", "what", "why", "do")]
    return [u for text in dict.fromkeys(told) for u in unsaid(text) if u not in stated]


def draft(parts: Parts) -> str:
    """Return a sentence as the catalogue writes it, its places named by letters."""
    out, letters = "", iter("abcdefghijklmnopqrstuvwxyz")
    for part in parts:
        out += part.words if isinstance(part, Text) else f"{{{next(letters)}}}"
    return out.replace("\\", "\\\\").replace('"', '\\"')


def _main() -> None:
    rooms = [a for a in sys.argv[1:] if not a.startswith("-")] or list(ROOMS)
    for room in rooms:
        every, left = sentences_of(room), missing(room)
        print(f"# {room}: {len(every)} sentences, {len(left)} not said yet")
        if "--all" in sys.argv:
            for one in every:
                print("   ", one.where, draft(one.parts))
        seen: set[str] = set()
        for one, sample, english in left:
            print(f"# {one.where}  {sample!r}" + ("" if english == [sample] else f"  left: {english}"))
            lines = [("", draft(one.parts))] if english == [sample] else []
            lines += [("in_", draft(o)) for c in choices(one.parts) for o in c.options if any(texts(o))]
            for head, line in lines:
                if line not in seen and re.search(r"[A-Za-z]{2}", line):
                    seen.add(line)
                    key = re.sub(r"_+", "_", re.sub(r"[^a-z]+", "_", re.sub(r"{\w}", "", line.lower())))
                    print(f'{head}{key[:28].strip("_")} = "{line}"')


if __name__ == "__main__":
    _main()
