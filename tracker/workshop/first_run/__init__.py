"""What a workshop may begin with: layouts of printers to choose from, the trade's usual routine."""
