"""Invented workshops with a known truth: what the demo is made of and the methods are tried on."""
