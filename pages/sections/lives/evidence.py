"""The evidence behind a part's life: curves, causes, families, scale, belief, the lives."""

from __future__ import annotations

import numpy as np
import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.records import part_in_use
from tracker.charts.survival import causes_picture, plot_of_chances, survival_picture
from tracker.errors import NotEnoughData
from tracker.forecast.life_scale import scale_finding
from tracker.forecast.life_summary import LifeSummary
from tracker.lives.life_table import ages
from tracker.models.curves.causes import cumulative_incidence
from tracker.models.curves.survival_curve import survival_curve
from tracker.models.fit.families import family_named
from tracker.models.fit.fitting import fit_life
from tracker.models.fit.plot import probability_plot
from tracker.say import numbers
from tracker.say.lives import days_or_area, seen, why_no_curve
from tracker.say.phrases import first_up


def show_curve(kind: str, lives: pd.DataFrame, summary: LifeSummary) -> None:
    """The survival curve with the lives drawn under it."""
    counted = lives[lives["counted"].astype(bool)]
    if counted.empty:
        return
    arrays = ages(lives)
    curve = survival_curve(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
    smooth = None
    if summary.basis == "lives":
        fit = fit_life(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
        grid = np.linspace(0, float(arrays.age.max()), 80)
        smooth = pd.DataFrame({"survival": fit.survival(grid)}, index=grid)
    st.header("The lives behind it", anchor=False)
    frame.chart(
        survival_picture(kind, curve, counted, smooth, "days"),
        f"Survival curve of {summary.label} with every life under it", f"curve-{kind}",
    )  # fmt: skip
    last = curve.last
    still = "all" if last == 1 else "none" if last == 0 else numbers.chance(last)
    st.caption(
        f"{first_up(seen(summary.failures, summary.lives))}; at the greatest age watched "
        f"{still} still work. Parts still running, and parts taken out for other "
        "reasons, count as having lived at least so long."
    )
    if curve.between_checks:
        st.caption(
            f"The day of {numbers.count(curve.between_checks, 'failure')} is known only to lie "
            "between two checks: over those days the curve falls slantwise (Turnbull's estimate), "
            "and the band allows for the first and the last of them."
        )
    if curve.note:
        st.warning(curve.note, icon=":material/warning:")


def show_more(place: frame.Workshop, kind: str, lives: pd.DataFrame, summary: LifeSummary) -> None:
    """Causes, probability plot, families, days or area, belief, and every life with its reason."""
    with st.expander("How they end: wear or accident"):
        _causes(kind, lives)
    with st.expander("Does the curve fit? Probability plot and other life families"):
        _fit(kind, lives, summary)
    with st.expander("Days or printed area: which tells more?"):
        st.markdown(days_or_area(frame.ask(scale_finding, kind)))
    with st.expander("What you believe, and how much it counts"):
        _belief(place, kind, summary)
    with st.expander(f"Every life, counted or not ({len(lives)})"):
        _table(lives)


def _causes(kind: str, lives: pd.DataFrame) -> None:
    counted = lives[lives["counted"].astype(bool)]
    cause = counted["outcome"].where(counted["outcome"].isin(("failed", "accident")), "")
    if not (cause != "").any():
        st.info("None has failed or met an accident so far.", icon=":material/foggy:")
        return
    table = cumulative_incidence(counted["age"], cause.to_numpy(), counted["entry"])
    frame.chart(causes_picture(table, "days"), "Chance of ending by each cause", f"causes-{kind}")
    modes = counted.loc[cause != "", "mode"].replace("", "not written down").value_counts()
    st.markdown("How they failed: " + "; ".join(f"{mode} ({n})" for mode, n in modes.items()))
    st.caption("Wear and accident compete; each curve allows for the other (Aalen–Johansen).")


def _fit(kind: str, lives: pd.DataFrame, summary: LifeSummary) -> None:
    if summary.basis != "lives":
        st.info(why_no_curve(summary.failures, summary.lives), icon=":material/foggy:")
        return
    arrays = ages(lives)
    try:
        plot = probability_plot(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
    except NotEnoughData as problem:
        st.info(str(problem), icon=":material/foggy:")
        return
    frame.chart(
        plot_of_chances(kind, plot.points, plot.line, plot.y_ticks, "days"),
        "Failures along the fitted Weibull curve", f"plot-{kind}",
    )  # fmt: skip
    st.caption(plot.note or "Points near the line within the band: the curve fits.")
    families = pd.DataFrame(summary.families)
    fitted = families[families["why_not"] == ""]
    shown = pd.DataFrame(
        {
            "Family": [first_up(family_named(name).title) for name in fitted["family"]],
            "AICc": fitted["aicc"].round(1),
            "Support": [numbers.chance(share) for share in fitted["weight"]],
            "B10 (days)": fitted["b10"].round(),
            "Mean life (days)": fitted["mean_life"].round(),
        }
    )
    st.dataframe(shown, hide_index=True, width="stretch", key=f"families-{kind}")
    st.caption("A difference in AICc below 2 says nothing; the smaller fits better.")


def _belief(place: frame.Workshop, kind: str, summary: LifeSummary) -> None:
    facts = place.records.part_facts(kind)
    guess = " (the trade's guess, common practice, no source)" if (
        "typical_life_days" in facts.guessed
    ) else ""  # fmt: skip
    usual, halved, doubled = summary.median_by_guess
    st.markdown(
        f"You believe that a typical life is **{part_in_use.typical_life(facts)}**{guess}, "
        f"and that counts as **{numbers.count(facts.belief_failures, 'failure')}** of evidence. "
        f"Half of them are forecast to have failed by {numbers.days(usual)} of age; with half that "
        f"life believed by {numbers.days(halved)}, with twice by {numbers.days(doubled)}."
    )
    life, worth = st.columns(2)
    typical = life.number_input(
        "Typical life (days)", min_value=1.0, max_value=20000.0, step=10.0,
        value=float(facts.typical_life_days), key=f"belief-life-{kind}",
    )  # fmt: skip
    counts = worth.number_input(
        "Counts as so many failures", min_value=0.1, max_value=100.0, step=0.5,
        value=max(0.1, float(facts.belief_failures)), key=f"belief-worth-{kind}",
    )  # fmt: skip
    if facts.typical_life_white_days != facts.typical_life_days:
        st.caption("What you save holds for both inks.")
    if st.button("Save what I believe", key=f"belief-save-{kind}", width="stretch"):
        with frame.errors_in_words():
            rows = place.records.parts
            rows = rows[rows["part_kind"] == kind]
            values: dict[str, object] = {"typical_life_days": typical, "belief_failures": counts}
            if len(rows):
                done = place.store.correct(
                    "parts", int(str(rows.index[-1])), values, who=frame.who(), now=frame.now()
                )
            else:
                values |= {"part_kind": kind, "replaced_with": facts.replaced_with}
                done = place.store.add("parts", values, who=frame.who(), now=frame.now())
            frame.recorded(f"Belief about {facts.label.lower()} saved.", done.batch)


def _table(lives: pd.DataFrame) -> None:
    shown = pd.DataFrame(
        {
            "Printer": lives["printer"],
            "Place": lives["position"],
            "Age (days)": lives["age"],
            "End": lives["outcome"],
            "How": lives["mode"],
            "Fitted": lives["fitted_on"].dt.strftime("%Y-%m-%d").fillna("not known"),
            "Removed": lives["removed_on"].dt.strftime("%Y-%m-%d").fillna(""),
            "Watched from (days)": lives["entry"],
            "Supplier": lives["supplier"],
            "Batch": lives["batch"],
            "Counted": lives["counted"].map({True: "yes", False: "no"}),
            "Why not": lives["why_not"],
        }
    )
    st.dataframe(shown, hide_index=True, width="stretch", key="lives-table")
