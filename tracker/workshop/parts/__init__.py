"""What is known of kinds of parts, and what to beware of with each."""
