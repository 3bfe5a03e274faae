"""The whole routine in words: the answer, one task of it, its tables."""
