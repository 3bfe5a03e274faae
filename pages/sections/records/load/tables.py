"""Each table found: what it was taken for and why, its first rows in words, what can be changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from pages.sections.records.load.questions import layout_label
from pages.shell.words import plain
from tracker.intake.headers.sheet_tables import SHEET_TABLES
from tracker.intake.layout.asking import role_words
from tracker.intake.pieces import LEAVE_OUT, LONG, Intake, Piece, SetAside
from tracker.language import _, ngettext
from tracker.say import intake as words
from tracker.say import numbers
from tracker.say.entering.record_words import column_label, in_words
from tracker.say.phrases import first_up

_SAID = "load-tables-said"  # what a person said of tables and columns, by the key of the answer
_FEW = 4  # tables shown at once; of more, the first three and the others on a tap
_FEW_LINES = 2


def said() -> dict[str, str]:
    """What a person said that tables and columns are, other than what they were taken for."""
    return dict(st.session_state.get(_SAID, {}))


def forget() -> None:
    """Tables and columns are taken for what they look like again."""
    st.session_state.pop(_SAID, None)


def show(intake: Intake) -> None:
    """A card for each table found, then the rows set aside and what else is to be known."""
    pieces = intake.pieces
    first = pieces if len(pieces) <= _FEW else pieces[: _FEW - 1]
    for piece in first:
        _card(intake, piece)
    if more := pieces[len(first) :]:
        with st.expander(
            ngettext(
                "{count} more table in these files",
                "{count} more tables in these files",
                len(more),
                count=len(more),
            )
        ):
            for piece in more:
                _card(intake, piece)
    _set_aside(intake.set_aside)
    for notice in intake.notices:
        st.caption(plain(in_words(notice)))


def _card(intake: Intake, piece: Piece) -> None:
    with st.container(border=True):
        where, colon, what = words.taken_for(piece).partition(": ")
        st.markdown(f"**{plain(where)}**{colon}{plain(in_words(what))}")
        records = intake.records_of(piece)
        if records is not None:
            lines = [*words.first_rows(records), *words.totals(records)]
            st.markdown("\n".join(f"- {plain(line)}" for line in lines))
        for line in words.unread_in_words(piece):
            st.caption(plain(line))
        _changeable(piece)


def _changeable(piece: Piece) -> None:
    unsure = any(not role.sure for role in piece.roles if role.filled and role.role)
    with st.expander(_("Taken for the wrong thing? What it is, column by column"), expanded=unsure):
        _choose(
            _("This table is"),
            f"{piece.key}|is",
            _current(piece),
            piece.choices,
            layout_label,
            dropping=f"{piece.key}|",
        )
        for role in piece.roles:
            _choose(
                _("“{header}” is", header=role.header),
                role.key,
                role.role or LEAVE_OUT,
                (LEAVE_OUT, *role.choices),
                _role_label,
                help_text=in_words(_("It {reason}.", reason=role.reason)),
            )


def _current(piece: Piece) -> str:
    if piece.layout == LONG:
        return piece.tables[0] if len(piece.tables) == 1 else ""
    return piece.layout


def _choose(
    label: str, key: str, now: str, choices: Sequence[str], words_of: Callable[[str], str],
    *, help_text: str = "", dropping: str = "",
) -> None:  # fmt: skip
    options = list(dict.fromkeys([*filter(None, [now]), *choices]))
    widget = f"load-said|{key}"
    wanted = said().get(key, now)
    # Set on each run: what was taken may have changed by an answer given elsewhere.
    st.session_state[widget] = wanted if wanted in options else now or None
    st.selectbox(
        plain(label),
        options,
        key=widget,
        format_func=words_of,
        help=help_text or None,
        on_change=_changed,
        args=(key, widget, dropping),
        placeholder=_("Choose one"),
    )


def _changed(key: str, widget: str, dropping: str) -> None:
    """Keep what was said; of another layout the columns are others, and so are their answers."""
    kept = st.session_state.setdefault(_SAID, {})
    if dropping:
        for old in [old for old in kept if old.startswith(dropping)]:
            del kept[old]
    kept[key] = st.session_state[widget]


def _role_label(choice: str) -> str:
    if choice == LEAVE_OUT or ":" in choice:
        return first_up(role_words(choice))
    named = any(choice in table.names for table in SHEET_TABLES)
    return column_label(choice) if named else first_up(role_words(choice))


def _set_aside(rows: Sequence[SetAside]) -> None:
    lines = words.set_aside_in_words([row for row in rows if not row.by_hand])
    if len(lines) <= _FEW_LINES:
        for line in lines:
            st.caption(plain(line))
        return
    count = sum(not row.by_hand for row in rows)
    with st.expander(
        ngettext(
            "{count} row set aside: titles, totals and the like",
            "{count} rows set aside: titles, totals and the like",
            count,
            count=numbers.decimal(count),
        )
    ):
        for line in lines:
            st.caption(plain(line))
