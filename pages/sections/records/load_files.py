"""Take in spreadsheets as they are: ask what reads two ways, refuse what cannot be true."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import PurePath

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from pages.sections.records import load_answers
from pages.sections.records.record_words import LABELS, column_label, in_words, label
from tracker.errors import LoadRefused, RecordError
from tracker.intake.columns import likely_table
from tracker.intake.exchange import read_sheet, refused_rows_csv
from tracker.intake.file import read_raw
from tracker.intake.sheet import SheetReading
from tracker.say import numbers
from tracker.store.loading import OnConflict, plan_load
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal

_IGNORE = "(leave out)"


def show(workshop: frame.Workshop) -> None:
    """Pick files, answer what they leave open, load them all as one change."""
    st.markdown(
        "CSV or XLSX, as your spreadsheet program saves them. All chosen files go in together "
        "or not at all, and loading the same file twice adds nothing."
    )
    files = st.file_uploader(
        "Files", type=["csv", "txt", "tsv", "xlsx"], accept_multiple_files=True, key="load-files"
    )
    with st.expander("Empty spreadsheets to fill in"):
        _templates()
    if not files:
        return
    verdicts: dict[str, DeltaGenerator] = {}
    readings = [
        reading
        for number, file in enumerate(files)
        if (reading := _read(workshop, file.name, file.getvalue(), f"load-{number}", verdicts))
        is not None
    ]
    ready = [reading for reading in readings if reading.frame is not None]
    if len(ready) < len(files):
        st.info(
            "Answer or mend what is marked above; nothing has been loaded yet.",
            icon=":material/arrow_forward:",
        )
        return
    rows = sum(len(reading.frame) for reading in ready if reading.frame is not None)
    additions = load_answers.printers_to_add(workshop, ready)
    first_days = load_answers.earlier_first_days(workshop, ready)
    ready = load_answers.with_ages(workshop, ready)
    wins = st.checkbox(
        "Where a record is there already and says otherwise, take what the file says",
        key="load-file-wins",
    )
    if st.button(f"Load {rows} rows", type="primary", width="stretch", key="load-go"):
        _load(workshop, ready, additions, first_days, "file_wins" if wins else "refuse", verdicts)


def _templates() -> None:
    from tracker.intake.exchange import empty_template

    for table in TABLES:
        st.download_button(
            f"{LABELS[table.name]} ({table.name}.csv)", empty_template(table),
            file_name=f"{table.name}.csv", mime="text/csv", key=f"template-{table.name}",
        )  # fmt: skip


def _read(
    workshop: frame.Workshop, name: str, data: bytes, key: str, verdicts: dict[str, DeltaGenerator]
) -> SheetReading | None:
    """One file: which table it is, whose column is which, what it leaves open."""
    with st.container(border=True):
        st.markdown(f"**{name}**")
        with frame.errors_in_words():
            headers = read_raw(name, data).header
            guess, _ = likely_table(headers, name)
            names = list(LABELS)
            table = st.selectbox(
                "Holds", names, index=names.index(guess) if guess in names else None,
                format_func=LABELS.__getitem__, placeholder="Say what it holds", key=f"{key}-table",
            )  # fmt: skip
            if not table:
                return None
            remembered = workshop.store.remembered_columns(table)
            first = read_sheet(
                name, data, table, {h: c for h, c in remembered.items() if h in headers}
            )
            mapping = _columns(first, table, key)
            constants = load_answers.for_all_rows(workshop, table, mapping, key)
            reading = read_sheet(name, data, table, mapping, constants=constants)
            answers = load_answers.ask(reading, key)
            if answers:
                reading = read_sheet(name, data, table, mapping, answers, constants=constants)
            asked = load_answers.open_columns(workshop, table, mapping, constants)
            _findings(reading, key, verdicts.setdefault(name, st.empty()), asked)
            return reading
    return None


def _columns(reading: SheetReading, table: str, key: str) -> dict[str, str]:
    """Whose column is it: proposals can be changed; what is confirmed is remembered on loading."""
    unsure = [match for match in reading.matches if not match.is_sure]
    choices = [_IGNORE, *TABLE_BY_NAME[table].names]
    mapping = dict(reading.mapping)
    with st.expander("What each column of the file holds", expanded=bool(unsure)):
        for header, column in reading.mapping.items():
            picked = st.selectbox(
                f"“{header}” is", choices, index=choices.index(column or _IGNORE),
                format_func=lambda name: name if name == _IGNORE
                else label(TABLE_BY_NAME[table].column(name)),
                key=f"{key}-{table}-{header}",
            )  # fmt: skip
            mapping[header] = "" if picked == _IGNORE else str(picked)
    return mapping


def _findings(
    reading: SheetReading, key: str, verdict: DeltaGenerator, asked: frozenset[str]
) -> None:
    """What the file alone gives; loading says in the same place what the records say to it.

    A missing column that is ``asked`` about is no mistake.
    """
    refusals = [r for r in reading.refusals if not (r.row == 1 and r.column in asked)]
    if refusals:
        with verdict.container():
            _refused(reading, refusals, key)
    elif reading.frame is not None:
        verdict.info(
            f"{numbers.count(len(reading.frame), 'row')} read; checked against your records "
            "when you load.",
            icon=":material/table_view:",
        )
    for notice in reading.notices:
        st.caption(notice)


def _refused(
    reading: SheetReading, refusals: tuple[Refusal, ...] | list[Refusal], key: str
) -> None:
    st.error(
        f"{reading.source}: {numbers.count(len(refusals), 'mistake')}; nothing was loaded.",
        icon=":material/front_hand:",
    )
    st.dataframe(
        pd.DataFrame(
            {
                "Row": [refusal.row for refusal in refusals],
                "Column": [column_label(refusal.column) for refusal in refusals],
                "Written": [refusal.value for refusal in refusals],
                "What is wrong": [in_words(refusal.problem) for refusal in refusals],
                "How to mend it": [in_words(refusal.mend) for refusal in refusals],
            }
        ),
        hide_index=True, width="stretch", key=f"{key}-refused",
    )  # fmt: skip
    # The table cuts long cells; on a phone most of them.
    for problem, mend in list(dict.fromkeys((r.problem, r.mend) for r in refusals if r.mend))[:5]:
        st.caption(f"{in_words(problem)}: **{in_words(mend)}**")
    st.download_button(
        "Download the refused rows with the reasons", refused_rows_csv(reading, refusals),
        file_name=f"refused-{PurePath(reading.source).stem}.csv", mime="text/csv",
        key=f"{key}-refused-file",
    )  # fmt: skip


def _load(
    workshop: frame.Workshop,
    readings: list[SheetReading],
    additions: pd.DataFrame,
    first_days: Mapping[int, date],
    on_conflict: OnConflict,
    verdicts: dict[str, DeltaGenerator],
) -> None:
    frames: dict[str, pd.DataFrame] = {}
    for reading in readings:
        if reading.table in frames:
            st.error(
                f"Two files hold {LABELS[reading.table].lower()}; load them one after the other."
            )
            return
        if reading.frame is not None:
            frames[reading.table] = reading.frame
    if len(additions):
        both = [frames["printers"]] if "printers" in frames else []
        frames["printers"] = pd.concat([*both, additions])
    names = ", ".join(reading.source for reading in readings)
    try:
        with workshop.store.change(f"Loaded {names}", frame.who(), now=frame.now()) as batch:
            for row_id, day in first_days.items():
                batch.correct("printers", row_id, {"started_on": day})
            report = plan_load(batch, Records.of(frames), names, on_conflict, now=frame.now())
    except LoadRefused as refused:
        for reading in readings:
            of_file = [r for r in refused.refusals if r.table == reading.table]
            with verdicts[reading.source].container():
                if of_file:
                    _refused(reading, of_file, f"load-{reading.table}")
                else:
                    st.info(
                        f"{reading.source}: no mistake in it, but nothing was loaded: all files "
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
    for reading in readings:
        workshop.store.remember_columns(reading.table, reading.mapping)
    added, completed = sum(report.added.values()), sum(report.completed.values())
    frame.recorded(
        f"Loaded {names}: {added} records added, {completed} completed, "
        f"{sum(report.unchanged.values())} known already.",
        batch.number,
    )
