"""Which site does this device look at? One choice for every page that lists printers."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages.shell import device, session
from pages.shell.words import plain
from tracker.language import _

_KEY = "site"
_ALL = "\N{NO-BREAK SPACE}"  # no site is called so; with None the field would say that it is empty


def names(place: session.Workshop) -> list[str]:
    """The sites of printers that are at work; "" where some have none."""
    printers = place.records.printers
    return sorted(set(printers.loc[printers["retired_on"].isna(), "site"]))


def chosen(place: session.Workshop) -> str | None:
    """The site chosen on this device; None for all of them."""
    kept = device.recall(_KEY)
    there = names(place)
    return kept if len(there) > 1 and kept in there else None


def choose(place: session.Workshop) -> None:
    """The choice, once on a page; nothing where all printers stand at one site."""
    there = names(place)
    if len(there) < 2:
        return
    site = chosen(place)
    st.session_state[_KEY] = _ALL if site is None else site
    st.selectbox(
        _("Site"),
        [_ALL, *there],
        key=_KEY,
        format_func=_label,
        on_change=_keep,
        label_visibility="collapsed",
        width=240,
    )


def _label(site: str) -> str:
    return _("All sites") if site == _ALL else site or _("No site")


def of_site(place: session.Workshop, rows: pd.DataFrame) -> pd.DataFrame:
    """The rows whose ``printer`` stands at the chosen site."""
    site = chosen(place)
    if site is None:
        return rows
    printers = place.records.printers
    return rows[rows["printer"].isin(printers.loc[printers["site"] == site, "printer"])]


def beside(place: session.Workshop, printer: str) -> str:
    """Where the printer stands, in Markdown behind its name; "" where that is known without."""
    if chosen(place) is not None or len(names(place)) < 2:
        return ""
    printers = place.records.printers
    site = printers.loc[printers["printer"] == printer, "site"].iloc[-1]
    return f" · {plain(site)}" if site else ""


def _keep() -> None:
    site = st.session_state[_KEY]
    device.remember(_KEY, None if site == _ALL else site)
