"""Other ways to mass and centres: load cells, a swing in air, the roll period; when inclining is a poor instrument."""
