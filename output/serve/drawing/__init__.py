"""Drawings on a page, as SVG text."""
