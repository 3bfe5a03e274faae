"""Where does a request come from: this computer, the shop's network, or elsewhere?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from ipaddress import ip_address
from urllib.parse import urlsplit

_LOCAL_NAMES = {"localhost", "127.0.0.1", "[::1]", "::1"}
# What programs that pass requests on (proxies, tunnels) add to them.
_PASSED_ON = ("forwarded", "via", "x-real-ip", "true-client-ip", "cf-connecting-ip")
_PASSED_ON_FAMILY = "x-forwarded"  # -for, -host, -port, -proto and what else there is


@dataclass(frozen=True)
class Visitor:
    """What a request says of its sender: the network address it came from, its headers (names in
    small letters).
    """

    address: str
    headers: Mapping[str, str]

    @property
    def host(self) -> str:
        """The name or address that the sender asked for, without the port."""
        return _hostname(f"//{self.headers.get('host', '')}")

    @property
    def is_this_computer(self) -> bool:
        """Does the request come from this very computer, with nothing between?

        A proxy or tunnel that runs on this computer makes everybody come from it. So the address
        alone is not believed: the name asked for has to be this computer's own, and nothing may
        say that the request was passed on. A tunnel that rewrites both cannot be told from a
        browser here; whoever runs one says so (``--proxy``), and then no request is taken for
        this computer's.
        """
        return (
            _is_loopback(self.address)
            and self.host in _LOCAL_NAMES
            and not any(
                name in _PASSED_ON or name.startswith(_PASSED_ON_FAMILY) for name in self.headers
            )
        )

    @property
    def is_near(self) -> bool:
        """Does it come from an address that no network passes on to the wide internet?"""
        try:
            return not ip_address(self.address).is_global
        except ValueError:
            return False

    def asks_for(self, names: frozenset[str]) -> bool:
        """Did the sender ask for this computer: by an address, or by one of its names?

        A page elsewhere that makes its own name lead here (DNS rebinding) asks for its own name.
        """
        if self.host in _LOCAL_NAMES or self.host in names:
            return True
        try:
            return not ip_address(self.host.strip("[]")).is_global
        except ValueError:
            return False

    def is_from_own_page(self, address: str = "") -> bool:
        """Does a page of this very app send it? Browsers say which page does (``Origin``); behind
        a proxy it may be one at the ``address`` that people use.
        """
        origin = self.headers.get("origin", "")
        here = urlsplit(origin).netloc
        return bool(here) and (here == self.headers.get("host") or origin == address)

    def is_from_other_page(self, address: str = "") -> bool:
        """Does a page elsewhere send it?"""
        return "origin" in self.headers and not self.is_from_own_page(address)


def _hostname(url: str) -> str:
    try:
        found = urlsplit(url).hostname
    except ValueError:
        return ""
    return found or ""


def _is_loopback(address: str) -> bool:
    try:
        return ip_address(address).is_loopback
    except ValueError:
        return False
