"""The price of an express order as the workshop sets it."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tests.decisions.workshops import setting, workshop
from tracker.decisions.preorder import preorder

DAY = date(2025, 6, 1)


def test_the_workshops_own_express_price_counts_where_none_is_asked_for() -> None:
    usual = workshop(1, "C", settings=setting(margin_per_hour=1))
    dear = workshop(1, "C", settings=setting(margin_per_hour=1, express_premium=400))
    asked = preorder(usual, DAY, express_premium=400)
    pd.testing.assert_frame_equal(preorder(dear, DAY), asked)
    assert asked["curve"].iloc[0] != preorder(usual, DAY)["curve"].iloc[0]
    pd.testing.assert_frame_equal(preorder(dear, DAY, express_premium=0), preorder(usual, DAY))
