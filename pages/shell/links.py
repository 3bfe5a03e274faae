"""Links into a page: which printer, form or part an address names, and addresses that name them."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlencode, urlsplit

import streamlit as st

ROOT = Path(__file__).resolve().parent.parent


def go(page: str, **named: str) -> None:
    """Open a page, with what its address names: ``go("log", printer="Left", what="Task done")``."""
    st.switch_page(ROOT / f"{page}.py", query_params=named or None)


def go_printer(printer: str) -> None:
    """Open the page of one printer."""
    go("printer", printer=printer)


def go_log(printer: str, what: str, **named: str) -> None:
    """Open one form of the log for one printer."""
    go("log", printer=printer, what=what, **named)


def wanted(name: str) -> str:
    """What the page's address names, "" where it does not; an address may hold anything."""
    return st.query_params.get(name, "")


def address(page: str, **named: str) -> str:
    """The whole address of a page as this device reaches it, for a link or a QR code."""
    here = urlsplit(_here())
    base = f"{here.scheme}://{here.netloc}"
    page = "" if page == "today" else page  # the first page stands at the root
    return f"{base}/{page}?{urlencode(named)}" if named else f"{base}/{page}"


def only_this_computer() -> bool:
    """Does the app's address lead nowhere from another device?"""
    return urlsplit(_here()).hostname in ("localhost", "127.0.0.1", "::1")


def _here() -> str:
    url = st.context.url
    return url if isinstance(url, str) and url else "http://localhost:8501/"
