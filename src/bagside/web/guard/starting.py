"""What a start asks and says: where it listens, PINs shown once, the code that brings a phone, and the certificate.

Nothing here speaks to a terminal: it gives values and text, and takes what was typed through a function it is given.
"""

from __future__ import annotations

import ipaddress
import os
import re
import secrets
import ssl
import stat
import sys
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import segno

from bagside.errors import InputError
from bagside.web.guard.access import FILE, LOOPBACK, SECRET, Access, Kept, Role, read_kept, write_kept
from bagside.web.guard.pins import chosen_pin, fits, grouped, hashed, made_pin
from bagside.web.guard.reach import addresses, join_address
from bagside.web.guard.scrub import SCRUB

EVERYWHERE = "0.0.0.0"
_NAME = re.compile(r"[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?(\.[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?)*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Started:
    """How the pages are served, and what is shown once.

    Parameters
    ----------
    access
        Where it listens and who is let in.
    pins
        That were made or chosen just now; empty when those of an earlier start hold.
    unkept
        What is written with `keep` before the pins are shown; None when it stands in the file already.
    own
        Whether the PINs are a person's own: they know them, and nothing is shown.
    watch
        Sentences about what is not as safe as it could be.
    """

    access: Access
    pins: Mapping[Role, str] = field(default_factory=dict, repr=False)
    unkept: Kept | None = field(default=None, repr=False)
    own: bool = False
    watch: tuple[str, ...] = ()


def started(
    folder: Path,
    *,
    port: int,
    lan: bool = False,
    host: str = "",
    certificate: Path | None = None,
    key: Path | None = None,
    names: tuple[str, ...] = (),
    new_pins: bool = False,
    choose: Callable[[Role], str] | None = None,
) -> Started:
    """Return how the pages of a workshop are served; nothing is written yet.

    Parameters
    ----------
    folder
        Of the workshop; the PINs' hashes are kept in it.
    port
        Where it listens.
    lan
        Whether other devices may come.
    host
        Address it listens at; this machine alone without ``lan``, all of its addresses with it, when empty.
    certificate, key
        For TLS, as PEM files.
    names
        By which this machine is called besides its own, as in the address on labels.
    new_pins
        Whether new PINs are made though there are some; every device joins again then.
    choose
        Asks for the PIN of a role; they are made when None. Those that hold already change nothing.

    Raises
    ------
    InputError
        When others could come without ``lan``, or certificate, key, name, PIN or the kept file cannot be used.
    """
    at = listening_at(host, lan=lan)
    if not 1 <= port <= 65535:
        raise InputError.one("--port", str(port), "a number from 1 to 65535 is wanted")
    watch = checked_certificate(certificate, key)
    for name in names:
        if not _NAME.fullmatch(name) or len(name) > 253:
            raise InputError.one(
                "address", f'"{name}"', "the name of this machine in the network is wanted", "bench.local"
            )
    if not lan:
        if new_pins or choose is not None:
            raise InputError.one("--lan", "", "PINs are for other devices", "start it with --lan as well")
        access = Access(
            lan=False, host=at, port=port, secret=secrets.token_bytes(SECRET), certificate=certificate, key=key
        )
        return Started(access=access, watch=watch)
    file = folder / FILE
    kept = read_kept(file)
    pins: dict[Role, str] = {}
    unkept: Kept | None = None
    if kept is None or new_pins or choose is not None:
        pins = _pins(choose)
        SCRUB.also(*pins.values(), *(grouped(p) for p in pins.values()))
        hold = kept is not None and fits(kept.floor_hash, pins[Role.FLOOR]) and fits(kept.desk_hash, pins[Role.DESK])
        if kept is None or new_pins or not hold:
            kept = unkept = Kept(
                floor_hash=hashed(pins[Role.FLOOR]),
                desk_hash=hashed(pins[Role.DESK]),
                secret=secrets.token_bytes(SECRET),  # a new key: whoever joined with the old PINs joins again
                epoch=0,
            )
    access = Access(
        lan=True,
        host=at,
        port=port,
        floor_hash=kept.floor_hash,
        desk_hash=kept.desk_hash,
        secret=kept.secret,
        epoch=kept.epoch,
        certificate=certificate,
        key=key,
        names=names,
        file=file,
    )
    return Started(access=access, pins=pins, unkept=unkept, own=choose is not None, watch=watch)


def keep(started: Started) -> None:
    """Write down the hashes of PINs that were made; to be called just before they are shown.

    A start that fails in between leaves nothing: else PINs would hold that nobody ever saw.

    Parameters
    ----------
    started
        See there.

    Raises
    ------
    OutputError
        When they cannot be written.
    """
    if started.unkept is not None and started.access.file is not None:
        write_kept(started.access.file, started.unkept)


def access_for(
    folder: Path,
    *,
    lan: bool,
    host: str = "",
    port: int,
    certificate: Path | None = None,
    key: Path | None = None,
    new_pins: bool = False,
    choose: Callable[[Role], str] | None = None,
) -> Access:
    """Return how the pages of a workshop are served; what is shown once is kept for `announced`.

    The workshop's own address, which its labels lead to, is a name this machine may be called by.

    Parameters
    ----------
    folder, lan, host, port, certificate, key, new_pins, choose
        See `started`.

    Raises
    ------
    InputError
        See `started`.
    """
    found = started(
        folder,
        lan=lan,
        host=host,
        port=port,
        certificate=certificate,
        key=key,
        names=_stated_name(folder) if lan else (),
        new_pins=new_pins,
        choose=choose,
    )
    _UNSAID[found.access.secret] = found
    return found.access


def announced(access: Access, *, colour: bool | None = None) -> str:
    """Return what the terminal says at a start; PINs are in it once and never again, and hold from then on.

    Parameters
    ----------
    access
        From `access_for`.
    colour
        Whether there is a code; as standard error is a terminal when None.

    Raises
    ------
    OutputError
        When the PINs' hashes cannot be kept.
    """
    shown = sys.stderr.isatty() if colour is None else colour
    found = _UNSAID.pop(access.secret, Started(access=access))
    keep(found)
    return told(found, colour=shown)


_UNSAID: dict[bytes, Started] = {}


def _stated_name(folder: Path) -> tuple[str, ...]:
    """Return the name in the workshop's own address; a file that cannot be read says so on the pages."""
    try:
        stated = tomllib.loads((folder / "workshop.toml").read_text(encoding="utf-8")).get("address", "")
        name = urlsplit(stated).hostname if isinstance(stated, str) else None
    except (OSError, ValueError):
        return ()
    if not name or not _NAME.fullmatch(name):
        return ()
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return (name,)
    return ()  # a bare address is taken anyhow


def listening_at(host: str, *, lan: bool) -> str:
    """Return the address to listen at.

    Parameters
    ----------
    host
        As asked for; may be empty.
    lan
        Whether other devices may come.

    Raises
    ------
    InputError
        When others could come though they may not, or it is no address.

    Examples
    --------
    >>> listening_at("", lan=False), listening_at("", lan=True), listening_at("localhost", lan=False)
    ('127.0.0.1', '0.0.0.0', '127.0.0.1')
    """
    if not host:
        return EVERYWHERE if lan else LOOPBACK
    if host == "localhost":
        return LOOPBACK
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        raise InputError.one(
            "--host", f'"{host}"', "an address of this machine is wanted, as in 192.168.1.20", "leave it out for all"
        ) from None
    if not lan and not address.is_loopback:
        raise InputError.one(
            "--host", host, "other devices could come in without a PIN", "start it with --lan, which asks for one"
        )
    return str(address)


def checked_certificate(certificate: Path | None, key: Path | None) -> tuple[str, ...]:
    """Return what there is to say about a certificate and its key.

    Parameters
    ----------
    certificate, key
        PEM files; both or neither.

    Raises
    ------
    InputError
        When one of them is missing, cannot be read, is locked, or they do not belong together.
    """
    if certificate is None and key is None:
        return ()
    if certificate is None or key is None:
        lacks, has = ("--certificate", "--key") if certificate is None else ("--key", "--certificate")
        raise InputError.one(lacks, "", f"it is wanted with {has}", "give both, or neither")
    for option, path in (("--certificate", certificate), ("--key", key)):
        if not path.is_file():
            raise InputError.one(option, f'"{path.name}"', "there is no such file")

    def locked() -> str:
        raise InputError.one("--key", f'"{key.name}"', "a key without a password is wanted", "the program starts alone")

    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    try:
        context.load_cert_chain(certificate, key, password=locked)
    except ssl.SSLError as error:
        reason = (error.reason or "").replace("_", " ").lower()
        if "mismatch" in reason:
            raise InputError.one("--key", f'"{key.name}"', f'it is not the key of "{certificate.name}"') from None
        raise InputError.one(
            "--certificate",
            f'"{certificate.name}", "{key.name}"',
            f"a certificate and its key as PEM are wanted ({reason})",
        ) from None
    except OSError as error:
        raise InputError.one(
            "--key", f'"{key.name}"', f"it cannot be read: {(error.strerror or str(error)).lower()}"
        ) from None
    if os.name == "posix" and stat.S_IMODE(key.stat().st_mode) & 0o077:
        return (f'Others on this computer can read the key "{key.name}"; take that from them with: chmod 600',)
    return ()


def told(started: Started, *, reached: tuple[str, ...] | None = None, colour: bool = True) -> str:
    """Return what the terminal says at a start.

    Parameters
    ----------
    started
        See there.
    reached
        Addresses of this machine; looked up when None.
    colour
        Whether the terminal shows colours: only then there is a code, since it must be dark on light.
    """
    access = started.access
    scheme = "https" if access.secure else "http"
    shown = f"[{access.host}]" if ":" in access.host else access.host
    if not access.lan:
        lines = [f"The pages are open on this computer: {scheme}://{shown}:{access.port}/"]
        return "\n".join([*lines, *started.watch])
    found = reached if reached is not None else addresses()
    if ipaddress.ip_address(access.host).is_loopback:
        found = ()
    elif access.host not in (EVERYWHERE, "::"):
        found = (access.host,)
    joins = [join_address(host, access) for host in (*access.names, *found)] if found else []
    lines = [f"The pages are open on this computer: {scheme}://localhost:{access.port}/"]
    if ipaddress.ip_address(access.host).is_loopback:
        lines += ["It asks for a PIN, and no other device can come: it listens on this computer only."]
    else:
        lines += ["and in its network:"] if joins else ["This computer is in no network: no other device can come yet."]
    lines += [f"  {address}" for address in joins]
    if joins and colour:
        lines += ["", code(joins[0])]
    if started.own:
        lines += ["", "Your own PINs hold."]
    elif started.pins:
        lines += ["", "These PINs are shown once. Write them down:"]
        lines += [f"  floor  {grouped(started.pins[Role.FLOOR]):<12} ticks and measures"]
        lines += [f"  desk   {grouped(started.pins[Role.DESK]):<12} everything"]
    else:
        lines += ["", "The PINs of the first start hold. --new-pins makes others, and every device joins again."]
    if not access.secure:
        lines += [
            "",
            "Started without a certificate: others in this network can read what is sent, PINs too, and a phone cannot",
            "reload its page while the network is cut. With --certificate and --key it can, and nobody reads along.",
        ]
    return "\n".join([*lines, *started.watch])


def code(address: str) -> str:
    """Return a code for a terminal, dark on light whatever its colours are, two rows to a line.

    Parameters
    ----------
    address
        It leads to.
    """
    rows = [list(row) for row in segno.make(address, error="l", micro=False).matrix_iter(border=3)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    marks = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
    lines = []
    for upper, lower in zip(rows[::2], rows[1::2], strict=True):
        lines.append("".join(marks[(int(bool(a)), int(bool(b)))] for a, b in zip(upper, lower, strict=True)))
    return "\n".join(f"\x1b[30;107m{line}\x1b[0m" for line in lines)


def _pins(choose: Callable[[Role], str] | None) -> dict[Role, str]:
    if choose is None:
        return {role: made_pin(role) for role in Role}
    pins = {role: chosen_pin(role, choose(role)) for role in Role}
    if len(set(pins.values())) != len(pins):
        raise InputError.one("desk PIN", "", "another PIN than the floor's is wanted")
    return pins
