"""The labels of the printers: what a camera reads from them, and the addresses they lead to."""

from __future__ import annotations

import re
from datetime import date

import numpy as np
import pytest
import zxingcpp

from tracker.errors import UsageError
from tracker.paper.addresses import app_address, only_this_computer
from tracker.paper.labels import label_sheet, log_address, qr_code

DAY = date(2026, 10, 31)
AWKWARD = "Späti & <b>Söhne</b> #2?"


def seen(code: str, pixels: int = 6) -> np.ndarray:
    """The code as a camera sees it: its dark runs painted on white, pixels to a module."""
    box = re.search(r'viewBox="0 0 (\d+) (\d+)"', code)
    assert box is not None
    picture = np.full((int(box[2]), int(box[1])), 255, dtype=np.uint8)
    dark = re.search(
        r'<path[^>]*stroke="#000"[^>]*d="([^"]+)"|d="([^"]+)"[^>]*class="qrline"', code
    )
    assert dark is not None
    x, y = 0.0, 0.0
    for step, values in re.findall(r"([MmhHvVz])([^MmhHvVz]*)", dark[1] or dark[2]):
        given = [float(value) for value in re.findall(r"-?\d*\.?\d+", values)]
        if step == "M":
            x, y = given
        elif step == "m":
            x, y = x + given[0], y + given[1]
        elif step == "h":
            picture[int(y), int(x) : int(x + given[0])] = 0
            x += given[0]
    return np.kron(picture, np.ones((pixels, pixels), dtype=np.uint8))


def read(picture: np.ndarray) -> str:
    """The text of the one code in the picture, read by a library that writes none of ours."""
    (found,) = zxingcpp.read_barcodes(picture)
    return str(found.text)


@pytest.mark.parametrize("name", ["Window", AWKWARD, "Drucker im Lager hinten links, zweite Reihe"])
def test_a_camera_reads_the_address_of_the_printers_log(name: str) -> None:
    address = log_address("http://printroom:8501", name)
    assert read(seen(qr_code(address))) == address


def test_a_code_with_a_spot_of_ink_on_it_is_still_read() -> None:
    address = log_address("http://printroom:8501", "Window")
    picture = seen(qr_code(address))
    high, wide = picture.shape
    half = int(0.1 * high)  # the spot covers a twentieth of the code itself
    picture[high // 2 - half : high // 2 + half, wide // 2 - half : wide // 2 + half] = 0
    assert read(picture) == address


def test_every_printer_has_a_label_and_no_word_of_it_is_markup() -> None:
    sheet = label_sheet(
        [("Window", "Mill Lane"), (AWKWARD, "<i>Yard</i>")], "http://printroom:8501", "Ours", DAY
    )
    assert sheet.count('<div class="label">') == 2
    assert "Späti &amp; &lt;b&gt;Söhne&lt;/b&gt; #2?" in sheet
    assert "<b>Söhne" not in sheet
    assert "<i>" not in sheet
    codes = re.findall(r"<svg.*?</svg>", sheet, re.DOTALL)
    assert [read(seen(code)) for code in codes] == [
        "http://printroom:8501/log?printer=Window",
        log_address("http://printroom:8501", AWKWARD),
    ]
    assert sheet == label_sheet(
        [("Window", "Mill Lane"), (AWKWARD, "<i>Yard</i>")], "http://printroom:8501", "Ours", DAY
    )


@pytest.mark.parametrize(
    "typed", ["", "   ", "ftp://printroom", "http://", "http://a b", "print room", "http://a:x",
              "javascript:alert(1)", "http://a?b=c", "x" * 300, "\u202eroom", "http://a\x1b[31m"],
)  # fmt: skip
def test_what_is_no_address_is_told_with_how_to_write_one(typed: str) -> None:
    with pytest.raises(UsageError, match="write it as http://printroom:8501"):
        app_address(typed)


def test_an_address_of_this_computer_alone_is_known_as_such() -> None:
    assert only_this_computer("http://127.0.0.1:8501")
    assert only_this_computer("http://[::1]:8501")
    assert not only_this_computer("http://192.168.4.20:8501")
