"""The addresses under which a page of the app is reached: for links, labels and QR codes."""

from __future__ import annotations

from urllib.parse import urlencode, urlsplit

from tracker.errors import UsageError, legible
from tracker.language import _

_HERE = ("localhost", "127.0.0.1", "::1", "0.0.0.0")
_LONGEST = 200  # letters; a longer one makes a code that a camera cannot read


def app_address(typed: str) -> str:
    """The app's own address as typed by a person, with its scheme and without a slash at its end.

    Raises UsageError with what is wrong with it.

    >>> app_address(" printroom:8501/ "), app_address("https://shop.example/tracker")
    ('http://printroom:8501', 'https://shop.example/tracker')
    """
    text = typed.strip()
    whole = (text if "://" in text else f"http://{text}").rstrip("/")
    try:
        parts = urlsplit(whole)
        host = parts.hostname if parts.port is None or parts.port else None
    except ValueError:
        host = None
    wrong = not host or parts.scheme not in ("http", "https") or parts.query or parts.fragment
    is_one_word = whole.isprintable() and not any(letter.isspace() for letter in whole)
    if wrong or not is_one_word or len(whole) > _LONGEST:
        raise UsageError(
            _(
                "address: {typed} is no address of this app; write it as http://printroom:8501.",
                typed=repr(legible(typed.strip())),
            )
        )
    return whole


def page_address(base: str, page: str = "", **named: str) -> str:
    """The whole address of a page; the first page stands at the root.

    >>> page_address("http://printroom:8501", "log", printer="Left & right")
    'http://printroom:8501/log?printer=Left+%26+right'
    """
    return f"{base}/{page}?{urlencode(named)}" if named else f"{base}/{page}"


def only_this_computer(base: str) -> bool:
    """Does the address lead nowhere from another device?

    >>> only_this_computer("http://localhost:8501"), only_this_computer("http://printroom:8501")
    (True, False)
    """
    return urlsplit(base).hostname in _HERE
