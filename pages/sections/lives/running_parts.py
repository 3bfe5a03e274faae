"""What each fitted part of a kind has left."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from tracker.forecast.outlook import outlook
from tracker.say.ages import ages_assumed

HORIZON_DAYS = 30
_SHOWN = 200


def show(place: frame.Workshop, kind: str) -> None:
    """The parts in the printers now, the likeliest to fail first."""
    parts = frame.ask(outlook, HORIZON_DAYS)
    parts = parts[parts["part_kind"] == kind]
    st.header("In the printers now", anchor=False)
    if parts.empty:
        st.info(
            "None of these is forecast: none is fitted, or a level decides and not a life.",
            icon=":material/arrow_forward:",
        )
        return
    known = parts["area_p50"].notna().any()
    rows = parts.head(_SHOWN)
    shown = pd.DataFrame(
        {
            "Printer": rows["printer"],
            "Place": rows["position"],
            **({"Type": rows["variant"]} if rows["variant"].any() else {}),
            "Age (days)": rows["age_days"].round(),
            f"Chance of failing within {HORIZON_DAYS} days": rows["chance_of_failure"],
            "80 % sure of that chance": [
                f"{low:.0%} to {high:.0%}"
                for low, high in zip(rows["chance_low"], rows["chance_high"], strict=True)
            ],
            "Days left: half": rows["days_p50"].round(),
            "80 % range (days)": [
                f"{low:,.0f} to {high:,.0f}"
                for low, high in zip(rows["days_p10"], rows["days_p90"], strict=True)
            ],
        }
    )
    if known:
        shown["m² left: half"] = rows["area_p50"].round()
        shown["80 % range (m²)"] = [
            "" if low != low else f"{low:,.0f} to {high:,.0f}"
            for low, high in zip(rows["area_p10"], rows["area_p90"], strict=True)
        ]
    st.dataframe(
        shown, hide_index=True, width="stretch", key="running-parts",
        column_config={
            f"Chance of failing within {HORIZON_DAYS} days": st.column_config.ProgressColumn(
                format="percent", min_value=0, max_value=1
            )
        },
        alt="Remaining life of every fitted part, with its interval",
    )  # fmt: skip
    if len(parts) > _SHOWN:
        st.caption(f"The {_SHOWN} likeliest to fail of {len(parts)} are shown.")
    for assumed in ages_assumed(rows):
        st.caption(assumed)
