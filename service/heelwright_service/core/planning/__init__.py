"""Choosing the inclining weights, their shifts and their sequence."""
