"""What is the answer of an experiment worth, and can it change the decision at all?

Today one decides for the interval that costs less on average over the possible truths. After the
experiment one decides again, knowing its result. The expected gain of that second decision, over
the printers and years for which it holds, is the value of the information (Raiffa & Schlaifer 1961,
Applied Statistical Decision Theory; Ades, Lu & Claxton 2004, Medical Decision Making 24, 207–227).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array

# An answer holds for so many years; later parts, inks and people are others (common practice, no
# source).
YEARS_IT_HOLDS = 3.0
_RESULTS = 800  # possible results looked at
# Means of money hang on the outermost draws where failures are few; those beyond count as these.
_OUTERMOST = (0.01, 0.99)


@dataclass(frozen=True)
class InformationValue:
    """Money, all printers and years together.

    ``with_result`` and ``without``: what the better choice saves, expected, with the experiment's
    result and without one; ``with_truth``: were the truth known. ``cost``: what is lost on average
    by doing the worse schedule half of the time meanwhile. ``chance_of_change``: the chance that
    the result turns the decision round.
    """

    with_result: float
    without: float
    with_truth: float
    cost: float
    chance_of_change: float

    @property
    def gain(self) -> float:
        """What the result is worth before its cost."""
        return self.with_result - self.without

    @property
    def net(self) -> float:
        """What is left of it once the experiment is paid for."""
        return self.gain - self.cost


def information_value(
    saving: Array,
    log_ratios: Array,
    errors: Array,
    printer_years: float,
    experiment_printer_years: float,
    rng: np.random.Generator,
) -> InformationValue:
    """Does knowing the experiment's result pay?

    ``saving``: of the shorter interval against the longer, per printer and year, one value per
    equally likely truth; ``log_ratios``: (kinds, truths), each kind's true log ratio of risks, and
    ``errors`` the standard error with which the experiment tells it. ``printer_years``: those for
    which the decision holds; ``experiment_printer_years``: those that the experiment takes.
    """
    saving = np.clip(saving, *np.quantile(saving, _OUTERMOST))
    truth = rng.integers(len(saving), size=_RESULTS)
    results = log_ratios[:, truth] + errors[:, None] * rng.standard_normal((len(errors), _RESULTS))
    log_weight = np.zeros((_RESULTS, len(saving)))
    for seen, own, error in zip(results, log_ratios, errors, strict=True):
        log_weight -= ((seen[:, None] - own[None, :]) / error) ** 2 / 2
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    after = (weight @ saving) / weight.sum(axis=1)
    mean = float(after.mean())  # of these results, so that their own noise is in both
    now = 1.0 if mean >= 0 else -1.0
    return InformationValue(
        with_result=float(np.maximum(after, 0.0).mean()) * printer_years,
        without=max(mean, 0.0) * printer_years,
        with_truth=float(np.maximum(saving, 0.0).mean()) * printer_years,
        cost=abs(float(saving.mean())) / 2 * experiment_printer_years,
        chance_of_change=float(np.mean(after * now < 0)),
    )
