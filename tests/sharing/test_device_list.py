"""Who is let in: codes that open once and soon close, tokens that are kept as hashes alone."""

from __future__ import annotations

import sqlite3
import stat
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tracker.errors import StoreError, UsageError
from tracker.sharing.device_list import (
    CODE_MINUTES,
    TRIES_OF_ALL,
    TRIES_OF_ONE,
    DeviceList,
    PairingRefused,
)
from tracker.sharing.roles import Person

NOW = datetime(2026, 10, 31, 9, 0)
PHONE = "192.168.1.20"


@pytest.fixture
def devices(tmp_path: Path) -> DeviceList:
    return DeviceList(tmp_path / "devices.sqlite")


def wrong_of(code: str) -> str:
    """A code that differs from this one in its first digit."""
    return f"{(int(code[0]) + 1) % 10}{code[1:]}"


def test_a_code_lets_one_device_in_under_the_name_it_says(devices: DeviceList) -> None:
    code = devices.new_code("log", NOW)
    token = devices.pair(code.text, "  Ana   Ruiz ", PHONE, NOW)
    found = devices.find(token, NOW)
    assert found is not None
    assert found.person == Person("Ana Ruiz", "log")


def test_a_code_opens_once(devices: DeviceList) -> None:
    code = devices.new_code("log", NOW)
    devices.pair(code.text, "Ana", PHONE, NOW)
    with pytest.raises(PairingRefused, match="used already"):
        devices.pair(code.text, "Ben", PHONE, NOW)
    assert len(devices.devices(NOW)) == 1


def test_of_many_who_type_the_same_code_at_once_one_gets_in(devices: DeviceList) -> None:
    code = devices.new_code("log", NOW)

    def attempt(number: int) -> bool:
        try:
            devices.pair(code.text, f"Person {number}", f"192.168.1.{number}", NOW)
        except PairingRefused:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(attempt, range(1, 17))) == 1


def test_a_code_closes_after_its_minutes(devices: DeviceList) -> None:
    code = devices.new_code("log", NOW)
    late = NOW + timedelta(minutes=CODE_MINUTES)
    with pytest.raises(PairingRefused, match="older than 10 minutes"):
        devices.pair(code.text, "Ana", PHONE, late)


def test_a_code_from_before_the_clock_was_put_back_lets_nobody_in(devices: DeviceList) -> None:
    code = devices.new_code("manage", NOW + timedelta(days=365))
    with pytest.raises(PairingRefused, match="lets nobody in"):
        devices.pair(code.text, "Eve", PHONE, NOW)


def test_wrong_tries_from_before_the_clock_was_put_back_keep_nobody_out(
    devices: DeviceList,
) -> None:
    for _ in range(TRIES_OF_ONE):
        with pytest.raises(PairingRefused):
            devices.pair("1", "Ana", PHONE, NOW + timedelta(days=365))
    assert devices.pair(devices.new_code("log", NOW).text, "Ana", PHONE, NOW)


def test_guessing_from_one_address_stops_even_for_the_right_code(devices: DeviceList) -> None:
    code = devices.new_code("log", NOW)
    for _ in range(TRIES_OF_ONE):
        with pytest.raises(PairingRefused, match="lets nobody in"):
            devices.pair(wrong_of(code.text), "Eve", PHONE, NOW)
    with pytest.raises(PairingRefused, match="Too many wrong codes"):
        devices.pair(code.text, "Eve", PHONE, NOW)
    assert devices.pair(code.text, "Ana", "192.168.1.21", NOW)  # others are not kept out by it


def test_guessing_from_many_addresses_voids_every_code(devices: DeviceList) -> None:
    code = devices.new_code("log", NOW)
    for number in range(TRIES_OF_ALL):
        with pytest.raises(PairingRefused):
            devices.pair(wrong_of(code.text), "Eve", f"192.168.2.{number}", NOW)
    later = NOW + timedelta(minutes=1)
    with pytest.raises(PairingRefused, match="Too many wrong codes"):
        devices.pair(code.text, "Ana", PHONE, later)
    after = NOW + timedelta(minutes=CODE_MINUTES, seconds=1)
    assert devices.pair(devices.new_code("log", after).text, "Ana", PHONE, after)


def test_addresses_that_one_device_can_change_at_will_are_counted_together(
    devices: DeviceList,
) -> None:
    """A device has the whole /64 of its IPv6 network to itself (RFC 4291, section 2.5.1)."""
    code = devices.new_code("log", NOW)
    for number in range(TRIES_OF_ONE):
        with pytest.raises(PairingRefused, match="lets nobody in"):
            devices.pair(wrong_of(code.text), "Eve", f"fd00:1:2:3::{number + 1}", NOW)
    with pytest.raises(PairingRefused, match="Too many"):
        devices.pair(code.text, "Eve", "fd00:1:2:3:aaaa::1", NOW)


def test_a_name_that_a_device_bears_is_refused_in_any_spelling(devices: DeviceList) -> None:
    devices.pair(devices.new_code("manage", NOW).text, "Ana", PHONE, NOW)
    code = devices.new_code("log", NOW)
    for name in ("Ana", "ANA", " ana ", "\uff21na"):  # the last with a wide letter
        with pytest.raises(PairingRefused, match="was paired already"):
            devices.pair(code.text, name, PHONE, NOW)
    assert devices.pair(code.text, "Ben", PHONE, NOW)  # a slip in the name used up no code


