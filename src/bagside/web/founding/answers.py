"""What has been answered so far about a workshop that is not written yet; kept for all windows, not with a page."""

from __future__ import annotations

from dataclasses import dataclass, field

from bagside.web.founding.questions import EVERY
from bagside.web.founding.workshop_text import in_currency


def _begun() -> dict[str, str]:
    return {q.name: q.start for q in EVERY}


@dataclass(slots=True)
class Answers:
    """The answers.

    Parameters
    ----------
    values
        By the names of questions, as the file will state them.
    touched
        Names of questions that a person has answered.
    """

    values: dict[str, str] = field(default_factory=_begun)
    touched: set[str] = field(default_factory=set)

    def answer(self, name: str, value: str) -> None:
        """Take an answer.

        Parameters
        ----------
        name
            Of the question.
        value
            As the file will state it.
        """
        self.values[name] = value
        self.touched.add(name)
        if name == "currency":
            for question in EVERY:
                if question.kind is not None and question.kind.name.startswith("MONEY"):
                    self.values[question.name] = in_currency(self.values[question.name], value)

    @property
    def left(self) -> frozenset[str]:
        """Names of questions whose value stands as it was to begin with."""
        return frozenset(q.name for q in EVERY if q.start and q.name not in self.touched)
