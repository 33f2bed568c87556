"""By which addresses other devices reach this machine."""

from __future__ import annotations

import ipaddress

import ifaddr

from bagside.web.guard.access import Access

_DEFAULT = {False: 80, True: 443}


def addresses() -> tuple[str, ...]:
    """Return the addresses of this machine in its networks, those of home and workshop networks first.

    Nothing is asked of the network: only the machine's own list is read.
    """
    found: list[str] = []
    for adapter in ifaddr.get_adapters():
        for entry in adapter.ips:
            if isinstance(entry.ip, str):  # version 4; those of version 6 change too often to be printed as a code
                found.append(entry.ip)
    return ranked(found)


def ranked(found: list[str]) -> tuple[str, ...]:
    """Return addresses that others can reach, the likeliest first.

    Parameters
    ----------
    found
        Of version 4, as the machine lists them.

    Examples
    --------
    >>> ranked(["127.0.0.1", "169.254.3.4", "8.8.8.8", "172.17.0.1", "192.168.1.20"])
    ('192.168.1.20', '172.17.0.1', '8.8.8.8')
    """
    kept: list[tuple[int, int, str]] = []
    for place, text in enumerate(dict.fromkeys(found)):
        try:
            address = ipaddress.IPv4Address(text)
        except ValueError:
            continue
        if address.is_loopback or address.is_link_local or address.is_unspecified or address.is_multicast:
            continue
        kept.append((_rank(address), place, text))
    return tuple(text for _, _, text in sorted(kept))


def join_address(host: str, access: Access) -> str:
    """Return where a device joins. It holds no PIN.

    Parameters
    ----------
    host
        Name or address of this machine.
    access
        Port, and whether through TLS.

    Examples
    --------
    >>> join_address("192.168.1.20", Access(lan=True, port=8180, secret=bytes(32)))
    'http://192.168.1.20:8180/join'
    """
    port = "" if access.port == _DEFAULT[access.secure] else f":{access.port}"
    shown = f"[{host}]" if ":" in host else host
    return f"{'https' if access.secure else 'http'}://{shown}{port}/join"


def _rank(address: ipaddress.IPv4Address) -> int:
    """Return the order: 192.168 and 10 are what routers give (RFC 1918); 172.16 is mostly a program's own network."""
    for rank, net in enumerate(("192.168.0.0/16", "10.0.0.0/8", "172.16.0.0/12")):
        if address in ipaddress.IPv4Network(net):
            return rank
    return 3
