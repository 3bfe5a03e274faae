"""This computer, the shop's network, or elsewhere: told from what cannot be pretended."""

from __future__ import annotations

import pytest

from tracker.sharing.addresses import own_addresses
from tracker.sharing.visitors import Visitor

OWN = frozenset({"printroom", "printroom.local"})


def visitor(address: str, host: str = "localhost:8501", **more: str) -> Visitor:
    headers = {name.replace("_", "-"): value for name, value in more.items()}
    return Visitor(address, {"host": host, **headers})


@pytest.mark.parametrize("address", ["127.0.0.1", "::1"])
@pytest.mark.parametrize("host", ["localhost:8501", "127.0.0.1:8501", "[::1]:8501", "localhost"])
def test_a_browser_on_this_computer_is_this_computer(address: str, host: str) -> None:
    assert visitor(address, host).is_this_computer


@pytest.mark.parametrize(
    "name",
    ["forwarded", "via", "x_forwarded_for", "x_real_ip", "x_forwarded_proto", "x_forwarded_port"],
)
def test_what_a_proxy_passes_on_is_not_this_computers(name: str) -> None:
    assert not visitor("127.0.0.1", **{name: "127.0.0.1"}).is_this_computer


def test_a_tunnel_that_keeps_the_name_asked_for_is_not_this_computers() -> None:
    assert not visitor("127.0.0.1", "tracker.example.org").is_this_computer
    assert not visitor("127.0.0.1", "").is_this_computer


def test_another_computer_is_not_this_one_whatever_it_asks_for() -> None:
    assert not visitor("192.168.1.20", "localhost:8501").is_this_computer


@pytest.mark.parametrize("address", ["192.168.1.20", "10.0.0.5", "172.16.3.4", "fd00::1", "::1"])
def test_the_shops_network_is_near(address: str) -> None:
    """Addresses of private networks (RFC 1918, RFC 4193) are passed on by no provider."""
    assert visitor(address).is_near


@pytest.mark.parametrize("address", ["8.8.8.8", "2606:4700::1111", "", "somewhere"])
def test_the_wide_internet_is_not_near(address: str) -> None:
    assert not visitor(address).is_near


@pytest.mark.parametrize("host", ["printroom:8501", "printroom.local", "192.168.1.5:8501"])
def test_this_computer_is_asked_for_by_its_names_and_addresses(host: str) -> None:
    assert visitor("192.168.1.20", host).asks_for(OWN)


@pytest.mark.parametrize("host", ["elsewhere.example", "8.8.8.8", "", "printroom.example", "[::"])
def test_a_name_that_only_leads_here_is_not_asked_for(host: str) -> None:
    """DNS rebinding: a page elsewhere makes its own name lead to this computer."""
    assert not visitor("192.168.1.20", host).asks_for(OWN)


def test_a_page_elsewhere_is_told_from_an_own_one() -> None:
    own = visitor("192.168.1.20", "192.168.1.5:8501", origin="http://192.168.1.5:8501")
    other = visitor("192.168.1.20", "192.168.1.5:8501", origin="http://elsewhere.example")
    sandboxed = visitor("192.168.1.20", "192.168.1.5:8501", origin="null")
    silent = visitor("192.168.1.20", "192.168.1.5:8501")
    assert own.is_from_own_page()
    assert not own.is_from_other_page()
    assert other.is_from_other_page()
    assert sandboxed.is_from_other_page()
    assert not silent.is_from_own_page()
    assert not silent.is_from_other_page()


def test_behind_a_proxy_the_page_at_the_proxys_address_is_an_own_one() -> None:
    passed = visitor("127.0.0.1", "localhost:8501", origin="https://tracker.example.org")
    assert passed.is_from_own_page("https://tracker.example.org")
    assert passed.is_from_other_page()


def test_no_address_of_this_computer_is_one_that_others_cannot_reach() -> None:
    assert not set(own_addresses()) & {"127.0.0.1", "127.0.1.1", "0.0.0.0"}
