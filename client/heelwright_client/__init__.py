"""Heelwright client: the Python client, the command line and the planning front end."""

__version__ = "0.1.0"
