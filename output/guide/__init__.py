"""The printed guide."""
