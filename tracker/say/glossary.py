"""The glossary: what the statistical words of the answers mean, one sentence each, with its source.

Sources: EN 13306 and IEC 60050-192 (terms of maintenance and dependability), IEC 61649 (Weibull
analysis), else the book or paper a method comes from.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

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
        return f"**{self.word}**: {self.means[:-1]}{source}."


TRADE = (
    Term("Failure", "a part can no longer do its work.", _EN),
    Term("Failure mode", "how a part failed, as it was seen.", _EN),
    Term(
        "Wear", "failing because of age and use: the older, the likelier.",
        f"{_IEC}: wear-out failure",
    ),
    Term(
        "Accident", "a failure that age has nothing to do with; it competes with wear.",
        f"{_KLEIN}: competing risks",
    ),
    Term(
        "Replace on schedule", "change a working part at a fixed age, before it fails.",
        f"{_EN}: predetermined maintenance",
    ),
    Term("Lot", "parts or ink made together, with one number from the maker."),
    Term("Position", "a place in a printer that one part fills, such as H1 or W2."),
    Term("On the way", "ordered and not here yet."),
    Term("Running short, shortage", "a part is needed and none is on the shelf."),
    Term(
        "Usual",
        "what is to be expected after all that was seen before, other things being alike.",
    ),
    Term(
        "Starting guess",
        "how long a part typically lasts, believed before any has failed here; it counts less with "
        "every failure seen.", f"prior belief; {_MEEKER}",
    ),
    Term("Service level", "the chance you want of not running short until the next delivery."),
    Term("Delivery time", "from ordering a part to having it here."),
    Term("Expected", "the average over all that may happen, each counted by its chance."),
)  # fmt: skip
STATISTICS = (
    # How sure an answer is.
    Term("80 % range", "the truth is expected to lie in it four times out of five.", "", ("80 %",)),
    Term(
        "95 % limits", "the truth is expected to lie between them nineteen times out of twenty.",
        "", ("95 % band", "95 % sure", "95 %:"),
    ),
    Term("Even chance", "as likely as not: half lie below it, half above (the median).", "",
         ("median", "half fail")),
    Term(
        "p-value", "how often a difference like this would come by chance were there none.",
        _KLEIN,
    ),
    Term(
        "Correlation", "1 is always together, 0 unrelated, −1 always one instead of the other."
    ),
    # Lives.
    Term("B10 life", "the age by which one in ten has failed.", _WEIBULL, ("B10", "one in ten")),
    Term("Mean life", "the average age at failure.", f"{_IEC}: mean operating time to failure"),
    Term(
        "Censored",
        "the part had not failed when it was last seen, so it lived at least that long.", _MEEKER,
        ("count as having lived at least",),
    ),
    Term(
        "Found at a check", "the failure happened on some day between two checks.",
        f"interval censoring; {_MEEKER}", ("between two checks",),
    ),
    Term(
        "Watched from", "the age of the part when the log began; what was before nobody saw.",
        f"delayed entry; {_KLEIN}",
    ),
    Term(
        "Survival curve", "which share of parts still works at each age.",
        "Kaplan and Meier 1958; Turnbull 1976", ("share still working", "Turnbull"),
    ),
    Term(
        "Shape", "above 1 parts wear out, about 1 age tells nothing, below 1 they fail early.",
        f"{_WEIBULL}; Weibull 1951",
    ),
    Term("Weibull curve", "a curve of lives with two figures, its scale and its shape.", _WEIBULL,
         ("Weibull",)),
    Term("Probability plot", "a plot on which failures that follow a curve lie on a line.",
         _MEEKER),
    Term(
        "AICc", "how well a curve fits, less a charge for each figure it needs; smaller is better.",
        "Burnham and Anderson, Model Selection, 2002",
    ),
    Term(
        "Aalen–Johansen", "the chance of having ended of each cause, the others at work too.",
        "Aalen and Johansen 1978",
    ),
    Term(
        "Hazard", "the risk that a part of some age that still works fails in the next days.",
        f"{_IEC}: instantaneous failure rate",
    ),
    # Groups and effects.
    Term("Log-rank test", "compares failures of groups at the same ages.", "Mantel 1966",
         ("log-rank",)),
    Term("Bonferroni", "asking several questions at once, each needs to be the surer.",
         "Dunn 1961"),
    Term(
        "Hazard ratio",
        "the risk of failing at the same age under the first schedule, as a multiple of that "
        "under the second: 0.5 is half the risk, 1 no difference.", f"{_IEC}: failure rate",
    ),
    Term("Times as high", "1 is no difference, 0.5 half the risk, 2 twice the risk, at one age."),
    Term(
        "Cox",
        "a second way to compare risks that assumes no form of the part’s life; it should say "
        "about the same.", "Cox 1972",
    ),
    Term(
        "E-value",
        "how strongly something not in the log would have to act on both the care and the "
        "failures to explain the effect away.", "VanderWeele and Ding 2017",
    ),
    Term("80 % power", "such an effect would be found four times out of five.",
         "Schoenfeld 1983"),
    Term(
        "Score test",
        "a small p would seldom come about by chance if the effect were the same at all ages.",
    ),
    Term(
        "Chance that it pays",
        "of all that is possible after this log, the share in which the change saves money.",
    ),
    Term(
        "Chance that it helps",
        "of all that is possible after this log, the share in which failures become fewer.",
    ),
    # Stock and money.
    Term(
        "Least cost",
        "the choice at which all that is counted together (work, failures, standing, holding) "
        "costs least.", "", ("costs least", "least expected", "least expected cost"),
    ),
)  # fmt: skip


def explained(*texts: str) -> str:
    """One sentence for each statistical word that the texts use; "" where there is none.

    >>> explained("about 27 € saved (80 % range 2 € to 50 €)")
    '**80 % range**: the truth is expected to lie in it four times out of five.'
    >>> explained("every 7 days")
    ''
    """
    together = _plain("\n".join(texts))
    return "\n\n".join(
        term.sentence()
        for term in STATISTICS
        if any(_is_in(_plain(word), together) for word in (term.word, *term.said_as))
    )


def whole() -> str:
    """Every term, of the trade and of statistics, by the alphabet."""
    return "\n\n".join(
        term.sentence()
        for term in sorted((*TRADE, *STATISTICS), key=lambda term: term.word.lower())
    )


def _plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ").lower()


def _is_in(word: str, text: str) -> bool:
    """Does the text use the word, and not as a piece of another ("lot" in "plot")?"""
    return re.search(rf"(?<!\w){re.escape(word)}(?:s\b|(?!\w))", text) is not None
