"""The workshop's own settings: `euro_rates` (guesses of money in its currency), `known` (each
once, with its default, its unit and what it does), `spans_worked` (days worked without entries, as
one of them writes them).
"""
