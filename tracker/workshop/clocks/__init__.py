"""Clocks: `doubt` (can today be today?), `changes` (hours that come twice or never)."""
