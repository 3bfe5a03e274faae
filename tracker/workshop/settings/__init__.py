"""The workshop's own settings: `known` (each once, with its default, its unit and what it does),
`spans_worked` (days worked without entries, as one of them writes them).
"""
