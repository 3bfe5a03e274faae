"""Units and currencies as people write them, and what turns them into the contract's units."""

from __future__ import annotations

import re

from tracker.workshop.declarations import Column

# The international foot is exactly 0.3048 m (international yard and pound agreement, 1959).
SQUARE_FOOT = 0.09290304
SQUARE_INCH = 0.00064516
SQUARE_YARD = 0.83612736

_FACTORS: dict[str, dict[str, float]] = {
    "m²": {
        "m2": 1.0, "sqm": 1.0, "qm": 1.0, "sqmetre": 1.0, "sqmetres": 1.0, "sqmeter": 1.0,
        "sqmeters": 1.0, "squaremetre": 1.0, "squaremetres": 1.0, "squaremeter": 1.0,
        "squaremeters": 1.0, "quadratmeter": 1.0, "metroscuadrados": 1.0, "mètrescarrés": 1.0,
        "metriquadrati": 1.0,
        "ft2": SQUARE_FOOT, "sqft": SQUARE_FOOT, "squarefoot": SQUARE_FOOT,
        "squarefeet": SQUARE_FOOT, "sqfeet": SQUARE_FOOT, "sf": SQUARE_FOOT,
        "in2": SQUARE_INCH, "sqin": SQUARE_INCH, "squareinches": SQUARE_INCH,
        "yd2": SQUARE_YARD, "sqyd": SQUARE_YARD, "cm2": 1e-4, "sqcm": 1e-4,
    },
    "min": {
        "min": 1.0, "mins": 1.0, "minute": 1.0, "minutes": 1.0, "minuten": 1.0,
        "h": 60.0, "hr": 60.0, "hrs": 60.0, "hour": 60.0, "hours": 60.0, "std": 60.0,
        "stunde": 60.0, "stunden": 60.0, "minuto": 1.0, "minutos": 1.0, "minuti": 1.0,
        "hora": 60.0, "horas": 60.0, "heure": 60.0, "heures": 60.0, "ora": 60.0, "ore": 60.0,
    },
    "h": {
        "h": 1.0, "hr": 1.0, "hrs": 1.0, "hour": 1.0, "hours": 1.0, "std": 1.0, "stunde": 1.0,
        "stunden": 1.0, "min": 1 / 60, "mins": 1 / 60, "minutes": 1 / 60, "minuten": 1 / 60,
        "minuto": 1 / 60, "minutos": 1 / 60, "minuti": 1 / 60, "hora": 1.0, "horas": 1.0,
        "heure": 1.0, "heures": 1.0, "ora": 1.0, "ore": 1.0,
    },
    "ml": {"ml": 1.0, "cc": 1.0, "cm3": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0, "liter": 1000.0,
           "litre": 1000.0},
    "days": {
        "d": 1.0, "day": 1.0, "days": 1.0, "tag": 1.0, "tage": 1.0,
        "w": 7.0, "wk": 7.0, "week": 7.0, "weeks": 7.0, "woche": 7.0, "wochen": 7.0,
        "día": 1.0, "días": 1.0, "dia": 1.0, "dias": 1.0, "jour": 1.0, "jours": 1.0, "giorno": 1.0,
        "giorni": 1.0, "semana": 7.0, "semanas": 7.0, "semaine": 7.0, "semaines": 7.0,
        "settimana": 7.0, "settimane": 7.0,
    },
    "%": {"%": 1.0, "percent": 1.0, "prozent": 1.0, "%rh": 1.0, "rh": 1.0},
    "pieces": {"pcs": 1.0, "pc": 1.0, "pieces": 1.0, "piece": 1.0, "stk": 1.0, "stück": 1.0,
               "x": 1.0, "st": 1.0, "nozzles": 1.0, "düsen": 1.0, "ud": 1.0, "uds": 1.0, "u": 1.0,
               "unidad": 1.0, "unidades": 1.0, "pieza": 1.0, "piezas": 1.0, "inyectores": 1.0,
               "boquillas": 1.0, "pièce": 1.0, "pièces": 1.0, "pezzo": 1.0, "pezzi": 1.0,
               "pz": 1.0},
}  # fmt: skip

