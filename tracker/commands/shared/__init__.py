"""What the command line tells of a shared app: `told` at its start, `devices` at any time."""
