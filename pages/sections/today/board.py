"""The board: every printer and how long what is in it may last; a tap opens the printer."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import streamlit as st

from pages import frame
from pages.sections.review.words import plain
from pages.sections.today.rows import line
from pages.shell import links
from tracker.charts.board import board_drawing
from tracker.decisions.board import Board, BoardRow, board
from tracker.say import board as say
from tracker.say import numbers

PRINTERS_SHOWN = 25
OFTEN, OTHERS = "Main parts", "Other parts"
_HERE = Path(__file__).parent
EVERY_SITE = "Every site"


@st.cache_resource(show_spinner=False)
def _component() -> Any:
    script, looks = (_HERE.joinpath(f"board.{kind}").read_text("utf-8") for kind in ("js", "css"))
    return st.components.v2.component(
        "tracker_board", html='<div class="place"></div>', css=looks, js=script
    )


def show(place: frame.Workshop) -> None:
    """The sentence, what to look at, the rows, and the rest page by page."""
    found = frame.ask(board)
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        st.header("Printers", anchor=False, width="content")
        st.space("stretch")
        rows, columns = _chosen(found)
    if found.columns:
        st.markdown(plain(say.likeliest_first(found)))
    else:
        _first_part()
    most = max(0, (len(rows) - 1) // PRINTERS_SHOWN)
    page = min(int(st.session_state.get("board-page", 0)), most)
    shown = rows[page * PRINTERS_SHOWN : (page + 1) * PRINTERS_SHOWN]
    answer = _component()(
        key="board", data=board_drawing(columns, shown, place.as_of),
        on_opened_change=lambda: None,
    )  # fmt: skip
    if most:
        _pager(page, most, len(rows))
    with st.expander("How to read the board"):
        st.markdown(f"{say.READING} {say.SORTED}")
    if answer.opened in {row.printer for row in found.rows}:
        links.go_printer(answer.opened)


def _chosen(found: Board) -> tuple[list[BoardRow], tuple[Any, ...]]:
    """The rows of the wanted site and the wanted columns."""
    rows, columns = list(found.rows), found.often or found.columns
    sites = found.sites
    if len(sites) > 1:
        site = st.selectbox(
            "Site", [EVERY_SITE, *sites], key="board-site", label_visibility="collapsed",
            format_func=lambda name: name or "No site", on_change=_first_page, width=200,
        )  # fmt: skip
        rows = rows if site == EVERY_SITE else [row for row in rows if row.site == site]
    if found.often and found.others:
        wanted = st.segmented_control(
            "Parts", [OFTEN, OTHERS], default=OFTEN, key="board-parts",
            label_visibility="collapsed", width="content",
        )  # fmt: skip
        columns = found.others if wanted == OTHERS else found.often
    return rows, columns


def _first_part() -> None:
    """What to do next where printers are written down and no part."""
    if line("No part is fitted yet.", "Log the first part", "today-first-part"):
        links.go("log")


def _first_page() -> None:
    st.session_state["board-page"] = 0


def _pager(page: int, most: int, count: int) -> None:
    first = page * PRINTERS_SHOWN + 1
    last = min(count, (page + 1) * PRINTERS_SHOWN)
    with st.container(horizontal=True, vertical_alignment="center"):
        for label, step, key in (("Before", -1, "board-before"), ("Next", 1, "board-next")):
            st.button(
                label, key=key, disabled=not 0 <= page + step <= most,
                on_click=st.session_state.__setitem__, args=("board-page", page + step),
            )  # fmt: skip
        st.markdown(f"Printers {first} to {last} of {numbers.count(count, 'printer')}.")
