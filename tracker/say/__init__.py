"""Every number, sentence, table heading and glossary entry that a person reads."""
