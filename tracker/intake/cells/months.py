"""Names of months and weekdays in English, German, Spanish, French and Italian.

Written down here: twelve months and seven days in five languages do not need a library.
"""

from __future__ import annotations

import functools
import re
import unicodedata

_NAMES = (
    "jan january januar janner enero ene janvier janv jan gennaio genn gen",
    "feb february februar feber febrero fevrier fevr fev febbraio febbr",
    "mar march marz maerz mrz marzo mars",
    "apr april abril abr avril avr aprile",
    "may mai mayo maggio magg mag",
    "jun june juni junio juin giugno giu",
    "jul july juli julio juillet juil luglio lug",
    "aug august agosto ago aout ag",
    "sep sept september septiembre setiembre set septembre settembre sett",
    "oct october oktober okt octubre octobre ottobre ott",
    "nov november noviembre novembre",
    "dec december dezember dez diciembre dic decembre dicembre",
)
MONTHS: dict[str, int] = {
    name: number for number, names in enumerate(_NAMES, start=1) for name in names.split()
}
_WEEKDAYS = (
    "mon|tues?|wed(nes)?|thu(rs?)?|fri|sat(ur)?|sun|mo|di|mi|do|fr|sa|so|(mon|diens|donners|frei|"
    "sams|sonn)tag|mittwoch|sonnabend|lu|lun(es|di|edi)?|ma|mar(tes|di|tedi)?|mie(rcoles)?|"
    "me|mer(credi|coledi)?|je|jeu(di)?|jue(ves)?|gio(vedi)?|vi|vie(rnes)?|ve|ven(dredi|erdi)?|"
    "sab(ado|ato)?|sam(edi)?|dom(ingo|enica)?|dim(anche)?"
)
_WEEKDAY = re.compile(rf"({_WEEKDAYS})(day)?")


@functools.lru_cache(maxsize=100_000)
def bare(text: str) -> str:
    """Lower case without accents; everything but letters and digits as single spaces.

    >>> bare("Dämpfer_W1: geschüttelt!")
    'dampfer w1 geschuttelt'
    """
    flat = unicodedata.normalize("NFKD", text.casefold().replace("²", "2"))
    letters = "".join(sign for sign in flat if not unicodedata.combining(sign))
    return re.sub(r"[\W_]+", " ", letters).strip()


def month_named(word: str) -> int | None:
    """The month of that name, 1 to 12; None for any other word.

    >>> month_named("März"), month_named("août"), month_named("Left")
    (3, 8, None)
    """
    return MONTHS.get(bare(word))


def is_weekday(word: str) -> bool:
    """True for the name of a weekday.

    >>> is_weekday("Di"), is_weekday("lunedì"), is_weekday("Left")
    (True, True, False)
    """
    return _WEEKDAY.fullmatch(bare(word)) is not None
