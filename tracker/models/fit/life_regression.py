"""Does life get longer or shorter with a steady condition of the part?

Log life is a straight line in the covariates plus noise of the family, the accelerated-failure
model: a covariate stretches or shrinks life by a factor at every age. For conditions that hold for
the whole life of a part (supplier, head type, a planned interval); what changes during a life
belongs in ``tracker.models.regression``.

With b = 1 / sigma the log-likelihood is concave in (b, b · coefficients) for right-censored lives
(Burridge 1981), so Newton's method finds the one maximum. Source: Kalbfleisch & Prentice (1980),
chapter 3; Lawless (2003), chapter 6.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import special

from tracker.arrays import Array
from tracker.errors import ModelError, NotEnoughData
from tracker.models.fit.families import Family, family_named
from tracker.models.fit.fitting import LifeFit, fit_outcomes
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes, numbers

if TYPE_CHECKING:
    import pandas as pd


_MOST_STEPS = 60
_FLAT = 50.0  # standard error of an effect, in units of the noise: the likelihood has run level


@dataclass(frozen=True, eq=False)
class LifeRegression:
    """log life = intercept + Σ coefficient · covariate + sigma · noise.

    ``names`` and ``coefficients`` begin with the intercept; ``covariance`` is of the coefficients
    and log sigma, in that order (without log sigma for the exponential).
    """

    family: str
    names: tuple[str, ...]
    coefficients: Array
    sigma: float
    covariance: Array
    log_likelihood: float
    without_covariates: LifeFit
    failures: float
    lives: float

    def __repr__(self) -> str:
        told = ", ".join(f"{n} {c:.4g}" for n, c in zip(self.names, self.coefficients, strict=True))
        return f"LifeRegression({self.family}: {told}; {self.failures:g} failures)"

    @property
    def std_errors(self) -> Array:
        """Of the coefficients, then of log sigma."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def p_value(self) -> float:
        """The chance of a likelihood gain this large if no covariate mattered (chi-square)."""
        gain = 2.0 * max(self.log_likelihood - self.without_covariates.log_likelihood, 0.0)
        return float(special.chdtrc(len(self.names) - 1, gain))

    def table(self, level: float = 0.95) -> pd.DataFrame:
        """One row per name: coefficient, std_error, lower, upper, and the factor on life.

        ``life_factor`` (with ``life_factor_lower``, ``life_factor_upper``) is by how much life is
        multiplied for one more unit of the covariate; normal limits on the log scale.
        """
        import pandas as pd

        error = self.std_errors[: len(self.names)]
        width = float(special.ndtri(0.5 + 0.5 * level)) * error
        lower, upper = self.coefficients - width, self.coefficients + width
        return pd.DataFrame(
            {
                "coefficient": self.coefficients,
                "std_error": error,
                "lower": lower,
                "upper": upper,
                "life_factor": np.exp(self.coefficients),
                "life_factor_lower": np.exp(lower),
                "life_factor_upper": np.exp(upper),
            },
            index=pd.Index(self.names, name="covariate"),
        )


def fit_life_regression(
    age: Numbers,
    failed: Numbers,
    covariates: Mapping[str, Numbers],
    entry: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    family: str = "weibull",
) -> LifeRegression:
    """By what factor does each condition stretch or shrink life?

    ``covariates``: name → one number per life (a DataFrame will do). Failures are taken as exact.

    Raises ModelError for impossible numbers; NotEnoughData with fewer failures than coefficients,
    with covariates that say the same thing, or where a condition without a failure makes a factor
    infinite.

    >>> fit = fit_life_regression([10, 20, 30, 60, 40, 90], [1] * 6, {"good": [0, 0, 0, 1, 1, 1]})
    >>> fit.table()["life_factor"].round(2).to_dict()
    {'intercept': 22.96, 'good': 3.04}
    """
    kind = family_named(family)
    lives = check_outcomes(age, failed, entry, weight=weight)
    names = ("intercept", *map(str, covariates))
    columns = [numbers(values, str(name), len(lives)) for name, values in covariates.items()]
    for name, column in zip(names[1:], columns, strict=True):
        if not np.isfinite(column).all():
            i = int((~np.isfinite(column)).argmax())
            raise ModelError(f"{name}[{i}] is {column[i]}: a covariate needs a number per life.")
    if lives.events < len(names) + 1:
        raise NotEnoughData(
            f"{lives.events:g} failures for {len(names) - 1} covariates: at least {len(names) + 1} "
            "are needed, and ten for each covariate to be of use."
        )
    null = fit_outcomes(lives, family)
    rows = _Rows.of(lives, columns, kind)
    start = np.zeros(rows.slopes.shape[1])
    start[0] = null.shape * (null.mu - rows.centre)
    if kind.fixed_shape is None:
        start[-1] = null.shape
    at, value, curvature = _climb(rows, kind, start, names)
    return _result(rows, kind, names, null, lives, at, value, curvature)


