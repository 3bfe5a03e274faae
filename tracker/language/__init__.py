"""Which words is a person told? Texts are written in English and said in the language in use.

Reading order: `voice` (the language and the locale in use), `texts` (the catalogues and the
functions every text goes through), `days` (names of months and
weekdays), `exact` (a number as it was written down). Catalogues are
gettext's, one per room and language (``es/store.po``); they are read as they are, so that nothing
has to be built.
"""

from tracker.language.days import calendar_names, day_in_form, month_name, weekday_name
from tracker.language.exact import exact
from tracker.language.texts import N_, _, counted, ngettext, unmarked
from tracker.language.voice import (
    LANGUAGES,
    Voice,
    adopt,
    as_spoken,
    decimal_sign,
    is_locale,
    language_of,
    locale_for,
    locale_names,
    speaking,
    voice,
)

__all__ = [
    "LANGUAGES",
    "N_",
    "Voice",
    "_",
    "adopt",
    "as_spoken",
    "calendar_names",
    "counted",
    "day_in_form",
    "decimal_sign",
    "exact",
    "is_locale",
    "language_of",
    "locale_for",
    "locale_names",
    "month_name",
    "ngettext",
    "speaking",
    "unmarked",
    "voice",
    "weekday_name",
]
