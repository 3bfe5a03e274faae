"""Printed pages: one writer for all of them."""
