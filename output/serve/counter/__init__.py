"""The wearer's page."""
