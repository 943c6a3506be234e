"""Drawings for the pages, as SVG that stands in the page itself so that it follows the page's ground."""
