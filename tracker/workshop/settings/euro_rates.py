"""What the trade's guesses of prices, which are in euros, are about in a workshop's currency.

A guess differs by a factor of three between machines, so a rough rate is enough, and none is needed
where a euro is about one. Without it a head would be guessed at 600 pesos.
"""

from __future__ import annotations

# Units to the euro; from memory, of 2025, rounded.
_TO_THE_EURO = {
    "AED": 4, "ARS": 1500, "BDT": 135, "BGN": 2, "BOB": 8, "BRL": 6, "CLP": 1050, "CNY": 8,
    "COP": 4600, "CRC": 560, "CZK": 25, "DKK": 7.5, "DOP": 68, "EGP": 55, "GTQ": 8.5, "HKD": 9,
    "HNL": 29, "HUF": 400, "IDR": 18000, "ILS": 4, "INR": 95, "ISK": 145, "JPY": 160, "KES": 145,
    "KRW": 1600, "LKR": 340, "MAD": 10.5, "MXN": 20, "MYR": 5, "NGN": 1700, "NIO": 40, "NOK": 11.5,
    "PEN": 4, "PHP": 65, "PKR": 320, "PLN": 4.3, "PYG": 8000, "RON": 5, "RSD": 117, "SAR": 4,
    "SEK": 11, "THB": 38, "TND": 3.4, "TRY": 45, "TWD": 35, "UAH": 48, "UYU": 46, "VND": 29000,
    "ZAR": 20,
}  # fmt: skip


def to_the_euro(currency: str) -> float:
    """About how many units of it a euro is; 1 where that is near enough, or not known.

    >>> to_the_euro("MXN"), to_the_euro("USD"), to_the_euro("tokens")
    (20, 1, 1)
    """
    return _TO_THE_EURO.get(currency.strip().upper(), 1)


def guessed_in(currency: str, euros: float) -> float:
    """A guess in euros as one in that currency, to two figures.

    >>> guessed_in("MXN", 600), guessed_in("HUF", 9), guessed_in("PLN", 600), guessed_in("EUR", 7)
    (12000.0, 3600.0, 2600.0, 7)
    """
    rate = to_the_euro(currency)
    return euros if rate == 1 else float(f"{rate * euros:.2g}")
