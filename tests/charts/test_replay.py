"""The picture of what three ways of ordering would have cost."""

from __future__ import annotations

from tracker.charts.replay import replay_picture
from tracker.charts.screen import on_screen
from tracker.replay.findings import ADVICE, NONE, ONE, PolicyCost


def cost(policy: str, standing: float, left: float) -> PolicyCost:
    return PolicyCost(policy, 20, 1, standing / 240, standing, 100, 10, left, 0, 0)


def test_each_way_is_one_bar_of_its_money_with_the_sum_and_the_days_in_words() -> None:
    policies = (cost(ADVICE, 240, 300), cost(ONE, 4800, 100), cost(NONE, 24_000, 0))
    figure = on_screen(replay_picture(policies, "EUR"))
    standing, tied_up, left = figure.data
    # Drawn from the bottom, so the advice comes last and is on top.
    assert list(standing.x) == [24_000, 4800, 240]
    assert list(tied_up.x) == [110, 110, 110]
    assert list(left.x) == [0, 100, 300]
    assert list(standing.y)[-1] == "As advised"
    words = [note.text for note in figure.layout.annotations]
    assert "650 €" in words[-1]
    assert "1 day stood" in words[-1]
    assert "24 110 €" in words[0]
    assert "100 days stood" in words[0]
    assert "€" in figure.layout.xaxis.title.text
    assert len({trace.marker.pattern.shape for trace in figure.data}) == 3
