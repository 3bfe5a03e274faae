"""Take in spreadsheets as they are: ask what reads two ways, refuse what cannot be true."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import PurePath

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from pages.sections import paper_log
from pages.sections.records import load_answers
from pages.sections.records.record_words import LABELS, column_label, in_words
from tracker.errors import LoadRefused, RecordError
from tracker.intake.mistakes import refused_rows_csv
from tracker.intake.pieces import Intake, Piece
from tracker.intake.reading import File, read_files
from tracker.say import intake as words
from tracker.say import numbers
from tracker.store.loading import OnConflict, plan_load
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal


def show(workshop: frame.Workshop) -> None:
    """Pick files, answer what they leave open, load them all as one change."""
    st.markdown(
        "CSV or XLSX, as your spreadsheet program saves them. All chosen files go in together "
        "or not at all, and loading the same file twice adds nothing."
    )
    chosen = st.file_uploader(
        "Files", type=["csv", "txt", "tsv", "xlsx"], accept_multiple_files=True, key="load-files"
    )
    with st.expander("Empty spreadsheets to fill in"):
        _templates()
    with st.expander(paper_log.TITLE):
        paper_log.show(workshop, "load")
    if not chosen:
        return
    files = [File(file.name, file.getvalue()) for file in chosen]
    with frame.errors_in_words():
        _files(workshop, files)


def _files(workshop: frame.Workshop, files: Sequence[File]) -> None:
    answers: dict[str, str] = load_answers.given_columns()
    shown: set[str] = set()
    remembered = workshop.store.remembered_answers()
    today = frame.now().date()
    while True:
        intake = read_files(files, workshop.records, answers, remembered=remembered, today=today)
        fresh = load_answers.ask(intake.questions, shown)
        if not fresh:
            break
        answers |= fresh
    verdicts: dict[tuple[str, str], DeltaGenerator] = {}
    for piece in intake.pieces:
        with st.container(border=True):
            st.markdown(words.taken_for(piece))
            load_answers.columns(piece)
            verdict = verdicts.setdefault((piece.source, piece.sheet), st.empty())
        _findings(intake, piece, verdict)
    loose = [r for r in intake.refusals if (r.source, r.sheet) not in verdicts]
    for refusal in loose:
        st.error(refusal.sentence(), icon=":material/front_hand:")
    for line in words.set_aside_in_words(intake.set_aside):
        st.caption(line)
    for notice in intake.notices:
        st.caption(notice)
    if intake.records is None:
        st.info(
            "Answer or mend what is marked above; nothing has been loaded yet.",
            icon=":material/arrow_forward:",
        )
        return
    for line in (*words.totals(intake.records), *words.first_rows(intake.records)):
        st.markdown(line)
    rows = sum(len(intake.records.table(table.name)) for table in TABLES)
    first_days = load_answers.earlier_first_days(workshop, intake.records)
    records = load_answers.with_ages(workshop, intake.records)
    wins = st.checkbox(
        "Where a record is there already and says otherwise, take what the file says",
        key="load-file-wins",
    )
    if st.button(f"Load {rows} rows", type="primary", width="stretch", key="load-go"):
        _load(workshop, intake, records, first_days, "file_wins" if wins else "refuse", verdicts)


def _templates() -> None:
    from tracker.intake.exchange import empty_template

    for table in TABLES:
        st.download_button(
            f"{LABELS[table.name]} ({table.name}.csv)", empty_template(table),
            file_name=f"{table.name}.csv", mime="text/csv", key=f"template-{table.name}",
        )  # fmt: skip


def _findings(intake: Intake, piece: Piece, verdict: DeltaGenerator) -> None:
    refusals = [
        refusal
        for refusal in intake.refusals
        if (refusal.source, refusal.sheet) == (piece.source, piece.sheet)
    ]
    if refusals:
        with verdict.container():
            _refused(piece, refusals)


def _refused(piece: Piece, refusals: Sequence[Refusal]) -> None:
    name = ", ".join(filter(None, [piece.source, piece.sheet]))
    st.error(
        f"{name}: {numbers.count(len(refusals), 'mistake')}; nothing was loaded.",
        icon=":material/front_hand:",
    )
    st.dataframe(
        pd.DataFrame(
            {
                "Row": [refusal.row for refusal in refusals],
                "Column": [refusal.header or column_label(refusal.column) for refusal in refusals],
                "Written": [refusal.value for refusal in refusals],
                "What is wrong": [in_words(refusal.problem) for refusal in refusals],
                "How to mend it": [in_words(refusal.mend) for refusal in refusals],
            }
        ),
        hide_index=True, width="stretch", key=f"{piece.key}-refused",
    )  # fmt: skip
    # The table cuts long cells; on a phone most of them.
    for problem, mend in list(dict.fromkeys((r.problem, r.mend) for r in refusals if r.mend))[:5]:
        st.caption(f"{in_words(problem)}: **{in_words(mend)}**")
    st.download_button(
        "Download the refused rows with the reasons", refused_rows_csv(piece, refusals),
        file_name=f"refused-{PurePath(piece.source).stem}.csv", mime="text/csv",
        key=f"{piece.key}-refused-file",
    )  # fmt: skip


def _load(
    workshop: frame.Workshop,
    intake: Intake,
    records: Records,
    first_days: Mapping[int, date],
    on_conflict: OnConflict,
    verdicts: Mapping[tuple[str, str], DeltaGenerator],
) -> None:
    names = ", ".join(dict.fromkeys(piece.source for piece in intake.pieces))
    try:
        with workshop.store.change(f"Loaded {names}", frame.who(), now=frame.now()) as batch:
            for row_id, day in first_days.items():
                batch.correct("printers", row_id, {"started_on": day})
            report = plan_load(batch, records, names, on_conflict, now=frame.now())
    except LoadRefused as refused:
        placed = intake.placed(refused.refusals)
        for piece in intake.pieces:
            here = [r for r in placed if (r.source, r.sheet) == (piece.source, piece.sheet)]
            with verdicts[piece.source, piece.sheet].container():
                if here:
                    _refused(piece, here)
                else:
                    st.info(
                        f"{piece.source}: no mistake in it, but nothing was loaded: all files "
                        "go in together.",
                        icon=":material/table_view:",
                    )
        st.error(
            f"Nothing was loaded: {numbers.count(len(refused.refusals), 'mistake')}, shown at the "
            "file above.",
            icon=":material/front_hand:",
        )
        return
    except RecordError as problem:
        st.error(str(problem), icon=":material/front_hand:")
        return
    workshop.store.remember_answers(intake.to_remember)
    added, completed = sum(report.added.values()), sum(report.completed.values())
    frame.recorded(
        f"Loaded {names}: {added} records added, {completed} completed, "
        f"{sum(report.unchanged.values())} known already.",
        batch.number,
    )
