"""Who may come in: the two PINs as hashes, the key that signs sessions, and the file they are kept in.

The file is ``.bagside/access.json`` in the workshop's folder, readable by its owner alone. It never holds a PIN.
Whoever can read it can sign sessions and try out PINs at leisure, so a ``.gitignore`` beside it keeps it out of version
control; backups leave out what is hidden.
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from bagside.errors import InputError, OutputError

FILE = Path(".bagside") / "access.json"
"""Of the workshop's folder."""
FORMAT = 1
SECRET = 32  # bytes of the signing key: as long as the digest it feeds, RFC 2104 section 3
LOOPBACK = "127.0.0.1"
_CURE = "delete the file; the next start with --lan makes new PINs, and every device joins again"


class Role(StrEnum):
    """What a session may do."""

    FLOOR = "floor"
    DESK = "desk"


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """Where the pages listen and who is let in.

    Parameters
    ----------
    lan
        Whether other devices may come; without it only this machine, as desk, without a PIN.
    host, port
        Where it listens.
    floor_hash, desk_hash
        Argon2 hashes of the PINs; None without ``lan``.
    secret
        Key that signs sessions.
    epoch
        Sessions of an earlier epoch are over.
    certificate, key
        Files for TLS; both or neither.
    names
        Names this machine may be called by besides its own.
    file
        Where the above is kept; None when nothing is.
    """

    lan: bool
    host: str = LOOPBACK
    port: int
    floor_hash: str | None = field(default=None, repr=False)
    desk_hash: str | None = field(default=None, repr=False)
    secret: bytes = field(repr=False)
    epoch: int = 0
    certificate: Path | None = None
    key: Path | None = None
    names: tuple[str, ...] = ()
    file: Path | None = None

    @classmethod
    def loopback(cls, port: int) -> Access:
        """Return access for this machine alone.

        Parameters
        ----------
        port
            Where it listens.
        """
        return cls(lan=False, port=port, secret=secrets.token_bytes(SECRET))

    @property
    def secure(self) -> bool:
        """Whether it is spoken to through TLS."""
        return self.certificate is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What the file holds.

    Parameters
    ----------
    floor_hash, desk_hash
        Of the PINs.
    secret
        Key that signs sessions.
    epoch
        Counts how often everybody was signed out.
    ended
        Sessions that were ended one by one, and when each would have ended by itself [s since 1970].
    """

    floor_hash: str = field(repr=False)
    desk_hash: str = field(repr=False)
    secret: bytes = field(repr=False)
    epoch: int = 0
    ended: Mapping[str, float] = field(default_factory=dict)


def read_kept(path: Path) -> Kept | None:
    """Return what is kept; None when there is nothing yet.

    Parameters
    ----------
    path
        Of the file.

    Raises
    ------
    InputError
        When the file is damaged, or others than its owner may read it and that cannot be changed.
    """
    try:
        text = path.read_text(encoding="utf-8")
        _close_to_others(path)
    except FileNotFoundError:
        return None
    except UnicodeDecodeError:
        raise InputError.one(str(FILE), "", "the file is damaged", _CURE) from None
    except OSError as error:
        raise InputError.one(str(FILE), "", f"cannot be read: {(error.strerror or str(error)).lower()}") from None
    try:
        said = json.loads(text)
        if not isinstance(said, dict) or said.get("format") != FORMAT:
            raise ValueError("format")
        kept = Kept(
            floor_hash=_text(said["floor"]),
            desk_hash=_text(said["desk"]),
            secret=bytes.fromhex(_text(said["secret"])),
            epoch=int(said["epoch"]),
            ended={_text(name): float(until) for name, until in said["ended"].items()},
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise InputError.one(str(FILE), "", "the file is damaged", _CURE) from None
    if len(kept.secret) < SECRET or not all(h.startswith("$argon2id$") for h in (kept.floor_hash, kept.desk_hash)):
        raise InputError.one(str(FILE), "", "the file is damaged", _CURE)
    return kept


def write_kept(path: Path, kept: Kept) -> None:
    """Put down what is kept, in one step, for the owner's eyes only.

    Parameters
    ----------
    path
        Of the file.
    kept
        Its content.

    Raises
    ------
    OutputError
        When it cannot be written; then what was there is as it was.
    """
    said = {
        "format": FORMAT,
        "floor": kept.floor_hash,
        "desk": kept.desk_hash,
        "secret": kept.secret.hex(),
        "epoch": kept.epoch,
        "ended": dict(kept.ended),
    }
    draft: str | None = None
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        apart = path.parent / ".gitignore"
        if not apart.exists():
            apart.write_text(f".gitignore\n{FILE.name}\n.access.*\n", encoding="utf-8")
        handle, draft = tempfile.mkstemp(prefix=".access.", dir=path.parent)  # 0600 from its first moment
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(said, file, indent=1)
            file.flush()
            os.fsync(file.fileno())
        os.replace(draft, path)
        draft = None
    except OSError as error:
        raise OutputError(
            f'"{FILE}" cannot be written: {(error.strerror or str(error)).lower()}. Nothing was changed.'
        ) from None
    finally:
        if draft is not None:
            with contextlib.suppress(OSError):
                os.unlink(draft)


def _close_to_others(path: Path) -> None:
    """Take from others the right to read the file, if a copy or a backup gave it to them."""
    if os.name != "posix" or not path.stat().st_mode & 0o077:
        return
    try:
        os.chmod(path, 0o600)
    except OSError:
        raise InputError.one(
            str(FILE), f"mode {path.stat().st_mode & 0o777:o}", "others must not read it", f"chmod 600 {FILE}"
        ) from None


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("text")
    return value
