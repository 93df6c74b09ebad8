"""The designer's page."""
