"""A nozzle check: how many nozzles are missing per channel."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import pick_day, pick_person, pick_printer
from tracker.store import acts


def show(workshop: frame.Workshop) -> None:
    """All good is one tap; otherwise one number per channel."""
    printer = pick_printer(workshop, "nozzle")
    if not printer:
        return
    row = workshop.records.printers.set_index("printer").loc[printer]
    channels = str(row["channels"]).split() or ["C", "M", "Y", "K", "W1"]
    fitted = workshop.records.fittings
    here = fitted[
        (fitted["printer"] == printer)
        & (fitted["part_kind"] == "head")
        & fitted["removed_on"].isna()
    ]
    heads = sorted(here["position"]) or ["H1"]
    head: str | None = heads[0]
    if len(heads) > 1:
        label = ", ".join(filter(None, ("Head", str(row["head_type"]))))
        head = st.pills(label, heads, default=heads[0], required=True, key="nozzle-head")
    head = head or heads[0]
    good = st.toggle("All nozzles fire", value=True, key="nozzle-good")
    missing = dict.fromkeys(channels, 0)
    if not good:
        columns = st.columns(min(len(channels), 4))
        for number, channel in enumerate(channels):
            missing[channel] = int(
                columns[number % len(columns)].number_input(
                    f"{channel} missing", value=0, step=1, key=f"nozzle-{channel}",
                )
            )  # fmt: skip
    with st.expander("Details: day, name"):
        day = pick_day(workshop, "Day", "nozzle-day")
        pick_person()
    with frame.errors_in_words():
        counts = {f"{channel} missing": count for channel, count in missing.items()}
        said = {"Printer": printer, "Head": head, "Day": day, **counts}
        least = dict.fromkeys(counts, 0)
        if saving.tapped(workshop, "nozzle-save", "Log this check", said, at_least=least):
            batch_id = acts.log_nozzle_check(
                workshop.store, printer, head, day, missing, who=frame.who(), now=frame.now()
            )
            total = sum(missing.values())
            result = "all nozzles fire" if total == 0 else f"{total} nozzles missing"
            frame.recorded(f"Nozzle check of {printer}: {result}.", batch_id)
