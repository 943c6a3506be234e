"""Pure computation: no clock, no I/O, no randomness without a seed."""
