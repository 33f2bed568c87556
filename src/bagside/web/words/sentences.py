"""Sentences that a plan makes, said in a reader's language and units.

A plan is frozen with its sentences in English and metric. Each kind of sentence stands in the catalogue with places
for what changes; a sentence that is recognised by its English form is said by the form of the other language, and what
stands in its places is said in the same way. One that nobody has a form for stays English, and is marked so that a
screen reader speaks it rightly. Amounts are said in the reader's units in either case.

The forms stand in ``floor_steps.toml`` and in one ``find_….toml`` for each room that makes sentences.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from operator import itemgetter

from bagside.web.words.amounts import located, measured, wordless
from bagside.web.words.catalogue import catalogue
from bagside.web.words.tongue import Tongue

STEPS = "floor_steps"
FINDINGS = "find_"
"""Forms stand in the file of the steps and in files whose names begin so."""
INSIDE = "in_"
"""Forms whose names begin so are no sentences: they are recognised only in a place of one."""
WORD = r"\S+"
"""What stands in a place whose name begins with ``word``."""
KEPT = 4096
"""How many sentences are remembered."""
TOLD_BY = 4
"""So many letters at its begin or end tell which forms a sentence may have."""
_PLACE = re.compile(r"\{(\w+)\}")
IN_LISTS = ("; ", ", ")
"""What stands between things in a place, each of which may have a form."""
_JOINT = re.compile(r"(?<=; )|(?<=\. )")
MOST_JOINTS = 6
"""A text of more parts is looked at as a whole and part by part in its first ones."""


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence as it is shown.

    Parameters
    ----------
    text
        In the reader's units.
    language
        In which it is, for a screen reader.
    """

    text: str
    language: str


@dataclass(frozen=True, slots=True)
class _Form:
    key: str
    inside: bool
    begins: str
    ends: str
    holds: str
    """Its longest text between places, by which most sentences are told to be of another form."""
    text: str


def said(sentence: str, tongue: Tongue) -> Said:
    """Return a sentence of a plan as a reader wants it.

    Parameters
    ----------
    sentence
        In English and metric.
    tongue
        Of the reader.

    Examples
    --------
    >>> said("2 films off", Tongue(language="de")).text
    '2 Folien ab'
    """
    text = sentence
    if tongue.language != "en":
        text = in_language(sentence, tongue.language) or (
            located(sentence, tongue.language) if wordless(sentence) else ""
        )
    language = tongue.language if text else "en"
    return Said(measured(text or sentence, tongue, language), language)


@lru_cache(KEPT)
def recognised(sentence: str, *, whole: bool = True) -> tuple[str, Mapping[str, str]] | None:
    """Return the key of a sentence's form and what stands in its places; None when nobody has a form for it.

    Parameters
    ----------
    sentence
        In English and metric.
    whole
        Whether it is a sentence by itself; what stands in a place of one may have a form of its own besides.
    """
    for form in _likely(sentence):
        if (
            (whole and form.inside)
            or form.holds not in sentence
            or not sentence.startswith(form.begins)
            or not sentence.endswith(form.ends)
        ):
            continue
        found = _pattern(form.text).fullmatch(sentence)
        if found is not None:
            return form.key, found.groupdict()
    return None


def ways(sentence: str) -> Iterator[tuple[str, ...]]:
    """Return the ways in which a sentence may be put together of sentences that have forms, whole first.

    Parameters
    ----------
    sentence
        In English.

    Returns
    -------
    iterator
        Its parts, each with the joint behind it.
    """
    pieces = _JOINT.split(sentence)
    for cuts in sorted(range(1 << min(len(pieces) - 1, MOST_JOINTS)), key=int.bit_count):
        parts = [pieces[0]]
        for k, piece in enumerate(pieces[1:]):
            if cuts >> k & 1:
                parts.append(piece)
            else:
                parts[-1] += piece
        yield tuple(parts)


@lru_cache(KEPT)
def form_of(part: str) -> tuple[str, Mapping[str, str], str, bool] | None:
    """Return the form of one part of a sentence: its key, its values, what ends it, whether its first letter is large.

    Parameters
    ----------
    part
        In English, with the joint behind it.
    """
    open_end = part.rstrip("; ")
    tries = [(open_end, part[len(open_end) :])]
    if open_end.endswith("."):
        tries.append((open_end[:-1], part[len(open_end) - 1 :]))
    for text, end in tries:
        if (found := recognised(text)) is not None:
            return *found, end, False
    for text, end in tries:
        if text[:1].isupper() and (found := recognised(text[0].lower() + text[1:])) is not None:
            return *found, end, True
    return None


