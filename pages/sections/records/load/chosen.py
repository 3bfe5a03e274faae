"""What is to be loaded: files, or rows pasted from a spreadsheet."""

from __future__ import annotations

import json
from pathlib import PurePath

import streamlit as st

from pages.sections import paper_log
from pages.shell import session
from tracker.intake.exchange import empty_template
from tracker.intake.pieces import File
from tracker.language import N_, _
from tracker.say.entering.record_words import LABELS
from tracker.workshop.contract import TABLES

_FILE_FIELD = """
<style>
[data-testid="stFileUploaderDropzone"] > span button
  :has(> [data-testid="stMarkdownContainer"]) > *,
[data-testid="stFileUploaderDropzoneInstructions"] > div > span {display: none;}
[data-testid="stFileUploaderDropzone"] > span button
  :has(> [data-testid="stMarkdownContainer"])::after
  {font-size: 0.875rem; content: BUTTON;}
[data-testid="stFileUploaderDropzoneInstructions"] > div::after
  {font-size: 0.875rem; content: LIMITS;}
</style>
"""
PASTED = N_("pasted rows")
_TYPES = ["csv", "txt", "tsv", "xlsx"]
_ROUND = "load-round"  # how often this screen has loaded: a new round begins with nothing chosen
_KEPT = "load-kept-files"  # the files as last seen, so that their cells are read once


def choose(place: session.Workshop) -> list[File]:
    """The files chosen and the rows pasted; each file read before is the same value again."""
    turn = st.session_state.get(_ROUND, 0)
    suffix = f"-{turn}" if turn else ""
    _say_in_our_words()
    chosen = st.file_uploader(
        _("Files as your spreadsheet program saves them: CSV or XLSX, in any form"),
        type=_TYPES,
        accept_multiple_files=True,
        key=f"load-files{suffix}",
    )
    with st.expander(_("Or paste rows from a spreadsheet"), key=f"load-paste-box{suffix}"):
        pasted = st.text_area(
            _("Mark the cells in your spreadsheet, headings too; copy; paste them here"),
            key=f"load-paste{suffix}",
            height=140,
        )
        st.button(_("Read these rows"), key="load-paste-read", width="stretch")
    files = [(file.name, file.getvalue()) for file in chosen or ()]
    if pasted.strip():
        files.append((_(PASTED), pasted.encode("utf-8")))
    if not files:
        with st.expander(_("Empty spreadsheets to fill in")):
            _templates()
        with st.expander(_(paper_log.TITLE)):
            paper_log.show(place, "load")
    return _kept(files)


def _say_in_our_words() -> None:
    """The field's own words, which the library has in English only, in the language in use.

    They are hidden and others drawn in their place, for the eye as for a screen reader.
    """
    size = st.get_option("server.maxUploadSize")
    types = ", ".join(_TYPES).upper()
    button = _("Choose files")
    limits = _("up to {size} MB each · {types}", size=size, types=types)
    st.html(
        _FILE_FIELD.replace("BUTTON", json.dumps(button, ensure_ascii=False)).replace(
            "LIMITS", json.dumps(limits, ensure_ascii=False)
        )
    )


def forget() -> None:
    """Forget what was chosen: it is in the records now, or not wanted."""
    st.session_state[_ROUND] = st.session_state.get(_ROUND, 0) + 1
    st.session_state.pop(_KEPT, None)


def _kept(files: list[tuple[str, bytes]]) -> list[File]:
    before: dict[str, File] = st.session_state.get(_KEPT, {})
    now: dict[str, File] = {}
    for name, data in files:
        own = _unlike(name, now)
        known = before.get(own)
        now[own] = known if known is not None and known.data == data else File(own, data)
    st.session_state[_KEPT] = now
    return list(now.values())


def _unlike(name: str, taken: dict[str, File]) -> str:
    """The name with a number where two files bear it, for each mistake names its file."""
    path, own, number = PurePath(name), name, 1
    while own in taken:
        number += 1
        own = f"{path.stem} ({number}){path.suffix}"
    return own


def _templates() -> None:
    for table in TABLES:
        st.download_button(
            f"{_(LABELS[table.name])} ({table.name}.csv)", empty_template(table),
            file_name=f"{table.name}.csv", mime="text/csv", key=f"template-{table.name}",
        )  # fmt: skip
