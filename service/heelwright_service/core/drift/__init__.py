"""Comparing a lightship with its approved baseline over the years."""
