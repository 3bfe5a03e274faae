"""Where does the shop's network reach this computer?"""

from __future__ import annotations

import socket
from contextlib import suppress
from ipaddress import ip_address

# Addresses of private networks (RFC 1918) and of documentation (RFC 5737): asking which way leads
# there sends nothing, and names the own address on that way.
_ASKED = ("192.168.255.254", "10.255.255.254", "172.31.255.254", "192.0.2.1")


def own_addresses() -> list[str]:
    """This computer's addresses (IPv4) on the networks around it, the likeliest first."""
    found = [_on_the_way_to(other) for other in _ASKED]
    with suppress(OSError):  # a computer that does not know its own name
        known = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        found += [str(info[4][0]) for info in known]
    fit = [address for address in found if address and _is_of_a_network(address)]
    return sorted(dict.fromkeys(fit), key=lambda address: ip_address(address).is_global)


def own_names() -> frozenset[str]:
    """The names by which others on the network may ask for this computer."""
    name = socket.gethostname().lower()
    return frozenset({name, name.split(".")[0], f"{name.split('.')[0]}.local"})


def _on_the_way_to(other: str) -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect((other, 9))
            return str(way.getsockname()[0])
        except OSError:
            return ""


def _is_of_a_network(address: str) -> bool:
    known = ip_address(address)
    return not (known.is_loopback or known.is_link_local or known.is_unspecified)
