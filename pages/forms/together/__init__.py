"""Two people at one record (``as_read``), and of one happening (``twice``): asked, nothing lost."""
