"""What can go wrong, as a tree.

    BagsideError
    ├── InputError        what a person gave cannot be used; carries every problem found, not only the first
    ├── OutputError       a result cannot be written where it was asked for
    └── NotSolved         a computation did not reach its tolerance; says how far it came

The command line turns each of them into one message on standard error and exit code 2. Nothing here is a warning:
what a stage merely noticed is a `Finding`.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong with what a person gave.

    Parameters
    ----------
    place
        File and the place in it, as a person would name it: ``job.toml, ply 3, material``.
    came
        What was found there, as written; empty when something is missing.
    wanted
        What is needed there, with an example.
    hint
        A near match or the next thing to do; may be empty.
    """

    place: str
    came: str
    wanted: str
    hint: str = ""

    def __str__(self) -> str:
        """Return the problem as one sentence."""
        found = f": {self.came}" if self.came else ""
        hint = f" ({self.hint})" if self.hint else ""
        return f"{self.place}{found} – {self.wanted}{hint}"


class BagsideError(Exception):
    """Root of everything this package raises on purpose."""


class InputError(BagsideError):
    """What a person gave cannot be used.

    Parameters
    ----------
    problems
        Every problem found, in reading order; at least one.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(p) for p in self.problems))

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[Problem, ...]]]:
        """Return how it is made anew when it comes out of another process."""
        return (type(self), (self.problems,))

    @classmethod
    def one(cls, place: str, came: str, wanted: str, hint: str = "") -> InputError:
        """Return an error with a single problem."""
        return cls([Problem(place=place, came=came, wanted=wanted, hint=hint)])


class OutputError(BagsideError):
    """A result cannot be written where it was asked for."""


class NotSolved(BagsideError):  # noqa: N818 - reads as a sentence where it is caught
    """A computation did not reach its tolerance."""


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return a near match as a hint, or the names that exist, or nothing.

    Parameters
    ----------
    word
        What a person wrote.
    known
        What would have been understood.

    Examples
    --------
    >>> did_you_mean("twil-200", ["twill-200", "uni-150"])
    'did you mean "twill-200"?'
    """
    names = sorted(known)
    near = get_close_matches(word, names, n=1, cutoff=0.6)
    if near:
        return f'did you mean "{near[0]}"?'
    if names and len(names) <= 12:
        return "known here: " + ", ".join(names)
    return ""
