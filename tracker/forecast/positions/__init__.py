"""The parts fitted now, what goes out with what, and how many a pool will need."""
