"""Heelwright service: plans, reduces and remembers stability tests, over HTTP."""

__version__ = "0.1.0"
