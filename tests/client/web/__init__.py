"""Tests of the planning front end through its own test client."""
