"""The monthly review in words: sentences, findings, actions, tables, values for files."""
