"""What the statistical words of the answers mean, each in one sentence."""

from __future__ import annotations

from tracker.language import N_, _

_MEANS = {
    N_("80 % range"): N_("the truth is expected to lie in it four times out of five."),
    N_("95 % limits"): N_(
        "the truth is expected to lie between them nineteen times out of twenty."
    ),
    N_("chance that it pays"): N_(
        "of all that is possible after this log, the share in which the change saves money."
    ),
    N_("Chance that it helps"): N_(
        "of all that is possible after this log, the share in which failures become fewer."
    ),
    N_("Hazard ratio"): N_(
        "the risk of failing at the same age under the first schedule, as a multiple of "
        "that under the second: 0.5 is half the risk, 1 no difference (IEC 60050-192: "
        "failure rate)."
    ),
    N_("times as high"): N_(
        "1 is no difference, 0.5 half the risk, 2 twice the risk, at the same age."
    ),
    N_("Cox"): N_(
        "a second way to compare risks that assumes no form of the part’s life (Cox "
        "1972); it should say about the same."
    ),
    N_("E-value"): N_(
        "how strongly something not in the log would have to act on both the care and "
        "the failures to explain the effect away (VanderWeele and Ding 2017)."
    ),
    N_("80 % power"): N_("such an effect would be found four times out of five."),
    N_("correlation"): N_("1 is always together, 0 unrelated, −1 always one instead of the other."),
    N_("score test"): N_(
        "a small p would seldom come about by chance if the effect were the same at all ages."
    ),
    N_("median"): N_("half lie below it, half above."),
    N_("Least cost"): N_("the interval at which work and expected failures together cost least."),
    N_("costs least"): N_(
        "work and expected failures together cost less at no other interval tried."
    ),
    N_("least expected"): N_("work and expected failures together cost least there."),
    N_("At least expected cost"): N_("where work and expected failures together cost least."),
}


def explained(*texts: str) -> str:
    """One sentence for each statistical word that occurs in the texts; "" where there is none.

    >>> explained("about 27 € saved (80 % range 2 € to 50 €)")
    '**80 % range**: the truth is expected to lie in it four times out of five.'
    >>> explained("every 7 days")
    ''
    """
    together = "\n".join(texts).replace("\N{NO-BREAK SPACE}", " ").lower()
    return "\n\n".join(
        f"**{_(word)}**: {_(means)}"
        for word, means in _MEANS.items()
        if _(word).lower() in together
    )
