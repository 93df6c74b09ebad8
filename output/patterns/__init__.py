"""Patterns as PDF: tiled, nested, wide, projected."""
