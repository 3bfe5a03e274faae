"""The backups that make themselves: when the last was made, all of them, and back to one."""

from __future__ import annotations

import streamlit as st

from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.say import numbers
from tracker.sharing.roles import MANAGE
from tracker.store.safety import rotation
from tracker.store.safety.restore import restore
from tracker.store.safety.rotation import KeptBackup

_WHY = {
    rotation.DAILY: N_("before the first change of the day"),
    rotation.BEFORE_UPDATE: N_("before a new version of the program"),
    rotation.BEFORE_RESTORE: N_("before another backup was restored"),
}
_SHOWN = 10
_ASKED = "restore-asked"


def tell_last(workshop: session.Workshop) -> None:
    """One quiet line: when the last backup was made; loud only where one could not be made."""
    if workshop.is_demo or workshop.store.file is None:
        return
    if trouble := workshop.store.backups.trouble:
        st.warning(_("The last backup was not made: {trouble}", trouble=plain(trouble)))
    elif kept := workshop.store.backups.kept():
        st.caption(_("Last backup: {moment}.", moment=_moment(kept[0])))


def show(workshop: session.Workshop) -> None:
    """The list, each with its way back behind a question."""
    st.markdown(_("**Backups that make themselves**"))
    file = workshop.store.file
    if file is None:
        st.caption(
            _(
                "These records are kept on a server; whoever runs it has it make a backup of its "
                "own every day."
            )
        )
        return
    kept = workshop.store.backups.kept()
    st.caption(
        _(
            "One is made before the first change of each day, and before a backup is restored; "
            "the last 7 days, 4 weeks and 12 months are kept in the folder {folder}.",
            folder=plain(rotation.backup_folder(file).name),
        )
    )
    if not kept:
        st.caption(_("None was made yet."))
    for backup in kept[:_SHOWN]:
        _line(workshop, backup)
    if len(kept) > _SHOWN:
        with st.expander(_("Older ones")):
            for backup in kept[_SHOWN:]:
                _line(workshop, backup)


def _line(workshop: session.Workshop, backup: KeptBackup) -> None:
    text, button = st.columns([3, 1], vertical_alignment="center")
    text.markdown(f"{_moment(backup)}, {_(_WHY[backup.reason])}")
    name = backup.path.name
    if acting.button(
        _("Go back to it"), at=button, role=MANAGE, key=f"restore-{name}", width="stretch"
    ):
        st.session_state[_ASKED] = name
    if st.session_state.get(_ASKED) != name:
        return
    st.warning(
        _(
            "Everything written down since {moment} will be gone from the screen for everybody. "
            "It is kept as a backup of its own, to which you can go back.",
            moment=_moment(backup),
        )
    )
    yes, no = st.columns(2)
    if acting.button(
        _("Restore the backup of {moment}", moment=_moment(backup)), at=yes, role=MANAGE,
        key="restore-yes", type="primary", width="stretch",
    ):  # fmt: skip
        with telling.errors_in_words():
            workshop.store.permit.replace_all()
            restore(backup.path, workshop.url, replace=True, now=session.now())
            del st.session_state[_ASKED]
            session.restored_here()
            telling.recorded(
                _("Restored: everything is as it was at {moment}.", moment=_moment(backup)), None
            )
    if no.button(_("Leave it as it is"), key="restore-no", width="stretch"):
        del st.session_state[_ASKED]
        st.rerun()


def _moment(backup: KeptBackup) -> str:
    return numbers.moment(backup.made)
