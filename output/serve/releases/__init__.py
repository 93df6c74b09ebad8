"""Releases made from the page, listed and compared."""
