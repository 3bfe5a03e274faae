"""One printer in words, by the sections of its page: state, parts, past, level; links to it."""
