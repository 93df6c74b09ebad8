"""Lay plans: drawn, worded and kept."""
