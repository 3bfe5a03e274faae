"""Is it a table at all, and in which encoding is its text?"""

from __future__ import annotations

import codecs
import re

from tracker.errors import RecordError
from tracker.intake.files.budgets import WORKBOOK, refuse_size
from tracker.language import N_, _

_BYTES_AT_ONCE = 1 << 20

# How other files begin, and what to tell the person.
_OTHER_FILES = (
    (b"%PDF", N_("is a PDF; open the table it was made from and save that as CSV or XLSX")),
    (
        b"\xd0\xcf\x11\xe0",
        N_(
            "is an old Excel file (.xls) or one locked with a password; open it and save it as "
            "an Excel workbook (.xlsx) without a password, or as CSV"
        ),
    ),
    (b"\x89PNG", N_("is a picture; type the rows into a table and save it as CSV or XLSX")),
    (b"\xff\xd8\xff", N_("is a picture; type the rows into a table and save it as CSV or XLSX")),
    (
        b"{\\rtf",
        N_("is a text document; copy the table into a spreadsheet and save it as CSV or XLSX"),
    ),
    (b"\x1f\x8b", N_("is packed (gzip); unpack it first")),
    (b"Rar!", N_("is packed; unpack it first")),
    (b"7z\xbc\xaf", N_("is packed; unpack it first")),
    (b"SQLite format 3", N_("is a database; load a CSV or XLSX file, or open it with --database")),
)


def refuse_other_files(source: str, data: bytes) -> None:
    """Raises RecordError for an empty or too large file, and for one that is no table."""
    if is_blank(data):
        raise RecordError(
            _("{source} is empty; choose the file with the rows in it.", source=source)
        )
    refuse_size(source, len(data), data[: len(WORKBOOK)])
    for begins, what_it_is in _OTHER_FILES:
        if data.startswith(begins):
            raise RecordError(f"{source} {_(what_it_is)}.")
    begin = data[:2000].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if begin.startswith((b"<!doctype", b"<html", b"<table", b"<head", b"<?xml", b"<meta")):
        raise RecordError(
            _(
                "{source} is a web page or XML, whatever its name ends in; open it in a "
                "spreadsheet program and save it as CSV or XLSX.",
                source=source,
            )
        )
    if begin.startswith((b'{"', b"[{", b"{\n", b"[\n")):
        raise RecordError(
            _("{source} is JSON, not a table; save it as CSV or XLSX.", source=source)
        )


def is_blank(data: bytes) -> bool:
    """True where there is nothing but spaces and ends of lines."""
    return re.search(rb"\S", data) is None


def encoding_of(source: str, data: bytes) -> tuple[str, tuple[str, ...]]:
    """In which encoding the text of a file is, with a notice when it is not UTF-8.

    Raises RecordError when it is in none of the encodings taken.
    """
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe\x00\x00", "utf-32"),
        (b"\x00\x00\xfe\xff", "utf-32"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if data.startswith(mark):
            if _broken_at(data, encoding) is None:
                return encoding, ()
            raise RecordError(
                _(
                    "{source} begins as {encoding} but goes on otherwise; save it again "
                    "as CSV UTF-8.",
                    source=source,
                    encoding=encoding.upper(),
                )
            )
    if b"\x00" in data[:4000]:
        return _utf_16_without_mark(source, data), ()
    broken = _broken_at(data, "utf-8")
    if broken is None:
        return "utf-8", ()
    if _broken_at(data, "cp1252") is not None:
        raise RecordError(
            _(
                "{source} is neither UTF-8 nor Windows-1252 (byte {broken}); save it again "
                "as CSV UTF-8.",
                source=source,
                broken=data[broken : broken + 1].hex(),
            )
        )
    # What UTF-8 for "é" or a quotation mark looks like in Windows-1252.
    if re.search(rb"[\xc3\xc2][\xa0-\xbf]|\xe2\x80", data):
        raise RecordError(
            _(
                "{source} mixes UTF-8 with another encoding; save it again as CSV UTF-8.",
                source=source,
            )
        )
    return "cp1252", (
        _(
            "{source}: not UTF-8, so read as Windows-1252; look at the umlauts and signs.",
            source=source,
        ),
    )


def _broken_at(data: bytes, encoding: str) -> int | None:
    """The first byte that cannot be of that encoding; None where all can.

    Looked for piece by piece: the whole as text could take four times the room.
    """
    decoder = codecs.getincrementaldecoder(encoding)()
    view = memoryview(data)
    for first in range(0, max(len(data), 1), _BYTES_AT_ONCE):
        waiting = len(decoder.getstate()[0])  # of a sign that the last piece cut in two
        try:
            decoder.decode(
                view[first : first + _BYTES_AT_ONCE], first + _BYTES_AT_ONCE >= len(data)
            )
        except UnicodeDecodeError as error:
            return first - waiting + error.start
    return None


def _utf_16_without_mark(source: str, data: bytes) -> str:
    sample = data[:4000]
    odd, even = sample[1::2].count(0), sample[0::2].count(0)
    if max(odd, even) > 0.3 * len(sample) / 2 and min(odd, even) <= 0.05 * len(sample) / 2:
        encoding = "utf-16-le" if odd > even else "utf-16-be"
        if _broken_at(data, encoding) is None:
            return encoding
    raise RecordError(
        _(
            "{source} is no text that can be read as a table; save it as CSV UTF-8 or XLSX.",
            source=source,
        )
    )
