"""Many files as one backup: a folder, a tar or a zip, with a list of their digests, whole or not there at all.

The list is written last, so a backup without it was cut off. What is unpacked is held against it before anybody sees
it.
"""

from __future__ import annotations

import hashlib
import io
import json
import lzma
import os
import shutil
import tarfile
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from time import localtime
from typing import IO, Any, Protocol

from bagside.errors import InputError, OutputError
from bagside.records.writing import unwritable

LIST = "backup.json"
FORM = 1
AT_ONCE = 1 << 20
TARS = (".tar", ".tar.gz", ".tgz", ".tar.xz")
_UNREADABLE = (
    tarfile.TarError, zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, NotImplementedError,
    RuntimeError,
)  # fmt: skip
_CURE = "take another backup; nothing was changed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """One file of a backup: its name with slashes, size in bytes and SHA-256."""

    name: str
    size: int
    sha256: str


class Pack(Protocol):
    """A backup that is being made."""

    def add(self, name: str, source: IO[bytes], size: int) -> None:
        """Put a file into it."""


class _FolderPack:
    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def add(self, name: str, source: IO[bytes], size: int) -> None:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as file:
            shutil.copyfileobj(source, file, AT_ONCE)
            file.flush()
            os.fsync(file.fileno())


class _TarPack:
    def __init__(self, tar: tarfile.TarFile, time: float) -> None:
        self.tar = tar
        self.time = time

    def add(self, name: str, source: IO[bytes], size: int) -> None:
        entry = tarfile.TarInfo(name)
        entry.size, entry.mode, entry.mtime = size, 0o644, self.time
        self.tar.addfile(entry, source)


class _ZipPack:
    def __init__(self, zip: zipfile.ZipFile, time: float) -> None:
        self.zip = zip
        self.time = localtime(time)[:6]

    def add(self, name: str, source: IO[bytes], size: int) -> None:
        entry = zipfile.ZipInfo(name, self.time)
        entry.compress_type = zipfile.ZIP_DEFLATED
        with self.zip.open(entry, "w", force_zip64=True) as file:
            shutil.copyfileobj(source, file, AT_ONCE)


class _Hashed(io.RawIOBase):
    """A file whose content is hashed while it is read."""

    def __init__(self, file: IO[bytes]) -> None:
        self.file = file
        self.seen = hashlib.sha256()
        self.size = 0

    def readable(self) -> bool:
        """Return true."""
        return True

    def read(self, size: int = -1) -> bytes:
        """Return the next bytes."""
        part = self.file.read(size)
        self.seen.update(part)
        self.size += len(part)
        return part


class Packing:
    """Files going into a backup, with the list of what they were."""

    def __init__(self, pack: Pack) -> None:
        self.pack = pack
        self.files: list[Packed] = []

    def add(self, name: str, path: Path) -> None:
        """Put a file into the backup; one that is gone is left out.

        Parameters
        ----------
        name
            In the backup, with slashes.
        path
            Where it lies.

        Raises
        ------
        OutputError
            When it cannot be read.
        """
        try:
            file = path.open("rb")
        except FileNotFoundError:
            return
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise OutputError(f'"{path}" cannot be read: {reason}. No backup was made.') from None
        with file:
            hashed = _Hashed(file)
            self.pack.add(name, hashed, os.fstat(file.fileno()).st_size)  # type: ignore[arg-type]
        self.files.append(Packed(name=name, size=hashed.size, sha256=hashed.seen.hexdigest()))

    def finish(self, about: Mapping[str, Any]) -> None:
        """Put in the list, last.

        Parameters
        ----------
        about
            What else it says.
        """
        listed = [{"name": f.name, "size": f.size, "sha256": f.sha256} for f in self.files]
        data = {"bagside": "backup", "form": FORM, **about, "files": listed}
        data["sum"] = _sum(data)
        text = (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()
        self.pack.add(LIST, io.BytesIO(text), len(text))


@contextmanager
def packing(path: Path, time: float) -> Iterator[Packing]:
    """Give a backup to put files into; it is at its place when all went well, and nowhere else.

    Parameters
    ----------
    path
        Of a folder that is not there yet, or of a file that ends with ``.zip``, ``.tar``, ``.tar.gz``.
    time
        Of its files [s since 1970].

    Raises
    ------
    OutputError
        When it cannot be written.
    """
    draft: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        name = path.name.lower()
        if name.endswith((".zip", *TARS)):
            handle, made = tempfile.mkstemp(prefix=".backup-", dir=path.parent)
            os.close(handle)
            draft = Path(made)
            if name.endswith(".zip"):
                with zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED) as zipped:
                    yield Packing(_ZipPack(zipped, time))
            else:
                with tarfile.open(draft, _tar_mode(name)) as tarred:
                    yield Packing(_TarPack(tarred, time))
            os.chmod(draft, 0o644)
            with draft.open("rb+") as file:
                os.fsync(file.fileno())
        else:
            draft = Path(tempfile.mkdtemp(prefix=".backup-", dir=path.parent))
            yield Packing(_FolderPack(draft))
            os.chmod(draft, 0o755)
        os.replace(draft, path)
        draft = None
    except OSError as error:
        raise unwritable(path, error) from None
    finally:
        if draft is not None and draft.is_dir():
            shutil.rmtree(draft, ignore_errors=True)
        elif draft is not None:
            draft.unlink(missing_ok=True)


def _tar_mode(name: str) -> Any:
    return "w:xz" if name.endswith("xz") else "w:gz" if name.endswith("gz") else "w"


def unpacked(path: Path, folder: Path) -> dict[str, Any]:
    """Unpack a backup into a folder and hold every file against the list; return what the list says.

    Parameters
    ----------
    path
        Of the backup: a folder, a tar or a zip.
    folder
        Empty; what is in it after an error is of no use.

    Raises
    ------
    InputError
        When it is no backup, or is damaged.
    OutputError
        When the folder cannot be written.
    """
    try:
        found = _laid_out(path, folder)
    except _UNREADABLE as error:  # what cannot be written is an OutputError already
        raise damaged(path, str(error).lower() or "it was cut off") from None
    about = _listed(path, folder / LIST)
    names = {str(f["name"]) for f in about["files"]}
    wrong = [
        f"{f['name']} is {'missing' if f['name'] not in found else 'not as it was written'}"
        for f in about["files"]
        if found.get(f["name"]) != (f["size"], f["sha256"])
    ]
    if wrong:
        more = f", and {len(wrong) - 1} more" if len(wrong) > 1 else ""
        raise damaged(path, wrong[0] + more)
    for name in found.keys() - names:
        (folder / name).unlink()
    return about


def damaged(path: Path, why: str) -> InputError:
    """Return the sentence for a backup that cannot be used.

    Parameters
    ----------
    path
        Of the backup.
    why
        In a clause.
    """
    return InputError.one(str(path), "", f"this backup is damaged: {why}", _CURE)


def _laid_out(path: Path, folder: Path) -> dict[str, tuple[int, str]]:
    """Unpack everything; return size and digest of each file by its name."""
    out: dict[str, tuple[int, str]] = {}
    if path.is_dir():
        if not (path / LIST).is_file():
            raise _no_backup(path)
        for file in sorted(p for p in path.rglob("*") if p.is_file() and not p.is_symlink()):
            with file.open("rb") as source:
                _put(folder, file.relative_to(path).as_posix(), source, out, path)
    elif not path.is_file():
        raise InputError.one(str(path), "", "there is no such backup")
    elif zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as zipped:
            for entry in zipped.infolist():
                if not entry.is_dir():
                    with zipped.open(entry) as source:
                        _put(folder, entry.filename, source, out, path)
    elif tarfile.is_tarfile(path):
        with tarfile.open(path) as tarred:
            for member in tarred:
                opened = tarred.extractfile(member) if member.isfile() else None
                if opened is not None:
                    with opened as source:
                        _put(folder, member.name, source, out, path)
    elif path.name.lower().endswith((".zip", *TARS)):
        raise damaged(path, "it is cut off, or it is no archive")
    else:
        raise _no_backup(path)
    return out


def _put(folder: Path, name: str, source: IO[bytes], out: dict[str, tuple[int, str]], path: Path) -> None:
    parts = PurePosixPath(name).parts
    if not parts or name.startswith("/") or any(p in ("..", ".") or "\\" in p or ":" in p for p in parts):
        raise damaged(path, f'"{name}" would lie outside of it')
    place = folder.joinpath(*parts)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        with place.open("wb") as file:
            hashed = _Hashed(source)
            while part := _next(hashed, path):
                file.write(part)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise unwritable(place, error) from None
    out[name] = (hashed.size, hashed.seen.hexdigest())


def _next(source: _Hashed, path: Path) -> bytes:
    try:
        return source.read(AT_ONCE)
    except OSError as error:
        raise damaged(path, str(error).lower()) from None


def _listed(path: Path, file: Path) -> dict[str, Any]:
    """Return the list of a backup."""
    if not file.is_file():
        raise damaged(path, f"its list {LIST} is missing: it was cut off")
    try:
        data = json.loads(file.read_bytes())
    except ValueError:
        raise damaged(path, f"its list {LIST} cannot be read") from None
    if not isinstance(data, dict) or data.get("bagside") != "backup":
        raise _no_backup(path)
    form = data.get("form")
    if isinstance(form, int) and form > FORM:
        wanted = f"a newer bagside made this backup; this one reads form {FORM}"
        raise InputError.one(str(path), f"form {form}", wanted, "update bagside")
    if data.pop("sum", None) != _sum(data):
        raise damaged(path, f"its list {LIST} is not as it was written")
    return data


def _no_backup(path: Path) -> InputError:
    return InputError.one(str(path), "", "this is no backup", 'what "bagside backup" made is wanted')


def _sum(data: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(data, ensure_ascii=False, sort_keys=True).encode()).hexdigest()
