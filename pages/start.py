"""Start: from an empty workshop to the first forecast in four steps."""

from __future__ import annotations

from pages import frame
from pages.sections.start import steps

workshop = frame.workshop()
if workshop.records.printers.empty:
    steps.show(workshop, "start")
else:
    frame.headline("Start my workshop", "This workshop has begun already.")
    frame.empty_state(
        "Another printer is added on the page Log, under Printer; prices and the routine are "
        "corrected on the page Records, under Settings.",
        button="See what today asks for", page="today",
    )  # fmt: skip