@dataclass(frozen=True, eq=False)
class _Rows:
    """z = slopes @ θ (+ offset), θ = (b · coefficients of centred covariates, b)."""

    slopes: Array  # (rows, parameters): −1, −x…, y; entries follow the lives
    offset: Array  # y where the shape is fixed at 1, else 0
    failures: Array
    net_exits: Array
    sum_log_age: float
    centre: float
    means: Array

    @classmethod
    def of(cls, lives: Outcomes, columns: list[Array], kind: Family) -> _Rows:
        late = lives.entry > 0
        log_age = np.log(np.concatenate([lives.age, lives.entry[late]]))
        failures = lives.weight * lives.failed
        centre = float(failures @ log_age[: len(lives)] / failures.sum())
        x = np.stack(columns, axis=1) if columns else np.empty((len(lives), 0))
        means = np.asarray(lives.weight @ x / lives.weight.sum())
        x = np.concatenate([x, x[late]]) - means
        y = log_age - centre
        parts = [-np.ones((len(y), 1)), -x]
        if kind.fixed_shape is None:
            parts.append(y[:, None])
        return cls(
            np.concatenate(parts, axis=1),
            np.zeros_like(y) if kind.fixed_shape is None else y,
            np.concatenate([failures, np.zeros(int(late.sum()))]),
            np.concatenate([lives.weight, -lives.weight[late]]),
            float(failures @ log_age[: len(lives)]),
            centre,
            means,
        )

    def at(self, kind: Family, theta: Array) -> tuple[float, Array, Array]:
        """(log-likelihood, slopes, curvatures)."""
        b = 1.0 if kind.fixed_shape else float(theta[-1])
        if b <= 0.0:
            return -math.inf, theta, np.empty((0, 0))
        terms = kind.terms(self.slopes @ theta + self.offset)
        exact = float(self.failures.sum())
        value = exact * math.log(b) - self.sum_log_age
        value += float(self.failures @ terms.log_hazard + self.net_exits @ terms.log_survival)
        pull = self.failures * terms.slope - self.net_exits * terms.hazard
        bend = self.failures * terms.curvature - self.net_exits * terms.hazard * terms.slope
        gradient = self.slopes.T @ pull
        curvature = self.slopes.T @ (bend[:, None] * self.slopes)
        if kind.fixed_shape is None:
            gradient[-1] += exact / b
            curvature[-1, -1] -= exact / b**2
        return value, gradient, curvature


def _climb(
    rows: _Rows, kind: Family, theta: Array, names: tuple[str, ...]
) -> tuple[Array, float, Array]:
    spread = rows.slopes.std(axis=0)
    if (spread[1 : len(names)] == 0).any():
        same = names[1 + int((spread[1 : len(names)] == 0).argmax())]
        raise NotEnoughData(f"{same} is the same for every life: leave it out.")
    with np.errstate(all="ignore"):
        value, gradient, curvature = rows.at(kind, theta)
        for _ in range(_MOST_STEPS):
            scale = np.sqrt(np.maximum(-np.diag(curvature), 1e-300))
            scaled = -curvature / np.outer(scale, scale)
            if not np.isfinite(scaled).all() or np.linalg.cond(scaled) > 1e12:
                raise NotEnoughData(
                    f"{', '.join(names[1:])} say the same thing, or a condition saw no failure: "
                    "leave one out or join conditions."
                )
            step = np.linalg.solve(scaled, gradient / scale) / scale
            decrement = float(step @ gradient)
            if 0.0 <= decrement < 1e-11:
                errors = np.sqrt(np.diag(np.linalg.inv(scaled))) / scale
                if (errors * spread)[1 : len(names)].max(initial=0.0) > _FLAT:
                    break
                return theta + step, value + 0.5 * decrement, curvature
            size = 1.0
            for _ in range(40):
                tried = rows.at(kind, theta + size * step)
                if tried[0] >= value - 1e-12 * abs(value):
                    break
                size *= 0.4
            theta, (value, gradient, curvature) = theta + size * step, tried
    raise NotEnoughData(
        f"no finite effect of {', '.join(names[1:])} fits best: a condition saw no failure, or the "
        "lives are too few. Join conditions or wait for more failures."
    )


def _result(
    rows: _Rows,
    kind: Family,
    names: tuple[str, ...],
    null: LifeFit,
    lives: Outcomes,
    theta: Array,
    value: float,
    curvature: Array,
) -> LifeRegression:
    """From θ = (b · centred coefficients, b) to coefficients and log sigma, by the delta method."""
    count = len(names)
    b = 1.0 if kind.fixed_shape else float(theta[-1])
    centred = theta[:count] / b
    # coefficients: intercept = centre + c₀ − Σ cⱼ · meanⱼ, the rest as they are
    back = np.eye(count)
    back[0, 1:] = -rows.means
    coefficients = back @ centred
    coefficients[0] += rows.centre
    jacobian = np.zeros((len(theta), len(theta)))
    jacobian[:count, :count] = back / b
    if kind.fixed_shape is None:
        jacobian[:count, -1] = -(back @ centred) / b
        jacobian[-1, -1] = -1.0 / b
    covariance = jacobian @ np.linalg.inv(-curvature) @ jacobian.T
    return LifeRegression(
        kind.name,
        names,
        coefficients,
        1.0 / b,
        covariance,
        value,
        null,
        lives.events,
        lives.lives,
    )
