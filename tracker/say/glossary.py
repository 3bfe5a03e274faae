"""The glossary: what the statistical words of the answers mean, one sentence each, with its source.

Sources: EN 13306 and IEC 60050-192 (terms of maintenance and dependability), IEC 61649 (Weibull
analysis), else the book or paper a method comes from.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from tracker.language import N_, _

_MEEKER = "Meeker and Escobar, Statistical Methods for Reliability Data, 1998"
_KLEIN = "Klein and Moeschberger, Survival Analysis, 2003"
_EN, _IEC, _WEIBULL = "EN 13306", "IEC 60050-192", "IEC 61649"


@dataclass(frozen=True)
class Term:
    """One word, what it means in one sentence, where it comes from ("": everyday words).

    ``said_as``: other words for it in the answers.
    """

    word: str
    means: str
    source: str = ""
    said_as: tuple[str, ...] = ()

    def sentence(self) -> str:
        """The word in bold, its meaning, its source."""
        source = f" ({self.source})" if self.source else ""
        return f"**{_(self.word)}**: {_(self.means)[:-1]}{source}."


TRADE = (
    Term(N_("Failure"), N_("a part can no longer do its work."), _EN),
    Term(N_("Failure mode"), N_("how a part failed, as it was seen."), _EN),
    Term(
        N_("Wear"),
        N_("failing because of age and use: the older, the likelier."),
        f"{_IEC}: wear-out failure",
    ),
    Term(
        N_("Accident"),
        N_("a failure that age has nothing to do with; it competes with wear."),
        f"{_KLEIN}: competing risks",
    ),
    Term(
        N_("Replace on schedule"),
        N_("change a working part at a fixed age, before it fails."),
        f"{_EN}: predetermined maintenance",
    ),
    Term(N_("Lot"), N_("parts or ink made together, with one number from the maker.")),
    Term(N_("Position"), N_("a place in a printer that one part fills, such as H1 or W2.")),
    Term(N_("On the way"), N_("ordered and not here yet.")),
    Term(N_("Running short, shortage"), N_("a part is needed and none is on the shelf.")),
    Term(
        N_("Usual"),
        N_("what is to be expected after all that was seen before, other things being alike."),
    ),
    Term(
        N_("Starting guess"),
        N_(
            "how long a part typically lasts, believed before any has failed here; it counts "
            "less with every failure seen."
        ),
        f"prior belief; {_MEEKER}",
    ),
    Term(
        N_("Service level"), N_("the chance you want of not running short until the next delivery.")
    ),
    Term(N_("Delivery time"), N_("from ordering a part to having it here.")),
    Term(N_("Expected"), N_("the average over all that may happen, each counted by its chance.")),
)
STATISTICS = (
    # How sure an answer is.
    Term(
        N_("80 % range"),
        N_("the truth is expected to lie in it four times out of five."),
        "",
        (N_("80 %"), N_("8 of 10 cases")),
    ),
    Term(
        N_("95 % limits"),
        N_("the truth is expected to lie between them nineteen times out of twenty."),
        "",
        (N_("95 % band"), N_("95 % sure"), N_("95 %:")),
    ),
    Term(
        N_("Even chance"),
        N_("as likely as not: half lie below it, half above (the median)."),
        "",
        (N_("median"), N_("half fail")),
    ),
    Term(
        N_("p-value"),
        N_("how often a difference like this would come by chance were there none."),
        _KLEIN,
    ),
    Term(
        N_("Correlation"),
        N_("1 is always together, 0 unrelated, −1 always one instead of the other."),
    ),
    # Lives.
    Term(
        N_("B10 life"),
        N_("the age by which one in ten has failed."),
        _WEIBULL,
        (N_("B10"), N_("one in ten")),
    ),
    Term(
        N_("Mean life"),
        N_("the average age at failure."),
        f"{_IEC}: mean operating time to failure",
    ),
    Term(
        N_("Censored"),
        N_("the part had not failed when it was last seen, so it lived at least that long."),
        _MEEKER,
        (N_("count as having lived at least"),),
    ),
    Term(
        N_("Found at a check"),
        N_("the failure happened on some day between two checks."),
        f"interval censoring; {_MEEKER}",
        (N_("between two checks"),),
    ),
    Term(
        N_("Watched from"),
        N_("the age of the part when the log began; what was before nobody saw."),
        f"delayed entry; {_KLEIN}",
    ),
    Term(
        N_("Survival curve"),
        N_("which share of parts still works at each age."),
        "Kaplan and Meier 1958; Turnbull 1976",
        (N_("share still working"), N_("Turnbull")),
    ),
    Term(
        N_("Shape"),
        N_("above 1 parts wear out, about 1 age tells nothing, below 1 they fail early."),
        f"{_WEIBULL}; Weibull 1951",
    ),
    Term(
        N_("Weibull curve"),
        N_("a curve of lives with two figures, its scale and its shape."),
        _WEIBULL,
        (N_("Weibull"),),
    ),
    Term(
        N_("Probability plot"),
        N_("a plot on which failures that follow a curve lie on a line."),
        _MEEKER,
    ),
    Term(
        N_("AICc"),
        N_("how well a curve fits, less a charge for each figure it needs; smaller is better."),
        "Burnham and Anderson, Model Selection, 2002",
    ),
    Term(
        N_("Aalen–Johansen"),
        N_("the chance of having ended of each cause, the others at work too."),
        "Aalen and Johansen 1978",
    ),
    Term(
        N_("Hazard"),
        N_("the risk that a part of some age that still works fails in the next days."),
        f"{_IEC}: instantaneous failure rate",
    ),
    # Groups and effects.
    Term(
        N_("Log-rank test"),
        N_("compares failures of groups at the same ages."),
        "Mantel 1966",
        (N_("log-rank"),),
    ),
    Term(
        N_("Bonferroni"),
        N_("asking several questions at once, each needs to be the surer."),
        "Dunn 1961",
    ),
    Term(
        N_("Hazard ratio"),
        N_(
            "the risk of failing at the same age under the first schedule, as a multiple of that "
            "under the second: 0.5 is half the risk, 1 no difference."
        ),
        f"{_IEC}: failure rate",
    ),
    Term(
        N_("Times as high"),
        N_("1 is no difference, 0.5 half the risk, 2 twice the risk, at one age."),
    ),
    Term(
        N_("Cox"),
        N_(
            "a second way to compare risks that assumes no form of the part’s life; it should say "
            "about the same."
        ),
        "Cox 1972",
    ),
    Term(
        N_("E-value"),
        N_(
            "how strongly something not in the log would have to act on both the care and the "
            "failures to explain the effect away."
        ),
        "VanderWeele and Ding 2017",
    ),
    Term(
        N_("80 % power"),
        N_("such an effect would be found four times out of five."),
        "Schoenfeld 1983",
    ),
    Term(
        N_("Score test"),
        N_("a small p would seldom come about by chance if the effect were the same at all ages."),
    ),
    Term(
        N_("Chance that it pays"),
        N_("of all that is possible after this log, the share in which the change saves money."),
    ),
    Term(
        N_("Chance that it helps"),
        N_("of all that is possible after this log, the share in which failures become fewer."),
    ),
    # Stock and money.
    Term(
        N_("Least cost"),
        N_(
            "the choice at which all that is counted together (work, failures, standing, holding) "
            "costs least."
        ),
        "",
        (N_("costs least"), N_("least expected"), N_("least expected cost")),
    ),
)


def explained(*texts: str) -> str:
    """One sentence for each statistical word that the texts use; "" where there is none.

    >>> explained("about 27 € saved (2 € to 50 € in 8 of 10 cases)")
    '**80 % range**: the truth is expected to lie in it four times out of five.'
    >>> explained("every 7 days")
    ''
    """
    together = _plain("\n".join(texts))
    return "\n\n".join(
        term.sentence()
        for term in STATISTICS
        if any(_is_in(_plain(_(word)), together) for word in (term.word, *term.said_as))
    )


def whole() -> str:
    """Every term, of the trade and of statistics, by the alphabet."""
    return "\n\n".join(
        term.sentence()
        for term in sorted((*TRADE, *STATISTICS), key=lambda term: _(term.word).lower())
    )


def _plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ").lower()


def _is_in(word: str, text: str) -> bool:
    """Does the text use the word, and not as a piece of another ("lot" in "plot")?"""
    return re.search(rf"(?<!\w){re.escape(word)}(?:s\b|(?!\w))", text) is not None
