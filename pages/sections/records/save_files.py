"""Everything as spreadsheets or as one backup file, and the backups that make themselves."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path

import streamlit as st

from pages import frame
from pages.sections.records import kept_backups
from pages.shell import acting, entry, session, telling
from tracker.intake.exchange import write_folder
from tracker.language import _
from tracker.sharing.roles import MANAGE
from tracker.store.database import Version
from tracker.store.safety.backup import backup
from tracker.workshop.records import Records


def show(workshop: session.Workshop) -> None:
    """Two downloads, each whole before its button can be pressed.

    The spreadsheets hold what everybody may look up, so everybody may take them.
    """
    version = workshop.version
    st.markdown(
        _(
            "**Spreadsheets:** one CSV file for each kind of record. They can be loaded "
            "again as they are."
        )
    )
    with telling.errors_in_words():
        with st.spinner(_("Writing the spreadsheets …")):
            spreadsheets = _spreadsheets(workshop.url, version, workshop.records)
        st.download_button(
            _("Download the spreadsheets"),
            data=spreadsheets,
            file_name=f"workshop-{workshop.as_of:%Y-%m-%d}.zip",
            mime="application/zip",
            on_click="ignore",
            width="stretch",
            key="save-zip",
        )
    st.markdown(_("**Backup:** everything with the history of its changes, in one file."))
    _offer_backup(workshop)
    if not workshop.is_demo:
        kept_backups.show(workshop)
    if not workshop.is_demo and st.button(_("Look at the demo workshop again"), key="show-demo"):
        frame.show_demo()
        st.rerun()


def _offer_backup(workshop: session.Workshop) -> None:
    """Who may manage takes it: with it, all records and their history leave the house as one."""
    if not entry.may_manage():
        acting.button(_("Download a backup"), role=MANAGE, width="stretch", key="save-backup")
        return
    with telling.errors_in_words():
        with st.spinner(_("Writing the backup …")):
            kept = _backup(workshop.url, workshop.version)
        st.download_button(
            _("Download a backup"),
            data=kept,
            on_click="ignore",
            file_name=f"workshop-{workshop.as_of:%Y-%m-%d}.backup",
            width="stretch",
            mime="application/octet-stream",
            key="save-backup",
        )
    st.caption(
        _(
            "To bring a backup back, run this command: `python -m tracker restore FILE --replace`. "
            "It takes the place of what is here now."
        )
    )


# Both are made once per change of the records: a press then only fetches what is there, and one
# press cannot take away what another was about to fetch.
@st.cache_resource(max_entries=2, show_spinner=False)
def _spreadsheets(url: str, version: Version, _records: Records) -> bytes:
    packed = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(packed, "w") as archive:
        write_folder(_records, Path(folder))
        for path in sorted(Path(folder).iterdir()):
            archive.write(path, path.name, compress_type=zipfile.ZIP_DEFLATED)
    return packed.getvalue()


@st.cache_resource(max_entries=2, show_spinner=False)
def _backup(url: str, version: Version) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "workshop.backup"
        backup(url, path)
        return path.read_bytes()
