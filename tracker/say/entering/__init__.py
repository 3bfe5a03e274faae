"""What is said while records are entered and corrected: `record_words` (tables, columns and
refusals in words), `two_people` (what another wrote meanwhile), `clock` (a clock that does not
follow on the log)."""
