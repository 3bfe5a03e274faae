"""What was worked out once and still holds, in this order: ``reads`` (which tables does an answer
look at?), ``fingerprint`` (is a value the same?), ``answers`` (answers kept for as long as they
hold)."""
