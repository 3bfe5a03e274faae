"""The board: every printer and how long what is in it may last; a tap opens the printer."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import streamlit as st

from pages.sections.today.rows import line
from pages.shell import links, session, sites
from pages.shell.words import plain
from tracker.charts.board import board_drawing
from tracker.decisions.board import Board, board
from tracker.language import N_, _
from tracker.say import board as say
from tracker.say import numbers

ALL_SHOWN = 12  # so many printers stand on one page; of more, a page is no longer than a look
PRINTERS_SHOWN = 8
OFTEN, OTHERS = N_("Main parts"), N_("Other parts")
_HERE = Path(__file__).parent


@st.cache_resource(show_spinner=False)
def _component() -> Any:
    script, looks = (_HERE.joinpath(f"board.{kind}").read_text("utf-8") for kind in ("js", "css"))
    return st.components.v2.component(
        "tracker_board", html='<div class="place"></div>', css=looks, js=script
    )


def show(place: session.Workshop) -> None:
    """The sentence, what to look at, the rows, and the rest page by page."""
    found = session.ask(board)
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        st.header(_("Printers"), anchor=False, width="content")
        st.space("stretch")
        columns = _columns(found)
    site = sites.chosen(place)
    rows = [row for row in found.rows if site is None or row.site == site]
    if found.columns:
        st.markdown(plain(say.likeliest_first(found)))
    else:
        _first_part()
    each = PRINTERS_SHOWN if len(rows) > ALL_SHOWN else ALL_SHOWN
    most = max(0, (len(rows) - 1) // each)
    if most:
        st.caption(say.order())
    page = min(int(st.session_state.get("board-page", 0)), most)
    shown = rows[page * each : (page + 1) * each]
    answer = _component()(
        key="board",
        data=board_drawing(columns, shown, place.as_of, head_types=found.has_head_types),
        on_opened_change=lambda: None,
    )  # fmt: skip
    if most:
        _pager(page, most, len(rows))
    with st.expander(_("How to read the board")):
        st.markdown(say.reading())
    if answer.opened:
        links.go_printer(**_named(answer.opened))


def _named(opened: object) -> dict[str, str]:
    """The printer and the part that were tapped; what a browser says may be anything."""
    named = opened if isinstance(opened, dict) else {}
    return {name: str(named[name]) for name in ("printer", "part", "position") if named.get(name)}


def _columns(found: Board) -> tuple[Any, ...]:
    """The wanted columns."""
    columns = found.often or found.columns
    if found.often and found.others:
        wanted = st.segmented_control(
            _("Parts"),
            [OFTEN, OTHERS],
            default=OFTEN,
            format_func=_,
            key="board-parts",
            label_visibility="collapsed",
            width="content",
        )
        columns = found.others if wanted == OTHERS else found.often
    return columns


def _first_part() -> None:
    """What to do next where printers are written down and no part."""
    if line(_("No part is fitted yet."), _("Log the first part"), "today-first-part"):
        links.go("log")


def _pager(page: int, most: int, count: int) -> None:
    first = page * PRINTERS_SHOWN + 1
    last = min(count, (page + 1) * PRINTERS_SHOWN)
    with st.container(horizontal=True, vertical_alignment="center"):
        for label, step, key in ((_("Before"), -1, "board-before"), (_("Next"), 1, "board-next")):
            st.button(
                label,
                key=key,
                disabled=not 0 <= page + step <= most,
                on_click=st.session_state.__setitem__,
                args=("board-page", page + step),
            )
        st.markdown(
            _(
                "Printers {first} to {last} of {count}.",
                first=first,
                last=last,
                count=numbers.count(count, "printer", "printers"),
            )
        )
