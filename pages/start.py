"""Start: from an empty workshop to the first forecast in four steps."""

from __future__ import annotations

from pages import frame
from pages.sections.start import steps
from pages.shell import session
from tracker.language import _

workshop = session.workshop()
if workshop.records.printers.empty:
    steps.show(workshop, "start")
else:
    frame.headline(_("Start my workshop"), _("This workshop has begun already."))
    frame.empty_state(
        _(
            "Another printer is added on the page Log, under Printer; prices and the routine "
            "are corrected on the page Records, under Settings."
        ),
        button=_("See what today asks for"),
        page="today",
    )
