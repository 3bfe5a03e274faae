"""The first forecast in words."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.say.lives.first_forecast import first_of_each


def test_of_each_type_the_part_to_go_first_is_named_the_soonest_first() -> None:
    parts = pd.DataFrame(
        [
            ("head", "six-channel head", "Left", "H1", 300.0, 40.0, 900.0),
            ("head", "six-channel head", "Right", "H1", 200.0, 20.0, 700.0),
            ("damper", "", "Left", "W1", 61.0, 5.0, 110.0),
        ],
        columns=[
            "part_kind", "variant", "printer", "position", "days_p50", "days_p10", "days_p90"
        ],
    )  # fmt: skip
    # 61 and 200 days after 31 October 2026.
    assert first_of_each(parts, date(2026, 10, 31)) == [
        "Damper W1 of Left: even chance it lasts until 31 Dec 2026 "
        "(8 in 10: from 5 Nov 2026 to 18 Feb 2027).",
        "Printhead H1 (six-channel head) of Right: even chance it lasts until 19 May 2027 "
        "(8 in 10: from 20 Nov 2026 to 30 Sep 2028).",
    ]