def test_a_code_made_for_a_name_gives_that_name_to_a_second_device(devices: DeviceList) -> None:
    devices.pair(devices.new_code("log", NOW).text, "Ana", PHONE, NOW)
    token = devices.pair(devices.new_code("log", NOW, name="Ana").text, "Ben", PHONE, NOW)
    found = devices.find(token, NOW)
    assert found is not None
    assert found.person.name == "Ana"


@pytest.mark.parametrize("name", ["", "   ", "x" * 41, "Ana\u202eneB", "A\x1b[31mna"])
def test_a_name_that_cannot_stand_in_the_log_is_refused(devices: DeviceList, name: str) -> None:
    with pytest.raises(PairingRefused, match="Say your name in 1 to 40 letters"):
        devices.pair(devices.new_code("log", NOW).text, name, PHONE, NOW)


def test_a_removed_device_is_let_in_no_more(devices: DeviceList) -> None:
    token = devices.pair(devices.new_code("log", NOW).text, "Ana", PHONE, NOW)
    devices.remove(devices.devices(NOW)[0].number)
    assert devices.find(token, NOW) is None
    with pytest.raises(UsageError, match="There is no device 1"):
        devices.remove(1)


def test_a_removed_person_s_name_and_number_are_nobody_else_s(devices: DeviceList) -> None:
    devices.pair(devices.new_code("log", NOW).text, "Ana", PHONE, NOW)
    (first,) = devices.devices(NOW)
    devices.remove(first.number)
    code = devices.new_code("log", NOW)
    with pytest.raises(PairingRefused, match="was paired already"):
        devices.pair(code.text, "ana", PHONE, NOW)  # else Ana's entries would be this person's own
    devices.pair(code.text, "Eve", PHONE, NOW)
    devices.pair(devices.new_code("log", NOW, name="Ana").text, "", PHONE, NOW)
    numbers = {device.person.name: device.number for device in devices.devices(NOW)}
    assert first.number not in numbers.values()
    assert set(numbers) == {"Ana", "Eve"}


def test_an_account_that_signed_in_is_asked_again_after_its_day(devices: DeviceList) -> None:
    code = devices.new_code("log", NOW, name="Ana", lasts=timedelta(days=1))
    token = devices.pair(code.text, "", PHONE, NOW)
    assert devices.find(token, NOW + timedelta(hours=23)) is not None
    assert devices.find(token, NOW + timedelta(days=1)) is None


def _no_more_room(devices: DeviceList) -> None:
    """From here on the list can be read and takes no word, as on a full disk."""
    with closing(sqlite3.connect(devices.path)) as file:
        for table, act in (("devices", "UPDATE"), ("devices", "DELETE"), ("codes", "INSERT")):
            file.execute(
                f"CREATE TRIGGER no_{act}_{table} BEFORE {act} ON {table}"
                " BEGIN SELECT RAISE(ABORT, 'database or disk is full'); END"
            )


def test_a_device_comes_in_though_nobody_can_note_that_it_was_seen(devices: DeviceList) -> None:
    token = devices.pair(devices.new_code("log", NOW).text, "Ana", PHONE, NOW)
    _no_more_room(devices)
    assert devices.find(token, NOW + timedelta(hours=2)) is not None


def test_a_list_that_cannot_be_written_is_told_in_words(devices: DeviceList) -> None:
    devices.pair(devices.new_code("log", NOW).text, "Ana", PHONE, NOW)
    _no_more_room(devices)
    for act in (lambda: devices.new_code("log", NOW), lambda: devices.remove(1)):
        with pytest.raises(StoreError, match=r"disk is full.*nobody is let in until"):
            act()
    assert len(devices.devices(NOW)) == 1


def test_a_damaged_list_is_told_in_words(devices: DeviceList) -> None:
    token = devices.pair(devices.new_code("log", NOW).text, "Ana", PHONE, NOW)
    with devices.path.open("r+b") as file:
        file.seek(4096)  # the first page of the devices
        file.write(b"\xff" * 4096)
    with pytest.raises(StoreError, match="malformed"):
        devices.find(token, NOW)


def test_the_file_holds_neither_token_nor_code_and_is_the_owners_alone(
    devices: DeviceList,
) -> None:
    code = devices.new_code("log", NOW)
    token = devices.pair(code.text, "Ana", PHONE, NOW)
    spare = devices.new_code("log", NOW)
    kept = devices.path.read_bytes()
    for secret in (token, code.text, code.text.replace(" ", ""), spare.text.replace(" ", "")):
        assert secret.encode() not in kept
    assert stat.S_IMODE(devices.path.stat().st_mode) == 0o600


def test_a_wrong_token_finds_nobody_and_makes_no_file(devices: DeviceList) -> None:
    assert devices.find("guess", NOW) is None
    assert devices.find("", NOW) is None
    assert not devices.path.exists()


def test_an_unknown_role_is_refused(devices: DeviceList) -> None:
    with pytest.raises(UsageError, match="'chief' is no role; write one of look, log, manage"):
        devices.new_code("chief", NOW)
