"""What leaves the program to be used elsewhere: `paper_log`, `labels`, `calendar_file`,
`weekly_mail` (one function per command)."""
