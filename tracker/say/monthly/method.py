"""How the review's figures were worked out, for whoever asks."""

from __future__ import annotations

from tracker.language import _, ngettext
from tracker.review.month import MonthReview
from tracker.review.printer_trend import LEAST_MISSING


def method(review: MonthReview) -> str:
    """What stands behind "usual", "normal", "unusual", "suspicious" and "getting worse"."""
    return " ".join(
        filter(
            None,
            (
                _usual(review.months_compared),
                _("“Normal” is the range that holds in 8 of 10 months."),
                _(
                    "Hours stood still count on working days (Monday to Friday or the weekdays "
                    "set, and other days with an entry), at most the set hours a day."
                ),
                _("A warranty credit counts in the month in which the part came out."),
                _(
                    "Expected failures come from one model of all lives as it stood on the day "
                    "before the month, for the parts, ages, printers and lots that were then in "
                    "use; parts of unknown age count by the ages they may have, and left out on "
                    "both sides is what the model had not met before."
                ),
                _(
                    "They count the days on which a part was in its printer: until it failed or "
                    "came out, and of a new one from its first day. A forecast made before the "
                    "month counts every part to its end, and says more where some failed early."
                ),
                _(
                    "With many comparisons some look bad by luck: something is called unusual or "
                    "suspicious only where a chance below 5 % remains after all comparisons are "
                    "counted (Holm, 1979), a lot moreover only after three failures."
                ),
                _(
                    "The table has the lots with three or more parts in the printers in the "
                    "month; whether a lot is suspicious is judged over the whole log, by the same "
                    "model learned without it, at the ages, printers and times its parts really "
                    "had."
                ),
                _(
                    "A printer is called harder on its parts where they fail 1.25 times as often "
                    "or more at the same age, time and routine and the 95 % limits leave out no "
                    "difference."
                ),
                _(
                    "That lives have changed is said where the model gives a chance above 80 % "
                    "that the risk at the same age rose or fell by a quarter or more, and where "
                    "the 95 % limits of the lives leave out no change."
                ),
                _(
                    "A printer is called getting worse where its events of the last twelve months "
                    "crowd towards the end (Laplace’s test, widened for bursts, at 1 % a month for "
                    "all printers together), leaving out its first four months with new parts; "
                    "once eighteen months were watched, the last half year must also have had "
                    "more events than the same days a year before, by more than chance explains "
                    "(5 %), for a season rises for half a year as well; a drop-out is a day on "
                    "which a nozzle check finds a channel with {least} or more missing nozzles "
                    "that had fewer at its check before.",
                    least=LEAST_MISSING,
                ),
                _(
                    "What skipping cost compares the risk under the actions done with that under "
                    "those done and skipped together, over one month, for the tasks and parts "
                    "where the log shows an effect (90 % limits leave out none); its range "
                    "carries what is not known about the effect, not the luck of a single month."
                ),
            ),
        )
    )


def _usual(months: int) -> str:
    if not months:
        return ""
    return ngettext(
        "“Usual” is the mean of the {count} month before.",
        "“Usual” is the mean of the {count} months before.",
        months,
        count=months,
    )
