"""A change of all lives in one sentence, with what else changed then."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from tracker.forecast.drift import Drift, Event, LogChange
from tracker.say.drift import changes_words, drift_in_review, drift_line, drift_sentence


def change(what: Event, name: str, of: str = "", day: int = 3) -> LogChange:
    return LogChange(what, name, of, date(2025, 3, day))


SHORTER = Drift(
    date(2026, 3, 31), date(2025, 3, 1), 0.51, 0.4, 0.7, 0.99,
    (change("ink_lot", "white 7", day=4),),
)  # fmt: skip


def test_the_sentence_tells_since_when_how_much_and_what_changed_then() -> None:
    assert drift_sentence(SHORTER) == (
        "Since about March 2025 parts last half as long as before (95 %: 0.4 to 0.7 times as "
        "long); at that time: ink lot white 7 was opened (4 Mar 2025). What changed then need not "
        "be the cause."
    )
    assert drift_line(SHORTER) == ("Since about March 2025 parts last half as long as before.")


def test_nothing_else_changed_and_nothing_is_named() -> None:
    longer = replace(SHORTER, factor=1.4, lower=1.1, upper=1.8, at_that_time=())
    assert drift_sentence(longer) == (
        "Since about March 2025 parts last 40 % longer than before (95 %: 1.1 to 1.8 times as "
        "long)."
    )


def test_each_sort_of_change_is_called_by_what_happened() -> None:
    told = changes_words(
        [
            change("film_lot", "film 2"),
            change("closed", "stocktaking", "Ada"),
            change("closed", ""),
            change("routine_begun", "shake_dampers", "Ada"),
            change("routine_ended", "head_clean"),
            change("printer_joined", "Bob"),
            change("printer_left", "Cleo"),
            change("supplier", "Mill", "damper"),
        ]
    )
    assert told.split("; ") == [
        "a routine for “Shake dampers, draw off air” on Ada began (3 Mar 2025)",
        "a routine for “Normal head clean” ended (3 Mar 2025)",
        "Bob joined (3 Mar 2025)",
        "Cleo left (3 Mar 2025)",
        "the first damper from Mill was fitted (3 Mar 2025)",
        "a closure of Ada began (3 Mar 2025, stocktaking)",
        "a closure began (3 Mar 2025)",
        "film lot film 2 was opened (3 Mar 2025)",
    ]


def test_of_many_of_one_sort_two_are_named() -> None:
    lots = [change("ink_lot", f"lot {number}") for number in range(4)]
    assert changes_words(lots) == (
        "ink lots lot 0 (3 Mar 2025), lot 1 (3 Mar 2025) and 2 more were opened"
    )
    closures = [change("closed", "", name) for name in ("Ada", "Bob", "Cleo")]
    assert changes_words(closures).endswith(
        "a closure of Bob began (3 Mar 2025); 1 further closure"
    )


def test_the_month_is_the_one_whose_first_day_is_nearest() -> None:
    assert "Since about August 2025 " in drift_line(
        replace(SHORTER, changed_since=date(2025, 7, 31))
    )


def test_beside_a_month_the_day_on_which_the_change_was_seen_is_told_where_it_is_another() -> None:
    # SHORTER was seen on 31 March 2026.
    same, later = (drift_in_review(SHORTER, day) for day in (date(2026, 3, 31), date(2026, 2, 28)))
    assert same.startswith("Since about March 2025 parts last half as long as before; what is")
    assert "half as long as before, as known on 31 Mar 2026; what is" in later