@lru_cache(KEPT)
def in_language(sentence: str, language: str) -> str | None:
    """Return a sentence of a plan in a language, metric; None when nobody has a form for it.

    Parameters
    ----------
    sentence
        In English and metric.
    language
        One of `bagside.web.words.catalogue.LANGUAGES`, other than English.
    """
    best, most = None, -1
    for parts in ways(sentence):
        forms = [form for part in parts if (form := form_of(part)) is not None]
        if len(forms) < len(parts):
            continue
        each = [_put(form, language) for form in forms]
        known = sum(k for _, k in each)
        if known >= most:
            best, most = "".join(text for text, _ in each), known
    return best


def _put(form: tuple[str, Mapping[str, str], str, bool], language: str) -> tuple[str, int]:
    """Return one part of a sentence as it is written, and how much of it forms know."""
    key, values, end, large = form
    text, known = _filled((key, values), language)
    text = text[:1].upper() + text[1:] if large else text
    return text + (end.removeprefix(".") if text.endswith((".", "!", "?")) else end), known


def _filled(found: tuple[str, Mapping[str, str]], language: str) -> tuple[str, int]:
    key, values = found
    form = catalogue(language).get(key) or catalogue("en")[key]
    each = {name: _inside(value, language) for name, value in values.items()}
    known = len(_PLACE.sub("", catalogue("en")[key])) + sum(k for _, k in each.values())
    return form.format(**{name: text for name, (text, _) in each.items()}), known


@lru_cache(KEPT)
def _inside(value: str, language: str) -> tuple[str, int]:
    """Return what stands in a place, itself said in the language where there is a form for it, and how much is known.

    A place takes anything, so a form may take several things of a list as one: of the ways to read the value the one
    counts of which the forms know the most letters.
    """
    found = recognised(value, whole=False)
    best, most = (located(value, language), 0) if found is None else _filled(found, language)
    for joint in IN_LISTS:
        items = value.split(joint)
        if len(items) > 1:
            each = [_inside(item, language) for item in items]
            known = sum(k for _, k in each)
            if known >= most:
                best, most = joint.join(text for text, _ in each), known
    return best, most


def _likely(sentence: str) -> list[_Form]:
    """Return the forms that begin as the sentence does, or else end as it does, in their order."""
    begins, ends, rest = _sorted()
    found = [*begins.get(sentence[:TOLD_BY], ()), *ends.get(sentence[-TOLD_BY:], ()), *rest]
    return [form for _, form in sorted(found, key=itemgetter(0))]


_Numbered = tuple[int, _Form]


@cache
def _sorted() -> tuple[dict[str, list[_Numbered]], dict[str, list[_Numbered]], list[_Numbered]]:
    """Return the forms by their first letters, others by their last ones, and those that begin and end in a place."""
    begins: dict[str, list[_Numbered]] = {}
    ends: dict[str, list[_Numbered]] = {}
    rest: list[_Numbered] = []
    for k, form in enumerate(_forms()):
        if len(form.begins) >= TOLD_BY:
            begins.setdefault(form.begins[:TOLD_BY], []).append((k, form))
        elif len(form.ends) >= TOLD_BY:
            ends.setdefault(form.ends[-TOLD_BY:], []).append((k, form))
        else:
            rest.append((k, form))
    return begins, ends, rest


@cache
def _forms() -> tuple[_Form, ...]:
    """Return the English forms, those with the most words of their own first."""
    texts = {k: t for k, t in catalogue("en").items() if k.startswith((f"{STEPS}.", FINDINGS))}
    ordered = sorted(texts.items(), key=lambda item: (-len(_PLACE.sub("", item[1])), item[0]))
    return tuple(_form(key, text) for key, text in ordered)


def _form(key: str, text: str) -> _Form:
    own = _PLACE.split(text)[::2]
    inside = key.partition(".")[2].startswith(INSIDE)
    return _Form(key=key, inside=inside, begins=own[0], ends=own[-1], holds=max(own, key=len), text=text)


@cache
def _pattern(text: str) -> re.Pattern[str]:
    """Return what a form recognises; made when a sentence is first held against it, as making all takes long."""
    seen = set[str]()

    def place(name: str) -> str:
        if name in seen:
            return f"(?P={name})"
        seen.add(name)
        return f"(?P<{name}>{WORD if name.startswith('word') else '.+?'})"

    parts = _PLACE.split(text)
    expression = "".join(re.escape(p) if k % 2 == 0 else place(p) for k, p in enumerate(parts))
    return re.compile(expression, re.DOTALL)
