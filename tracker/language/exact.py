"""A number as somebody wrote it down, in the habit of the language in use."""

from __future__ import annotations

from babel.numbers import format_decimal

from tracker.language.voice import speaking, voice  # noqa: F401 - examples


def exact(value: float) -> str:
    """A number with the decimals that it has, none rounded off.

    >>> exact(1200.5), exact(4000.0)
    ('1 200.5', '4 000')
    >>> with speaking("es"):
    ...     exact(1200.5), exact(0.95)
    ('1.200,5', '0,95')
    """
    plain = int(value) if float(value).is_integer() else value
    if voice().is_neutral:
        return f"{plain:,}".replace(",", " ")
    return str(format_decimal(plain, "#,##0.############", voice().numbers))
