"""Is it really today? Asked once on a device where what is written down speaks against it."""

from __future__ import annotations

from datetime import date

import streamlit as st

from pages.shell import device
from tracker.language import _
from tracker.say import numbers
from tracker.say.entering.clock import doubt_in_words
from tracker.workshop.clocks.doubt import clock_doubt
from tracker.workshop.records import Records

_AGREED = "clock"


def is_settled(records: Records, today: date) -> bool:
    """May the page be shown? Where the clock is in doubt, it is asked about here until agreed to.

    A day before the newest entry cannot be, so nothing is shown until somebody says that it is;
    after a long silence the page is shown below the question. What was agreed to holds on this
    device until another entry is the newest, or the doubt is of the other kind.
    """
    doubt = clock_doubt(records, today)
    if doubt is None:
        return True
    what = f"{doubt.kind} {doubt.newest.isoformat()}"
    if device.recall(_AGREED) == what:
        return True
    st.warning(doubt_in_words(doubt), icon=":material/schedule:")
    st.markdown(
        _("If that is not today, set this computer's clock right, then load this page again.")
    )
    said = _("Yes, today is {today}: go on", today=numbers.day(today))
    if st.button(said, type="primary", key="clock-right"):
        device.remember(_AGREED, what)
        st.rerun()
    return doubt.kind != "before"
