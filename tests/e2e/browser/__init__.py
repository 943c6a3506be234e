"""Tests of the planning front end in a real browser."""
