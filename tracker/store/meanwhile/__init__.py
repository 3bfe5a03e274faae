"""What others did since a record was read: who (``authors``), what stays of both (``as_read``)."""
