"""This computer on the workshop's network: its address, its names, and a port to serve on."""

import errno
import re
import socket
from collections.abc import Callable, Iterable
from ipaddress import IPv4Address, IPv4Network

from stores.errors import BadValue, NotFound
from stores.web.guard import LOCAL

__all__ = ["NETWORKS", "address_used_for", "local_name", "names", "network_address", "opened_port"]

NETWORKS = tuple(
    map(
        IPv4Network,
        ("192.168.0.0/16", "172.16.0.0/12", "10.0.0.0/8", "169.254.0.0/16", "192.0.2.0/24"),
    )
)
"""Addresses that are on no internet: RFC 1918 section 3, RFC 3927, RFC 5737 section 3."""


def address_used_for(target: IPv4Address) -> str | None:
    """Return which address of this computer would be used to reach another one, None if none
    would. Nothing is sent: a UDP socket that is connected only looks the way up."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect((str(target), 9))
        except OSError:
            return None
        return str(way.getsockname()[0])


def network_address(
    named: str = "", way: Callable[[IPv4Address], str | None] = address_used_for
) -> str:
    """Return this computer's address on the local network: the one that is ``named``, else the
    one by which it would reach a private network, a home's before a company's.

    Raises:
        BadValue: the named one is none of a local network.
        NotFound: this computer has none.
    """
    if named:
        if not _is_local(named):
            raise BadValue(
                f"{named[:60]!r} is no address of a local network: give this computer's own, "
                "such as 192.168.1.20"
            )
        return named
    found = [way(network[-2]) for network in NETWORKS]
    for network in NETWORKS:
        for address in found:
            if address is not None and IPv4Address(address) in network:
                return address
    raise NotFound(
        "no local network here: join the workshop's Wi-Fi first, or say this computer's address "
        "with --address"
    )


def _is_local(address: str) -> bool:
    try:
        return any(IPv4Address(address) in network for network in NETWORKS)
    except ValueError:
        return False


def local_name() -> str:
    """Return this computer's name on the local network, as ``workshop.local``; "" if it has none
    that can stand in an address."""
    name = socket.gethostname().split(".")[0].lower()
    return f"{name}.local" if re.fullmatch(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", name) else ""


def names(address: str) -> frozenset[str]:
    """Return the names by which this computer may be called on the network and at the desk."""
    return LOCAL | {name for name in (address, local_name()) if name}


def opened_port(host: str, port: int, others: Iterable[socket.socket] = ()) -> socket.socket:
    """Return a socket that listens; ``others`` are closed again where it cannot.

    Raises:
        BadValue: the port is taken, is none, or the address is none of this computer's.
    """
    if not 0 <= port <= 65535:
        raise BadValue(f"there is no port {port}: use one from 1024 to 65535")
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # on Windows two programs would share it
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(128)
    except OSError as error:
        for each in (listening, *others):
            each.close()
        raise BadValue(_why_not(error, host, port)) from None
    return listening


def _why_not(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"port {port} is in use: perhaps the stores is open already. Close that, or use "
            f"another port: stores serve --port {port + 1 if port < 65535 else 8711}"
        )
    if error.errno == errno.EACCES:
        return f"port {port} may not be used by you: use one from 1024 to 65535, such as 8711"
    if error.errno == errno.EADDRNOTAVAIL:
        return f"{host} is no address of this computer: leave --address out, or give its own"
    return f"port {port} cannot be opened on {host}: {error.strerror or error}"
