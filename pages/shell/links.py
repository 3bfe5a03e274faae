"""Links into a page: which printer, form or part an address names, and how to open one."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

import streamlit as st

from tracker.language import N_

ROOT = Path(__file__).resolve().parent.parent
CLAIMS = "claims"  # what the address of Spares may ask to see first


def go(page: str, **named: str) -> None:
    """Open a page, with what its address names: ``go("log", printer="Left", what="Task done")``."""
    st.switch_page(ROOT / f"{page}.py", query_params=named or None)


def go_printer(printer: str = "", **part: str) -> None:
    """Open the page of one printer, at one part where ``part`` and ``position`` name it."""
    go("printer", printer=printer, **part)


def go_log(printer: str, what: str, **named: str) -> None:
    """Open one form of the log for one printer."""
    go("log", printer=printer, what=what, **named)


def name_here(**named: str) -> None:
    """What the address of the page that is open names from now on; a link to the same page would
    leave the browser's address as it was.
    """
    st.query_params.from_dict(named)


def go_settings(block: str) -> None:
    """Open one block of the settings."""
    st.session_state["records-wanted"] = N_("Settings")
    st.session_state["settings-of"] = block
    go("records")


def go_claims() -> None:
    """Open Spares with the warranty claims first and unfolded."""
    go("spares", show=CLAIMS)


def wanted(name: str) -> str:
    """What the page's address names, "" where it does not; an address may hold anything."""
    return st.query_params.get(name, "")


def base() -> str:
    """The app's own address as this device reaches it."""
    url = st.context.url
    here = urlsplit(url if isinstance(url, str) and url else "http://localhost:8501")
    return f"{here.scheme}://{here.netloc}"
