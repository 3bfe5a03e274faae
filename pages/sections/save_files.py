"""Everything as spreadsheets or as one backup file."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path

import streamlit as st

from pages import frame
from tracker.records.backup import backup
from tracker.records.exchange import write_folder


def show(place: frame.Workshop) -> None:
    """Two downloads, made when asked for."""
    st.markdown("**Spreadsheets** – one CSV per kind of record; they can be loaded again as is.")
    st.download_button(
        "Download the spreadsheets", data=lambda: _spreadsheets(place), width="stretch",
        file_name=f"workshop-{place.as_of:%Y-%m-%d}.zip", mime="application/zip", key="save-zip",
    )  # fmt: skip
    st.markdown("**Backup** – the whole database with its history of changes, in one file.")
    st.download_button(
        "Download a backup", data=lambda: _backup(place), width="stretch",
        file_name=f"workshop-{place.as_of:%Y-%m-%d}.backup", key="save-backup",
        mime="application/octet-stream",
    )  # fmt: skip
    st.caption("Bring a backup back with: python -m tracker restore FILE")
    if not place.is_demo and st.button("Look at the demo workshop again", key="show-demo"):
        frame.show_demo()
        st.rerun()


def _spreadsheets(place: frame.Workshop) -> bytes:
    packed = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(packed, "w") as archive:
        write_folder(place.records, Path(folder))
        for path in sorted(Path(folder).iterdir()):
            archive.write(path, path.name, compress_type=zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _backup(place: frame.Workshop) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "workshop.backup"
        backup(place.url, path)
        return path.read_bytes()
