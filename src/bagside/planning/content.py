"""A file that counts by what is in it, not by where it lies."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from bagside.errors import InputError


@dataclass(frozen=True, slots=True)
class ContentFile:
    """A file whose identity, for keeping results, is its content and the end of its name.

    Parameters
    ----------
    path
        Where it lies now.
    digest
        Of its content.
    """

    path: Path
    digest: str

    @classmethod
    def of(cls, path: Path) -> ContentFile:
        """Return the file with its digest."""
        return cls(path, hashlib.sha256(path.read_bytes()).hexdigest())

    @classmethod
    def of_existing(cls, path: Path) -> ContentFile:
        """Return the file with its digest.

        Raises
        ------
        InputError
            When it cannot be read.
        """
        try:
            return cls.of(path)
        except FileNotFoundError:
            raise InputError.one(str(path), "", "there is no such file") from None
        except OSError as error:
            raise InputError.one(str(path), "", f"cannot be read: {(error.strerror or str(error)).lower()}") from None

    def __reduce_content__(self) -> tuple[str, str]:
        """Leave the folder out of what the file counts by, so that a moved workshop keeps its results."""
        return (self.path.name, self.digest)
