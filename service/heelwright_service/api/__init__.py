"""The HTTP face: parse, authorise, shape the answer, translate errors."""
