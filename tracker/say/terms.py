"""What the statistical words of the answers mean, each in one sentence."""

from __future__ import annotations

_MEANS = {
    "80 % range": "the truth is expected to lie in it four times out of five.",
    "95 % limits": "the truth is expected to lie between them nineteen times out of twenty.",
    "chance that it pays": (
        "of all that is possible after this log, the share in which the change saves money."
    ),
    "Chance that it helps": (
        "of all that is possible after this log, the share in which failures become fewer."
    ),
    "Hazard ratio": (
        "the risk of failing at the same age under the first schedule, as a multiple of that "
        "under the second: 0.5 is half the risk, 1 no difference (IEC 60050-192: failure rate)."
    ),
    "times as high": "1 is no difference, 0.5 half the risk, 2 twice the risk, at the same age.",
    "Cox": (
        "a second way to compare risks that assumes no form of the part’s life (Cox 1972); it "
        "should say about the same."
    ),
    "E-value": (
        "how strongly something not in the log would have to act on both the care and the "
        "failures to explain the effect away (VanderWeele and Ding 2017)."
    ),
    "80 % power": "such an effect would be found four times out of five.",
    "correlation": "1 is always together, 0 unrelated, −1 always one instead of the other.",
    "score test": (
        "a small p would seldom come about by chance if the effect were the same at all ages."
    ),
    "median": "half lie below it, half above.",
    "Least cost": "the interval at which work and expected failures together cost least.",
    "costs least": "work and expected failures together cost less at no other interval tried.",
    "least expected": "work and expected failures together cost least there.",
    "At least expected cost": "where work and expected failures together cost least.",
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
        f"**{word}**: {means}" for word, means in _MEANS.items() if word.lower() in together
    )
