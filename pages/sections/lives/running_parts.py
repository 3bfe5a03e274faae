"""What each fitted part of a kind has left."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import routine_dial
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.nozzle_checks import NozzleFactors
from tracker.forecast.outlook import outlook
from tracker.say import numbers, part_types
from tracker.say.ages import ages_assumed
from tracker.say.nozzles import checks_say, unused_sentence
from tracker.workshop.empty_positions import waiting_positions
from tracker.workshop.records import Records

HORIZON_DAYS = 30
_SHOWN = 200


def show(place: frame.Workshop, kind: str) -> None:
    """The parts in the printers now, the likeliest to fail first."""
    parts = frame.ask(outlook, HORIZON_DAYS)
    parts = parts[parts["part_kind"] == kind]
    st.header("In the printers now", anchor=False)
    empty = frame.ask(waiting_positions)
    for row in empty[empty["part_kind"] == kind].itertuples():
        st.markdown(f"{part_types.stands_empty(row)}: a part is needed for it now.")
    if parts.empty:
        st.info(
            "None of these is forecast: none is fitted, or a level decides and not a life.",
            icon=":material/arrow_forward:",
        )
        return
    known = parts["area_p50"].notna().any()
    rows = parts.head(_SHOWN)
    fails = f"Fails within {HORIZON_DAYS} days"
    # The answer stands where a phone shows it without a push sideways.
    shown = pd.DataFrame(
        {
            "Printer": rows["printer"],
            "Place": rows["position"],
            fails: 100 * rows["chance_of_failure"],
            "80 % sure": [
                f"{100 * low:.0f} to {100 * high:.0f} %"
                for low, high in zip(rows["chance_low"], rows["chance_high"], strict=True)
            ],
            "Age (days)": rows["age_days"].round(),
            "Days left: half": rows["days_p50"].round(),
            "80 % range (days)": _ranges(rows["days_p10"], rows["days_p90"]),
        }
    )
    if known:
        shown["m² left: half"] = rows["area_p50"].round()
        shown["80 % range (m²)"] = _ranges(rows["area_p10"], rows["area_p90"])
    if rows["variant"].any():
        shown.insert(4, "Type", rows["variant"])
    st.dataframe(
        shown, hide_index=True, width="stretch", key="running-parts",
        column_config={
            fails: st.column_config.ProgressColumn(
                format="%.0f %%", min_value=0, max_value=100, width=150
            )
        },
        alt="Remaining life of every fitted part, with its interval",
    )  # fmt: skip
    if len(parts) > _SHOWN:
        st.caption(f"The {_SHOWN} likeliest to fail of {len(parts)} are shown.")
    for row in rows.itertuples():
        if said := checks_say(row, HORIZON_DAYS):
            st.caption(f"{part_types.placed(row)}: {numbers.unbroken(said)}")
    if kind == "head" and (why_not := unused_sentence(frame.ask(_checks))):
        st.caption(why_not)
    for assumed in ages_assumed(rows):
        st.caption(assumed)
    with st.expander("What if a task were done more or less often?"):
        _what_if(place, kind, parts)


def _what_if(place: frame.Workshop, kind: str, parts: pd.DataFrame) -> None:
    """The same parts' remaining life under another routine, beside the one as it is."""
    doing, said = routine_dial.ask(place, "lives")
    if not doing:
        st.caption("Choose a task that the log knows something about.")
        return
    changed = frame.ask(_outlook_if, tuple(doing.items()))
    changed = changed[changed["part_kind"] == kind].reindex(parts.index)
    st.markdown(f"What if: {', '.join(said)}.")
    st.dataframe(
        pd.DataFrame(
            {
                "Printer": parts["printer"],
                "Place": parts["position"],
                "Days left: half, as now": parts["days_p50"].round(),
                "then": changed["days_p50"].round(),
                "80 % range (days), then": _ranges(changed["days_p10"], changed["days_p90"]),
            }
        ).head(_SHOWN),
        hide_index=True, width="stretch", key="running-parts-if",
        alt="Remaining life of every fitted part under another routine",
    )  # fmt: skip
    st.caption("Order dates and spares under it: Spares, What if. Its money: Maintenance.")


def _checks(records: Records, as_of: date) -> NozzleFactors:
    return fit_lives(records, as_of).checks


def _outlook_if(
    records: Records, as_of: date, doing: tuple[tuple[str, float], ...]
) -> pd.DataFrame:
    return outlook(records, as_of, HORIZON_DAYS, doing=dict(doing))


def _ranges(low: pd.Series, high: pd.Series) -> list[str]:
    """From when to when, or from how many m²; empty where it is not known."""
    return [
        "" if first != first else f"{first:,.0f} to {last:,.0f}".replace(",", " ")
        for first, last in zip(low, high, strict=True)
    ]
