"""A stability test from its first idea to the approved lightship: stages, dates, plans, lists, conduct and review."""