_CURRENCIES = {
    "€": "EUR", "eur": "EUR", "euro": "EUR", "euros": "EUR", "$": "USD", "us$": "USD", "usd": "USD",
    "£": "GBP", "gbp": "GBP", "chf": "CHF", "fr": "CHF", "sfr": "CHF", "zł": "PLN", "pln": "PLN",
    "kč": "CZK", "czk": "CZK", "¥": "JPY", "jpy": "JPY", "cny": "CNY", "rmb": "CNY", "a$": "AUD",
    "aud": "AUD", "c$": "CAD", "cad": "CAD", "dkk": "DKK", "sek": "SEK", "nok": "NOK", "kr": "kr",
    "₹": "INR", "inr": "INR", "huf": "HUF", "ft": "HUF", "ron": "RON", "lei": "RON", "r$": "BRL",
    "brl": "BRL", "mxn": "MXN", "zar": "ZAR", "try": "TRY", "₺": "TRY",
}  # fmt: skip


def plain_unit(text: str) -> str | None:
    """The unit in its plainest spelling (``"sq. ft."`` → ``"sqft"``), None when it is none.

    >>> plain_unit("ft²"), plain_unit("Sq. Ft."), plain_unit("€"), plain_unit("spoons")
    ('ft2', 'sqft', '€', None)
    """
    plain = re.sub(r"[\s._^]+", "", text.casefold().replace("²", "2").replace("³", "3"))
    known = plain in _CURRENCIES or any(plain in factors for factors in _FACTORS.values())
    return plain if known else None


def factor_to(column: Column, unit: str) -> float | None:
    """What turns that unit into the column's own; None when it does not fit.

    >>> from tracker.workshop.contract import COUNTERS
    >>> factor_to(COUNTERS.column("area_m2"), "sq ft")
    0.09290304
    """
    plain = plain_unit(unit)
    if plain is None:
        return None
    if column.kind == "money":
        return 1.0 if plain in _CURRENCIES else None
    own = {"% RH": "%", "": "pieces" if column.kind == "whole" else ""}.get(
        column.unit, column.unit
    )
    return _FACTORS.get(own, {}).get(plain)


def currency_of(unit: str) -> str:
    """The currency a sign or code stands for, "" when it is none.

    >>> currency_of("€"), currency_of("m²")
    ('EUR', '')
    """
    return _CURRENCIES.get(plain_unit(unit) or "", "")


_HEADER_UNIT = re.compile(
    r"[\s_]*(?:[(\[{/]\s*(?P<bracket>[^()\[\]{}/]+?)\s*[)\]}]?|(?:\bin\b|[\s_])\s*(?P<tail>"
    r"m²|m2|m\^2|qm|sqm|sq\.?[\s_]?m|ft²|ft2|ft\^2|sq\.?[\s_]?ft\.?|sqft|min|ml|h|hours|minutes|€|eur))\s*$",
    re.IGNORECASE,
)


def split_header(header: str) -> tuple[str, str]:
    """A header as its name and the unit written with it.

    >>> split_header("Printed area (ft²)"), split_header("sq ft printed"), split_header("Datum")
    (('Printed area', 'ft²'), ('printed', 'sq ft'), ('Datum', ''))
    """
    text = header.strip()
    match = _HEADER_UNIT.search(text)
    if match:
        unit = match["bracket"] or match["tail"]
        if plain_unit(unit) is not None and match.start() > 0:
            return text[: match.start()].strip(), unit
    front = re.match(
        r"(?i)(sq\.?[\s_]?ft\.?|sqft|ft²|ft2|sq\.?[\s_]?m|sqm|m²|m2|qm)[\s_]+(?=\w)", text
    )
    if front:
        return text[front.end() :].strip(), front[1]
    return text, ""
