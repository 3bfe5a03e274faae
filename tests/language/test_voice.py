"""Each thread speaks its own language; numbers follow the locale. Expected forms: Unicode CLDR."""

from __future__ import annotations

from datetime import date
from threading import Barrier, Thread

import pytest

from tracker.language import _, adopt, is_locale, language_of, month_name, speaking, voice
from tracker.say import numbers


def test_two_sessions_speak_two_languages_at_once() -> None:
    heard: dict[str, str] = {}
    together = Barrier(2)

    def session(language: str) -> None:
        with speaking(language):
            together.wait()
            heard[language] = _("Capping station")
            together.wait()

    threads = [Thread(target=session, args=(language,)) for language in ("en", "es")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert heard == {"en": "Capping station", "es": "Estación de capping"}
    assert voice().language == "en", "nothing is left behind in this thread"


def test_what_was_adopted_ends_with_the_speaking_around_it() -> None:
    with speaking("en"):
        adopt("es", "es_MX")
        assert (voice().language, voice().locale) == ("es", "es_MX")
    assert (voice().language, voice().locale) == ("en", "")


def test_a_language_nobody_knows_is_english() -> None:
    with speaking("xx", "nowhere"):
        assert _("Printhead") == "Printhead"
        assert numbers.money(1234) == "1 234 €"
    assert language_of("") == ""
    assert not is_locale("")


@pytest.mark.parametrize(
    ("language", "locale", "expected"),
    [
        ("en", "", ("1 234.5", "13 %", "1 234 €", "−8.50 $", "4 Sep 2026", "4 Sep")),
        ("en", "en_US", ("1,234.5", "13%", "€1,234", "−$8.50", "Sep 4, 2026", "Sep 4")),
        ("en", "de_DE", ("1.234,5", "13 %", "1.234 €", "−8,50 $", "4 Sep 2026", "4 Sep")),
        ("es", "", ("1.234,5", "13 %", "1.234 €", "−8,50 US$", "4 sept 2026", "4 sept")),
        ("es", "es_MX", ("1,234.5", "13%", "EUR1,234", "−USD8.50", "4 sep 2026", "4 sep")),
    ],
)
def test_numbers_and_days_follow_the_locale(
    language: str, locale: str, expected: tuple[str, ...]
) -> None:
    day = date(2026, 9, 4)
    with speaking(language, locale):
        assert expected == (
            numbers.decimal(1234.5, 1), numbers.percent(0.126), numbers.money(1234.4),
            numbers.money(-8.5, "USD"), numbers.day(day), numbers.day(day, year=False),
        )  # fmt: skip


def test_no_line_ends_inside_a_spanish_number() -> None:
    with speaking("es"):
        text = numbers.unbroken(f"{numbers.days(45)}, 13 % el {numbers.day(date(2026, 9, 4))}")
    assert text.split(" ") == ["45\xa0días,", "13\xa0%", "el", "4\xa0sept", "2026"]


def test_months_are_called_by_their_names() -> None:
    assert month_name(date(2026, 10, 31)) == "October 2026"
    with speaking("es"):
        assert month_name(date(2026, 10, 31)) == "octubre de 2026"
        assert month_name(date(2026, 10, 31), year=False) == "octubre"
