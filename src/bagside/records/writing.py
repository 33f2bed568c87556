"""A text file that is replaced in one step, or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

from bagside.errors import OutputError


def replaced(path: Path, text: str) -> None:
    """Put a new content in place of a file's, on the disk before this returns.

    Parameters
    ----------
    path
        Of the file; it need not be there yet.
    text
        Its new content.

    Raises
    ------
    OutputError
        When it cannot be written; then what was there is as it was.
    """
    replaced_by(path, [text.encode("utf-8")])


def replaced_by(path: Path, parts: Iterable[bytes]) -> None:
    """Put a new content that comes in parts in place of a file's, on the disk before this returns.

    Parameters
    ----------
    path
        Of the file; it need not be there yet.
    parts
        Of its new content.

    Raises
    ------
    OutputError
        When it cannot be written; then what was there is as it was.
    """
    draft: str | None = None
    try:
        handle, draft = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            for part in parts:
                file.write(part)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(draft, path.stat().st_mode & 0o777 if path.is_file() else 0o644)
        os.replace(draft, path)
        draft = None
    except OSError as error:
        raise unwritable(path, error) from None
    finally:
        if draft is not None:
            Path(draft).unlink(missing_ok=True)


def unwritable(path: Path, error: OSError) -> OutputError:
    """Return the sentence for a file that cannot be written.

    Parameters
    ----------
    path
        Of the file.
    error
        What the system said.
    """
    reason = (error.strerror or str(error)).lower()
    return OutputError(f'"{path}" cannot be written: {reason}. Nothing was changed.')
